package ledger

import (
	"context"
	"time"
)

// ReadAsOf gives the instant that ages are counted from, nil while nothing has been accepted.
func ReadAsOf(ctx context.Context, l *Ledger) (*time.Time, error) {
	type instant struct {
		AsOfAt *time.Time `db:"as_of_at"`
	}
	rows, err := ReadTable[instant](ctx, l, "select max(as_of_at) as as_of_at from as_of")
	if err != nil {
		return nil, err
	}
	return rows[0].AsOfAt, nil
}
