package intake

import (
	"context"
	"maps"
	"slices"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/crumbs"
	"lanetally/pipeline/ledger"
)

// crumbChange is what tonight's deliveries change in the store.
type crumbChange struct {
	files    map[string]string // of the contents in force
	replaced []string          // contents whose former positions go: those that were read, and those no longer in force
	moved    []string          // contents that count under another file than before
	gone     []string
}

// match puts the positions that came into the store and makes passes of the traces that they touch; of all traces where the lines or the
// rules of passes have changed, and where a night was stopped between store and ledger: what left the store tells no more which traces it
// was in.
// The ledger takes all of it in one transaction.
func (c *crumbLoading) match(ctx context.Context) error {
	drawn, err := readDrawnRoutes(ctx, c.ledger)
	if err != nil {
		return err
	}
	hash, err := hashOf(crumbNetworkVersion, c.settings, c.matching, drawn)
	if err != nil {
		return err
	}
	change, err := c.findChange(ctx)
	if err != nil {
		return err
	}
	days, isAnew, err := c.changedDays(ctx, change, hash)
	if err != nil {
		return err
	}
	network, err := newCrumbNetwork(drawn, c.matching)
	if err != nil {
		return err
	}
	c.show.begin(c.arrivals.Rows())
	if len(days) > 0 {
		if err := c.ledger.Exec(ctx, "update crumb_state set passes_hash = null"); err != nil {
			return err
		}
	}
	return c.ledger.InTx(ctx, func() error {
		for _, chunk := range crumbs.Chunks(days) {
			building := newCrumbBuilding(c.names, network, c.settings)
			if err := c.changeStore(ctx, building, change, chunk, isAnew); err != nil {
				return err
			}
		}
		return c.settle(ctx, change, hash)
	})
}

func (c *crumbLoading) findChange(ctx context.Context) (*crumbChange, error) {
	type content struct {
		SHA256 string `db:"sha256"`
		File   string `db:"file"`
	}
	change := &crumbChange{files: map[string]string{}}
	inForce, err := ledger.ReadTable[content](ctx, c.ledger,
		"select sha256, min(file) as file from delivery_files where feed = ? and sha256 is not null group by sha256", contract.CrumbsFeed)
	if err != nil {
		return nil, err
	}
	for _, row := range inForce {
		change.files[row.SHA256] = row.File
	}
	known, err := ledger.ReadTable[content](ctx, c.ledger, "select sha256, file from crumb_contents order by sha256")
	if err != nil {
		return nil, err
	}
	for _, row := range known {
		file, isInForce := change.files[row.SHA256]
		switch {
		case !isInForce:
			change.gone = append(change.gone, row.SHA256)
			change.replaced = append(change.replaced, row.SHA256)
		case row.File == "":
			change.replaced = append(change.replaced, row.SHA256)
		case row.File != file:
			change.moved = append(change.moved, row.SHA256)
		}
	}
	return change, nil
}

// changedDays lists the days on which something changes; all days of the store where all passes are to be made anew.
func (c *crumbLoading) changedDays(ctx context.Context, change *crumbChange, hash string) (days []crumbs.Day, isAnew bool, err error) {
	state, err := ledger.ReadColumn[string](ctx, c.ledger, "select passes_hash as value from crumb_state")
	if err != nil {
		return nil, false, err
	}
	if isAnew = len(state) == 1 && state[0] != hash; isAnew {
		if days, err = c.store.Days(); err != nil {
			return nil, false, err
		}
	}
	rows, err := ledger.ReadTable[struct {
		SHA256 string `db:"sha256"`
		Day    int32  `db:"day"`
	}](ctx, c.ledger, "select sha256, day from crumb_days")
	if err != nil {
		return nil, false, err
	}
	touching := map[string]bool{}
	for _, content := range slices.Concat(change.replaced, change.moved) {
		touching[content] = true
	}
	set := map[crumbs.Day]bool{}
	for _, day := range slices.Concat(days, c.arrivals.Days()) {
		set[day] = true
	}
	for _, row := range rows {
		if touching[row.SHA256] {
			set[crumbs.Day(row.Day)] = true
		}
	}
	return slices.Sorted(maps.Keys(set)), isAnew, nil
}

// changeStore makes the change on some days, in the store first.
func (c *crumbLoading) changeStore(ctx context.Context, building *crumbBuilding, change *crumbChange, days []crumbs.Day,
	isAnew bool) error {
	result, err := c.store.Apply(crumbs.Change{
		Days: days, Arrivals: c.arrivals, Replaced: change.replaced, Moved: change.moved, Files: change.files, IsAnew: isAnew,
	}, building.takes(func() error { return context.Cause(ctx) }, c.show.matched)...)
	if err != nil {
		return err
	}
	if isAnew {
		for _, table := range []string{"crumb_passes", "crumb_traces"} {
			for _, day := range days {
				if err := c.ledger.Exec(ctx, "delete from "+table+" where day = ?", int32(day)); err != nil {
					return err
				}
			}
		}
	}
	if err := building.replacePasses(ctx, c.ledger, result); err != nil {
		return err
	}
	return insertCounts(ctx, c.ledger, result)
}

// settle notes what the store now holds.
func (c *crumbLoading) settle(ctx context.Context, change *crumbChange, hash string) error {
	for _, content := range change.gone {
		for _, table := range []string{"crumb_contents", "crumb_days", "crumb_names", "crumb_counts"} {
			if err := c.ledger.Exec(ctx, "delete from "+table+" where sha256 = ?", content); err != nil {
				return err
			}
		}
	}
	for _, content := range append(change.replaced, change.moved...) {
		if err := c.ledger.Exec(ctx, "update crumb_contents set file = ? where sha256 = ?", change.files[content], content); err != nil {
			return err
		}
	}
	return c.ledger.Exec(ctx, "update crumb_state set passes_hash = ?", hash)
}
