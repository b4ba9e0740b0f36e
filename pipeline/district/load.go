package district

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// LoadReference fills the reference tables anew. Absent optional files give empty tables.
func LoadReference(ctx context.Context, l *ledger.Ledger, ref *Reference) error {
	return l.InTx(ctx, func() error {
		for i := range ref.Tables {
			if err := loadReferenceTable(ctx, l, &ref.Tables[i]); err != nil {
				return fmt.Errorf("load %s: %w", ref.Tables[i].File, err)
			}
		}
		return nil
	})
}

func loadReferenceTable(ctx context.Context, l *ledger.Ledger, table *ReferenceTable) error {
	if err := ledger.MakeTables(ctx, l, table.TableName); err != nil || len(table.Rows) == 0 {
		return err
	}
	fields := make([]arrow.Field, len(table.Contract.Fields))
	for i := range table.Contract.Fields {
		fields[i] = ledger.ArrowField(&table.Contract.Fields[i])
	}
	builder := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	for _, row := range table.Rows {
		for i, value := range row {
			ledger.AppendValue(builder.Field(i), value)
		}
	}
	return l.InsertBuilt(ctx, table.TableName, builder)
}

// LoadRun fills the one-row table run with the settings and the tables of money that they hold, and two that are the program's and no
// setting of a district: severity_classes with the fixed numbers of the severity indexes, code_words with the words of codes.
func LoadRun(ctx context.Context, l *ledger.Ledger, s *Settings) error {
	columns := RunColumns()
	marks := strings.TrimSuffix(strings.Repeat("?, ", len(columns)), ", ")
	insert := "insert into run (" + strings.Join(columns, ", ") + ") values (" + marks + ")"
	return l.InTx(ctx, func() error {
		if err := ledger.MakeTables(ctx, l, "run", "severity_classes", "code_words", "feed_limits", "budgets", "damage_costs"); err != nil {
			return err
		}
		if err := l.Exec(ctx, insert, s.RunValues()...); err != nil {
			return err
		}
		return errors.Join(ledger.AppendTable(ctx, l, "code_words", rows.AllCodeWords()),
			ledger.AppendTable(ctx, l, "feed_limits", s.FeedLimits),
			ledger.AppendTable(ctx, l, "budgets", s.Budgets), ledger.AppendTable(ctx, l, "damage_costs", s.DamageCosts))
	})
}
