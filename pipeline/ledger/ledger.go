// Package ledger is the database of a district, and the only importer of its driver.
//
// In: structs with db tags, and SQL. Out: the same from tables, read through Arrow a column at a time. What is written in one
// transaction is there whole or not at all, whenever the process is killed.
package ledger

import (
	"context"
	"database/sql"
	"database/sql/driver"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"runtime"
	"strings"

	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/duckdb/duckdb-go/v2"

	"lanetally/pipeline/crumbs"
)

// Ledger is one DuckDB database on one connection. It is not safe for concurrent use.
//
// The connection can read and write nothing but the database itself and its spill folder: no query file, setting or name can
// reach another file, load an extension or open a connection.
type Ledger struct {
	pool *sql.DB
	Conn *sql.Conn
	path string // "" in memory
}

// ledgerFormat is the oldest DuckDB that reads a ledger: its way of keeping texts takes half the time to write of what older ones read.
const ledgerFormat = "v1.3.0"

// Open opens the database at path, creating it when absent; an empty path opens one in memory.
// It refuses a database whose safety settings do not read back as set.
func Open(ctx context.Context, path string) (*Ledger, error) {
	connector, err := duckdb.NewConnector(path+"?storage_compatibility_version="+ledgerFormat, nil)
	if err != nil {
		return nil, fmt.Errorf("open ledger %q: %w", path, err)
	}
	pool := sql.OpenDB(connector)
	pool.SetMaxOpenConns(1)
	conn, err := pool.Conn(ctx)
	if err != nil {
		return nil, errors.Join(fmt.Errorf("open ledger %q: %w", path, err), pool.Close())
	}
	l := &Ledger{pool: pool, Conn: conn, path: path}
	l.hide()
	if err := l.secure(ctx, path); err != nil {
		return nil, errors.Join(fmt.Errorf("secure ledger %q: %w", path, err), l.Close())
	}
	return l, nil
}

// secure applies the settings in the order in which they stopped every escape tried, then reads the decisive ones back.
func (l *Ledger) secure(ctx context.Context, path string) error {
	spill := ""
	if path != "" {
		spill = filepath.Join(filepath.Dir(path), "ledger.tmp")
	}
	settings := []string{
		"set autoinstall_known_extensions = false",
		"set autoload_known_extensions = false",
		"set allow_community_extensions = false",
		"set allow_persistent_secrets = false",
		fmt.Sprintf("set memory_limit = '%dKiB'", memoryLimit(os.DirFS("/"))>>10),
		fmt.Sprintf("set threads = %d", runtime.NumCPU()),
		"set temp_directory = " + QuoteText(spill),
		"set max_temp_directory_size = '20GB'",
		"set TimeZone = 'UTC'",
		// Tables made in the running transaction look empty to the planner, which then joins "as of" row by row.
		"set asof_loop_join_threshold = 0",
		// For the same reason the planner's order and sides of joins may cross large tables, or keep them in memory: those that a query
		// names hold, the large table on the left.
		"set disabled_optimizers = 'join_order,build_side_probe_side'",
		"set allowed_directories = []",
		"set enable_external_access = false",
		"set lock_configuration = true",
	}
	for _, statement := range settings {
		if err := l.Exec(ctx, statement); err != nil {
			return fmt.Errorf("%s: %w", statement, err)
		}
	}
	var external, locked, zone string
	row := l.Conn.QueryRowContext(ctx, `select current_setting('enable_external_access')::varchar,
		current_setting('lock_configuration')::varchar, current_setting('TimeZone')`)
	if err := row.Scan(&external, &locked, &zone); err != nil {
		return fmt.Errorf("read the settings back: %w", err)
	}
	if external != "false" || locked != "true" || zone != "UTC" {
		return fmt.Errorf("settings read back as external access %s, locked %s, time zone %s", external, locked, zone)
	}
	return nil
}

// IsLedgerDamage tells errors of a database file, or of a file of positions, whose bytes are not what was written.
func IsLedgerDamage(err error) bool {
	if errors.Is(err, crumbs.ErrDamaged) {
		return true
	}
	var fault *duckdb.Error
	if !errors.As(err, &fault) {
		return false
	}
	for _, sign := range []string{"Corrupt", "checksum", "not a valid DuckDB database", "Serialization Error",
		"INTERNAL Error: Failed to load metadata"} {
		if strings.Contains(fault.Error(), sign) {
			return true
		}
	}
	return fault.Type == duckdb.ErrorTypeSerialization
}

// IsLedgerFileFault tells errors of reading or writing the database's files.
func IsLedgerFileFault(err error) bool {
	var fault *duckdb.Error
	if !errors.As(err, &fault) {
		return false
	}
	// A commit that could not be written comes as an error of the transaction; only its text tells.
	for _, sign := range []string{"IO Error", "Could not write file", "Could not read from file", "No space left"} {
		if strings.Contains(fault.Error(), sign) {
			return true
		}
	}
	return fault.Type == duckdb.ErrorTypeIO
}

// Close writes everything to the database file and closes it.
func (l *Ledger) Close() error {
	return errors.Join(l.Conn.Close(), l.pool.Close())
}

// Exec runs statements that return nothing.
func (l *Ledger) Exec(ctx context.Context, statement string, args ...any) error {
	_, err := l.Conn.ExecContext(ctx, statement, args...)
	return err
}

// InTx runs work in one transaction: committed when work returns nil, rolled back otherwise.
func (l *Ledger) InTx(ctx context.Context, work func() error) error {
	if err := l.Exec(ctx, "begin transaction"); err != nil {
		return err
	}
	if err := work(); err != nil {
		return errors.Join(err, l.Exec(context.WithoutCancel(ctx), "rollback"))
	}
	err := l.Exec(ctx, "commit")
	l.hide()
	return err
}

// hide keeps others from reading the database, which holds rows of every delivery: the driver makes its files readable. A file of another
// user is that user's care.
func (l *Ledger) hide() {
	if l.path != "" {
		_ = errors.Join(os.Chmod(l.path, 0o600), os.Chmod(l.path+".wal", 0o600))
	}
}

// arrow calls use with the Arrow interface of the ledger's connection.
func (l *Ledger) arrow(use func(*duckdb.Arrow) error) error {
	return l.Conn.Raw(func(raw any) error {
		driverConn, ok := raw.(driver.Conn)
		if !ok {
			return fmt.Errorf("connection of type %T has no Arrow interface", raw)
		}
		a, err := duckdb.NewArrowFromConn(driverConn)
		if err != nil {
			return err
		}
		return use(a)
	})
}

// InsertRecords appends all records to table, whose columns are matched by name.
func (l *Ledger) InsertRecords(ctx context.Context, table string, records array.RecordReader) error {
	const view = "arriving_records"
	var release func()
	err := l.arrow(func(a *duckdb.Arrow) (err error) {
		release, err = a.RegisterView(records, view)
		return err
	})
	if err != nil {
		return fmt.Errorf("register records for %s: %w", table, err)
	}
	defer release()
	if err := l.Exec(ctx, "insert into "+QuoteName(table)+" by name select * from "+view); err != nil {
		return fmt.Errorf("insert into %s: %w", table, err)
	}
	return l.Exec(ctx, "drop view if exists "+view)
}

// ReadRecords runs a query and calls use with its records; the reader is released afterwards.
func (l *Ledger) ReadRecords(ctx context.Context, query string, use func(array.RecordReader) error, args ...any) error {
	return l.arrow(func(a *duckdb.Arrow) error {
		records, err := a.QueryContext(ctx, query, args...)
		if err != nil {
			return err
		}
		defer records.Release()
		return use(records)
	})
}

// made finds the view or table that a query makes.
var made = regexp.MustCompile(`(?m)^create or replace (view|table) ([a-z_]+) as$`)

// ClearFor drops the table that a ledger of an earlier version has under the name of the view that the query makes, and the view under
// that of its table: neither can replace the other.
func (l *Ledger) ClearFor(ctx context.Context, query string) error {
	found := made.FindStringSubmatch(query)
	if found == nil {
		return nil
	}
	other := map[string]string{"view": "table", "table": "view"}[found[1]]
	var others int
	if err := l.Conn.QueryRowContext(ctx, "select count(*) from duckdb_"+other+"s() where "+other+"_name = ?",
		found[2]).Scan(&others); err != nil || others == 0 {
		return err
	}
	return l.Exec(ctx, "drop "+other+" "+QuoteName(found[2]))
}

// QuoteName quotes an identifier for use in SQL.
func QuoteName(name string) string { return `"` + strings.ReplaceAll(name, `"`, `""`) + `"` }

// QuoteText quotes a string for use in SQL.
func QuoteText(text string) string { return "'" + strings.ReplaceAll(text, "'", "''") + "'" }
