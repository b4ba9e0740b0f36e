package ledger

import (
	"context"
	"time"
)

// ReadAsOf gives the instant that ages are counted from, nil while nothing has been accepted.
func ReadAsOf(ctx context.Context, l *Ledger) (*time.Time, error) {
	instants, err := ReadColumn[*time.Time](ctx, l, "select max(as_of_at) as value from as_of")
	if err != nil {
		return nil, err
	}
	return instants[0], nil
}
