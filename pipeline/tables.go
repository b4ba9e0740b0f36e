package pipeline

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"

	"lanetally/schemas"
)

// deliveryTables are the tables that loading fills and keeps from night to night.
func deliveryTables() []string {
	tables := append([]string{"contents", "delivery_files", "file_stamps"}, crumbTables...)
	for _, feed := range loadedFeeds {
		tables = append(tables, "raw_"+feed)
	}
	return tables
}

func tableDDL(table string) (string, error) {
	text, err := schemas.FS.ReadFile("tables/" + table + ".sql")
	if err != nil {
		return "", fmt.Errorf("definition of table %s: %w", table, err)
	}
	return string(text), nil
}

// deliveryTablesHash tells one layout of the kept tables from another.
func deliveryTablesHash() (string, error) {
	hash := sha256.New()
	for _, table := range deliveryTables() {
		ddl, err := tableDDL(table)
		if err != nil {
			return "", err
		}
		hash.Write([]byte(ddl))
	}
	return hex.EncodeToString(hash.Sum(nil)), nil
}

// prepareDeliveryTables makes the kept tables. Tables of another layout are dropped, never migrated: the archive and the inbox
// fill them again.
func prepareDeliveryTables(ctx context.Context, l *Ledger) error {
	hash, err := deliveryTablesHash()
	if err != nil {
		return err
	}
	return l.InTx(ctx, func() error {
		if err := l.Exec(ctx, "create table if not exists delivery_layout (hash varchar)"); err != nil {
			return err
		}
		type layout struct {
			Hash string `db:"hash"`
		}
		known, err := readTable[layout](ctx, l, "select hash from delivery_layout")
		if err != nil || len(known) == 1 && known[0].Hash == hash {
			return err
		}
		return makeDeliveryTables(ctx, l, hash)
	})
}

func makeDeliveryTables(ctx context.Context, l *Ledger, hash string) error {
	for _, table := range deliveryTables() {
		ddl, err := tableDDL(table)
		if err != nil {
			return err
		}
		if err := l.Exec(ctx, ddl); err != nil {
			return fmt.Errorf("make table %s: %w", table, err)
		}
	}
	if err := l.Exec(ctx, "delete from delivery_layout"); err != nil {
		return err
	}
	return l.Exec(ctx, "insert into delivery_layout values (?)", hash)
}

// loadReference fills the reference tables anew. Absent optional files give empty tables.
func loadReference(ctx context.Context, l *Ledger, ref *Reference) error {
	return l.InTx(ctx, func() error {
		for i := range ref.Tables {
			if err := loadReferenceTable(ctx, l, &ref.Tables[i]); err != nil {
				return fmt.Errorf("load %s: %w", ref.Tables[i].File, err)
			}
		}
		return nil
	})
}

func loadReferenceTable(ctx context.Context, l *Ledger, table *ReferenceTable) error {
	ddl, err := tableDDL(table.TableName)
	if err != nil {
		return err
	}
	if err := l.Exec(ctx, ddl); err != nil {
		return err
	}
	if len(table.Rows) == 0 {
		return nil
	}
	fields := make([]arrow.Field, len(table.Contract.Fields))
	for i := range table.Contract.Fields {
		fields[i] = arrowField(&table.Contract.Fields[i])
	}
	builder := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	for _, row := range table.Rows {
		for i, value := range row {
			appendValue(builder.Field(i), value)
		}
	}
	return l.insertBuilt(ctx, table.TableName, builder)
}

// loadRun fills the one-row table run with the settings and the tables of money that they hold, and severity_classes with the fixed numbers of
// the severity indexes, which are the program's and no setting of a district.
func loadRun(ctx context.Context, l *Ledger, s *Settings) error {
	ddl, err := tableDDL("run")
	if err != nil {
		return err
	}
	severity, err := tableDDL("severity_classes")
	if err != nil {
		return err
	}
	columns := RunColumns()
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(columns)), ", ")
	insert := "insert into run (" + strings.Join(columns, ", ") + ") values (" + marks + ")"
	return l.InTx(ctx, func() error {
		if err := l.Exec(ctx, ddl); err != nil {
			return err
		}
		if err := l.Exec(ctx, insert, s.RunValues()...); err != nil {
			return err
		}
		if err := l.Exec(ctx, severity); err != nil {
			return err
		}
		return loadMoney(ctx, l, s)
	})
}

// loadMoney fills the budgets and the assumed costs of damage.
func loadMoney(ctx context.Context, l *Ledger, s *Settings) error {
	for _, table := range []string{"budgets", "damage_costs"} {
		ddl, err := tableDDL(table)
		if err != nil {
			return err
		}
		if err := l.Exec(ctx, ddl); err != nil {
			return err
		}
	}
	if err := appendTable(ctx, l, "budgets", s.Budgets); err != nil {
		return err
	}
	return appendTable(ctx, l, "damage_costs", s.DamageCosts)
}
