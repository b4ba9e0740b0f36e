package intake

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"maps"
	"os"
	"slices"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/crumbs"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/matching"
	"lanetally/pipeline/trace"
)

// Vehicle positions are too many for the ledger. A delivery of them is archived raw, as every delivery is. Rows that cannot be used go to
// raw_breadcrumbs; the others are collected as they are read and, once the inbox has settled, put into the store of package crumbs in
// archive/breadcrumbs/, which tells them and cuts them into traces. The ledger keeps what is made of the traces: counts, passes.
//
// The store holds nothing that the archived deliveries do not give again: without a ledger it is emptied and built anew. It is written
// ahead of the ledger. Killed between the two, the ledger still has the contents as on their way; the next night reads them again from the
// archive and makes the same change again, which then changes nothing in the store.

// crumbStoreVersion changes when the same positions would be stored otherwise or cut into other traces.
const crumbStoreVersion = "2"

// crumbLoading is what one night does with positions. known is the parse hash of the contents in the ledger, which the loading shares.
type crumbLoading struct {
	ledger    *ledger.Ledger
	known     map[ContentKey]string
	reference *crumbReference
	names     *crumbs.Names
	settings  trace.Settings
	matching  matching.Settings
	store     *crumbs.Store
	arrivals  *crumbs.Arrivals
	remove    func() error // of what a dry look made
	show      *CrumbProgress
}

func traceSettings(s *district.Settings) trace.Settings {
	settings := trace.DefaultSettings()
	settings.PassGapMin, settings.SpreadGapS, settings.MatchMin = s.PassGapMin, s.SpreadGapS, s.MatchMin
	return settings
}

func matchingSettings(s *district.Settings) matching.Settings {
	settings := matching.DefaultSettings()
	settings.NoiseM, settings.OffNetworkM = s.NoiseM, s.OffNetworkM
	return settings
}

// open opens the store in folder, one of its own for a dry look, and finds the contents that must be read again.
func (c *crumbLoading) open(ctx context.Context, folder crumbs.Dir, isDry bool) (err error) {
	if c.reference, err = readCrumbReference(ctx, c.ledger); err != nil {
		return err
	}
	if isDry {
		if folder.Path, err = os.MkdirTemp("", "lanetally-check-"); err != nil {
			return err
		}
		c.remove = func() error { return os.RemoveAll(folder.Path) }
	}
	if c.store, err = crumbs.Open(folder, c.names, c.settings); err != nil {
		return err
	}
	c.arrivals = crumbs.NewArrivals(folder, c.names)
	if err := c.startAnew(ctx); err != nil {
		return err
	}
	return c.forget(ctx)
}

// close takes away what is needed during the night alone. A nil one has nothing.
func (c *crumbLoading) close() error {
	if c == nil {
		return nil
	}
	var faults []error
	if c.arrivals != nil {
		faults = append(faults, c.arrivals.Close())
	}
	return errors.Join(append(faults, c.remove())...)
}

// startAnew empties the store when the ledger does not know how it was filled, or it was filled under another rule. This night then
// reads all positions again.
func (c *crumbLoading) startAnew(ctx context.Context) error {
	hash, err := hashOf(crumbStoreVersion, c.settings.PassGapMin, c.settings.ParkedM)
	if err != nil {
		return err
	}
	known, err := ledger.ReadColumn[string](ctx, c.ledger, "select traces_hash as value from crumb_state")
	if err != nil || len(known) == 1 && known[0] == hash {
		return err
	}
	err = c.ledger.InTx(ctx, func() error {
		for _, table := range append([]string{"raw_breadcrumbs"}, ledger.CrumbTables...) {
			if err := c.ledger.Exec(ctx, "delete from "+table); err != nil {
				return err
			}
		}
		return c.ledger.Exec(ctx, "delete from contents where feed = ?", contract.CrumbsFeed)
	})
	if err != nil {
		return err
	}
	maps.DeleteFunc(c.known, func(content ContentKey, _ string) bool { return content.Feed == contract.CrumbsFeed })
	if err := c.store.Clear(); err != nil {
		return err
	}
	return c.ledger.Exec(ctx, "insert into crumb_state values (?, null)", hash)
}

func hashOf(values ...any) (string, error) {
	text, err := json.Marshal(values)
	sum := sha256.Sum256(text)
	return hex.EncodeToString(sum[:]), err
}

// forget makes this night read again the contents that are on their way into the store, and those of which reference/ knows more
// or fewer names than when they were read: so positions of a truck that was not listed come back once it is.
func (c *crumbLoading) forget(ctx context.Context) error {
	contents, err := ledger.ReadColumn[string](ctx, c.ledger, `select sha256 as value from crumb_contents where file is null
		union
		select sha256 from crumb_names
		where is_known <> coalesce(case column_name
			when 'truck_id' then name in (select truck_id from trucks)
			when 'material_id' then name in (select material_id from materials)
			else name in (select crew_id from crews) end, false)`)
	if err != nil {
		return err
	}
	for _, sha := range contents {
		delete(c.known, ContentKey{contract.CrumbsFeed, sha})
	}
	return nil
}

// read reads one content: usable positions to the arrivals, the others to raw_breadcrumbs in place of those it had.
func (c *crumbLoading) read(ctx context.Context, content ContentKey, parser *crumbParser, from rowSource) (count int64, err error) {
	if err := c.ledger.Exec(ctx, "delete from raw_breadcrumbs where sha256 = ?", content.Sha256); err != nil {
		return 0, err
	}
	reading := &crumbReading{night: c, content: content, parser: parser, leftOut: newLeftOut(), days: map[crumbs.Day]int64{}}
	c.arrivals.Begin(content.Sha256)
	if count, err = reading.run(ctx, from); err != nil {
		c.arrivals.Void()
	}
	return count, err
}

// FaultyRow is a row of raw_breadcrumbs: a row that cannot be used.
type FaultyRow struct {
	SHA256 string `db:"sha256"`
	Line   int64  `db:"line"`
	Raw    []byte `db:"raw"`
	Column string `db:"fault_column"`
	Code   string `db:"fault_code"`
	Found  string `db:"fault_found"`
	Wanted string `db:"fault_wanted"`
}

// crumbDay is a row of crumb_days, crumbName of crumb_names.
type (
	crumbDay struct {
		SHA256    string `db:"sha256"`
		Day       int64  `db:"day"`
		Positions int64  `db:"positions"`
	}
	crumbName struct {
		SHA256  string `db:"sha256"`
		Column  string `db:"column_name"`
		Name    string `db:"name"`
		IsKnown bool   `db:"is_known"`
	}
)

// crumbReading is the reading of one content.
type crumbReading struct {
	night   *crumbLoading
	content ContentKey
	parser  *crumbParser
	faulty  []FaultyRow
	leftOut leftOut
	days    map[crumbs.Day]int64
	lastDay crumbs.Day
	onDay   int64
	rows    int // since some were handed on last
	bytes   int // of those
}

func (r *crumbReading) run(ctx context.Context, from rowSource) (count int64, err error) {
	for from.Next() {
		row := from.Row()
		position, fault := r.parser.parse(row)
		if fault != nil && r.leftOut.isKept(&row, fault) {
			r.faulty = append(r.faulty, FaultyRow{r.content.Sha256, row.Line, slices.Clone(row.Raw), fault.Column, fault.Code,
				fault.Found, fault.Wanted})
		} else if fault == nil {
			if day := crumbs.DayOf(position.Point.AtMS); day != r.lastDay || r.onDay == 0 {
				r.endDay()
				r.lastDay = day
			}
			r.onDay++
			if err := r.night.arrivals.Add(position); err != nil {
				return 0, err
			}
		}
		count += row.Count()
		r.rows++
		r.bytes += len(row.Raw)
		if r.rows == ledger.BatchRows || r.bytes >= ledger.BatchBytes {
			if err := r.flush(ctx, ledger.BatchRows); err != nil {
				return 0, err
			}
		}
	}
	if err := from.Err(); err != nil {
		return 0, err
	}
	if err := r.flush(ctx, 0); err != nil {
		return 0, err
	}
	r.endDay()
	return count, errors.Join(r.note(ctx), r.leftOut.keep(ctx, r.night.ledger, r.content))
}

func (r *crumbReading) endDay() {
	if r.onDay > 0 {
		r.days[r.lastDay] += r.onDay
		r.onDay = 0
	}
}

// flush hands on what has come together, and lets a night end early. Faulty rows are few: the ledger takes them from so many on.
func (r *crumbReading) flush(ctx context.Context, fromFaulty int) error {
	if err := context.Cause(ctx); err != nil {
		return err
	}
	isLarge := r.bytes >= ledger.BatchBytes
	r.night.show.read(r.rows, r.bytes)
	r.rows, r.bytes = 0, 0
	if len(r.faulty) < fromFaulty && !isLarge {
		return nil
	}
	faulty := r.faulty
	r.faulty = nil
	return ledger.AppendTable(ctx, r.night.ledger, "raw_breadcrumbs", faulty)
}

// note writes down that the content is on its way, on which days it has positions and which names it carries. Days of a former reading
// stay:
// its positions on them must go.
func (r *crumbReading) note(ctx context.Context) error {
	l, sha := r.night.ledger, r.content.Sha256
	for _, statement := range []string{
		"delete from crumb_contents where sha256 = ?", "insert into crumb_contents values (?, null)",
		"update crumb_days set positions = 0 where sha256 = ?", "delete from crumb_names where sha256 = ?",
	} {
		if err := l.Exec(ctx, statement, sha); err != nil {
			return err
		}
	}
	var days []crumbDay
	var names []crumbName
	for _, day := range slices.Sorted(maps.Keys(r.days)) {
		if err := l.Exec(ctx, "delete from crumb_days where sha256 = ? and day = ?", sha, int32(day)); err != nil {
			return err
		}
		days = append(days, crumbDay{sha, int64(day), r.days[day]})
	}
	for i, seen := range r.parser.seen {
		for _, text := range slices.Sorted(maps.Keys(seen)) {
			names = append(names, crumbName{sha, r.parser.reference.tables[i].column, text, seen[text].isKnown})
		}
	}
	return errors.Join(ledger.AppendTable(ctx, l, "crumb_days", days), ledger.AppendTable(ctx, l, "crumb_names", names))
}
