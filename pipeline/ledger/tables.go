package ledger

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"

	"lanetally/pipeline/contract"
	"lanetally/schemas"
)

// deliveryTables are the tables that loading fills and keeps from night to night.
func deliveryTables() []string {
	tables := append([]string{"contents", "delivery_files", "file_stamps", "growing_files", "rows_left_out"}, CrumbTables...)
	for _, feed := range contract.LoadedFeeds {
		tables = append(tables, "raw_"+feed)
	}
	return tables
}

// TableDDL is the SQL that makes a table, from the file of its name in schemas/tables.
func TableDDL(table string) (string, error) {
	text, err := schemas.FS.ReadFile("tables/" + table + ".sql")
	if err != nil {
		return "", fmt.Errorf("definition of table %s: %w", table, err)
	}
	return string(text), nil
}

// MakeTables makes tables anew, empty but for the rows that their definition gives them.
func MakeTables(ctx context.Context, l *Ledger, tables ...string) error {
	for _, table := range tables {
		ddl, err := TableDDL(table)
		if err != nil {
			return err
		}
		if err := l.Exec(ctx, ddl); err != nil {
			return fmt.Errorf("make table %s: %w", table, err)
		}
	}
	return nil
}

// DeliveryTablesHash tells one layout of the kept tables from another.
func DeliveryTablesHash() (string, error) {
	hash := sha256.New()
	for _, table := range deliveryTables() {
		ddl, err := TableDDL(table)
		if err != nil {
			return "", err
		}
		hash.Write([]byte(ddl))
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
}

// PrepareDeliveryTables makes the kept tables. Tables of another layout are dropped, never migrated: the archive and the inbox
// fill them again.
func PrepareDeliveryTables(ctx context.Context, l *Ledger) error {
	hash, err := DeliveryTablesHash()
	if err != nil {
		return err
	}
	return l.InTx(ctx, func() error {
		if err := l.Exec(ctx, "create table if not exists delivery_layout (hash varchar)"); err != nil {
			return err
		}
		known, err := ReadColumn[string](ctx, l, "select hash as value from delivery_layout")
		if err != nil || len(known) == 1 && known[0] == hash {
			return err
		}
		return makeDeliveryTables(ctx, l, hash)
	})
}

func makeDeliveryTables(ctx context.Context, l *Ledger, hash string) error {
	if err := MakeTables(ctx, l, deliveryTables()...); err != nil {
		return err
	}
	if err := l.Exec(ctx, "delete from delivery_layout"); err != nil {
		return err
	}
	return l.Exec(ctx, "insert into delivery_layout values (?)", hash)
}

// CrumbTables are the tables that the ledger keeps of positions.
var CrumbTables = []string{"crumb_state", "crumb_contents", "crumb_days", "crumb_names", "crumb_counts", "crumb_traces", "crumb_passes"}
