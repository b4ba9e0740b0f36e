package pipeline

import (
	"context"
	"errors"
	"fmt"

	"lanetally/pipeline/ledger"
)

// version is the program's version. Its first number is that of the definitions: it goes up with each definition that changes, and
// site/versions.csv then says which, and what that did to the demo's seasons.
const version = "8.0"

// commit is what the program was built from; the Makefile gives it to the linker.
var commit = "unknown"

type versionCommand struct{}

// Run says which version this is, what it was built from, and which DuckDB is in it.
func (versionCommand) Run(ctx context.Context, c console) (err error) {
	l, err := ledger.Open(ctx, "")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, l.Close()) }()
	rows, err := ledger.ReadTable[struct {
		DuckDB string `db:"duckdb"`
	}](ctx, l, "select version() as duckdb")
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(c.out, "lanetally %s, commit %s, DuckDB %s\n", version, commit, rows[0].DuckDB)
	return err
}
