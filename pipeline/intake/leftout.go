package intake

import (
	"context"
	"slices"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/delivery"
	"lanetally/pipeline/ledger"
)

// leftOut counts, by code, the rows of a content that the ledger does not keep: of those that no reference table can mend it has
// delivery.MaxFaultyRows a code. Whatever else could mend them makes the content be read again.
type leftOut struct{ seen, rows map[string]int64 }

func newLeftOut() leftOut { return leftOut{map[string]int64{}, map[string]int64{}} }

// isKept counts a row with that fault and tells whether the ledger keeps it.
func (o *leftOut) isKept(row *delivery.Row, fault *contract.Fault) bool {
	o.seen[fault.Code]++
	if row.Rest == 0 && o.seen[fault.Code] <= delivery.MaxFaultyRows {
		return true
	}
	o.rows[fault.Code] += row.Count()
	return false
}

// keep writes the counts of a content, in place of those it had.
func (o *leftOut) keep(ctx context.Context, l *ledger.Ledger, content ContentKey) error {
	type leftOutRows struct {
		Feed   string `db:"feed"`
		SHA256 string `db:"sha256"`
		Code   string `db:"fault_code"`
		Rows   int64  `db:"rows"`
	}
	var list []leftOutRows
	for code, rows := range o.rows {
		list = append(list, leftOutRows{content.Feed, content.Sha256, code, rows})
	}
	slices.SortFunc(list, func(a, b leftOutRows) int { return strings.Compare(a.Code, b.Code) })
	if err := l.Exec(ctx, "delete from rows_left_out where feed = ? and sha256 = ?", content.Feed, content.Sha256); err != nil {
		return err
	}
	return ledger.AppendTable(ctx, l, "rows_left_out", list)
}
