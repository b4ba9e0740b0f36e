package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"

	"lanetally/pipeline/ledger"
)

// The deliveries are the truth: a ledger that is damaged, missing or of another layout is moved aside and built anew from inbox and
// archive.

func (n *night) ledgerPath() string { return filepath.Join(n.Dir, "ledger.duckdb") }

// openLedger opens the night's ledger, or a new one in its place.
func (n *night) openLedger(ctx context.Context) (err error) {
	if _, err := os.Stat(n.ledgerPath()); errors.Is(err, fs.ErrNotExist) {
		if _, err := os.Stat(filepath.Join(n.Dir, "archive", "manifest.jsonl")); err == nil {
			n.report.warn("ledger.duckdb was missing and was rebuilt from inbox/ and archive/")
		}
		if err := n.moveAside(); err != nil {
			return err
		}
	}
	if n.ledger, err = ledger.Open(ctx, n.ledgerPath()); err != nil {
		if ctx.Err() != nil || errors.Is(err, fs.ErrPermission) {
			return err
		}
		return n.startLedgerAnew(ctx, fmt.Sprintf("the ledger did not open (%v)", err))
	}
	isOurs, err := hasThisLayout(ctx, n.ledger)
	if err != nil {
		return err
	}
	if !isOurs {
		return n.startLedgerAnew(ctx, "the ledger is of another program version")
	}
	return nil
}

// startLedgerAnew moves the ledger aside and opens an empty one, with a note of why.
func (n *night) startLedgerAnew(ctx context.Context, why string) (err error) {
	if n.ledger != nil {
		// What a damaged database says when it is closed is of no use to anyone.
		_ = n.ledger.Close()
		n.ledger = nil
	}
	n.report.warn("%s: it was moved to ledger.duckdb.aside and rebuilt from inbox/ and archive/", why)
	if err := n.moveAside(); err != nil {
		return err
	}
	n.ledger, err = ledger.Open(ctx, n.ledgerPath())
	return err
}

// moveAside moves ledger and write-ahead log; a log without its database would spoil the next one.
func (n *night) moveAside() error {
	for _, ending := range []string{".wal", ""} {
		path := n.ledgerPath() + ending
		if _, err := os.Lstat(path); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err := n.files.Rename(path, n.ledgerPath()+".aside"+ending); err != nil {
			return err
		}
	}
	return n.files.SyncFolder(n.Dir)
}

// hasThisLayout tells a ledger of this program version, or one that was never filled, from one of another version.
func hasThisLayout(ctx context.Context, l *ledger.Ledger) (bool, error) {
	tables, err := ledger.ReadTable[struct {
		Name string `db:"table_name"`
	}](ctx, l, "select table_name from duckdb_tables() where table_name = 'delivery_layout'")
	if err != nil || len(tables) == 0 {
		return err == nil, err
	}
	hash, err := ledger.DeliveryTablesHash()
	if err != nil {
		return false, err
	}
	known, err := ledger.ReadTable[struct {
		Hash string `db:"hash"`
	}](ctx, l, "select hash from delivery_layout")
	return err == nil && (len(known) == 0 || known[0].Hash == hash), err
}
