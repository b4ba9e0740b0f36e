package intake

import (
	"context"
	"fmt"
	"math"
	"time"

	"lanetally/pipeline/crumbs"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/trace"
)

// crumbPass is a row of crumb_passes, crumbTrace of crumb_traces.
type (
	crumbPass struct {
		TruckID      string    `db:"truck_id"`
		Day          int64     `db:"day"`
		TraceEndedAt time.Time `db:"trace_ended_at"`
		FirstAt      time.Time `db:"first_at"`
		FirstNo      int64     `db:"first_no"`
		SHA256       string    `db:"sha256"`
		Line         int64     `db:"line"`
		RouteID      string    `db:"route_id"`
		BeganAt      time.Time `db:"began_at"`
		EndedAt      time.Time `db:"ended_at"`
		FromMi       float64   `db:"from_mi"`
		ToMi         float64   `db:"to_mi"`
		Lanes        *float64  `db:"lanes"`
		IsTreating   bool      `db:"is_treating"`
		MaterialID   string    `db:"material_id"`
		CrewID       string    `db:"crew_id"`
		PlowDown     *bool     `db:"plow_down"`
		DispensedULb *int64    `db:"dispensed_ulb"`
		Basis        string    `db:"basis"`
		Points       int64     `db:"points"`
		MatchedShare float64   `db:"matched_share"`
		Confidence   float64   `db:"confidence"`
		WeakCode     string    `db:"weak_code"`
		BesideMi     float64   `db:"beside_mi"`
	}
	crumbTrace struct {
		TruckID       string     `db:"truck_id"`
		Day           int64      `db:"day"`
		BeganAt       time.Time  `db:"began_at"`
		EndedAt       time.Time  `db:"ended_at"`
		Points        int64      `db:"points"`
		OnRoute       int64      `db:"on_route"`
		OffNetwork    int64      `db:"off_network"`
		Jumps         int64      `db:"jumps"`
		Frozen        int64      `db:"frozen"`
		OffNetworkMi  float64    `db:"off_network_mi"`
		TravelMi      float64    `db:"travel_mi"`
		FedULb        int64      `db:"fed_ulb"`
		UnplacedULb   int64      `db:"unplaced_ulb"`
		Resets        int64      `db:"resets"`
		Wraps         int64      `db:"wraps"`
		CounterFaults int64      `db:"counter_faults"`
		FirstTotalAt  *time.Time `db:"first_total_at"`
		FirstTotalLb  *float64   `db:"first_total_lb"`
		LastTotalAt   *time.Time `db:"last_total_at"`
		LastTotalLb   *float64   `db:"last_total_lb"`
		NoiseM        *float64   `db:"noise_m"`
	}
)

const metresAMile = 1609.344

// crumbBuilders is how many traces are matched beside each other.
const crumbBuilders = 2

// crumbBuilding turns traces into rows of crumb_passes and crumb_traces.
type crumbBuilding struct {
	names    *crumbs.Names
	network  *crumbNetwork
	builders [crumbBuilders]*trace.Builder
	passes   []crumbPass
	traces   []crumbTrace
}

func newCrumbBuilding(names *crumbs.Names, network *crumbNetwork, settings trace.Settings) *crumbBuilding {
	b := &crumbBuilding{names: names, network: network}
	for i := range b.builders {
		b.builders[i] = trace.NewBuilder(network.lines, network.lanesPerPass, settings)
	}
	return b
}

// takes build the passes of traces, each with a builder of its own; the rows come in the traces' order. Before is asked before each trace
// is.
func (b *crumbBuilding) takes(before func() error, finished func(points int)) (takes []crumbs.Take) {
	for _, builder := range b.builders {
		takes = append(takes, func(tr crumbs.Trace) func() error {
			if err := before(); err != nil {
				return func() error { return err }
			}
			passes, counts := builder.Build(tr.Points)
			return func() error {
				b.add(tr, passes, counts)
				finished(len(tr.Points))
				return nil
			}
		})
	}
	return takes
}

// add adds the rows of one trace.
func (b *crumbBuilding) add(tr crumbs.Trace, passes []trace.Pass, counts trace.Counts) {
	ended := time.UnixMilli(tr.Points[len(tr.Points)-1].AtMS)
	row := crumbTrace{TruckID: tr.Truck, Day: int64(tr.Day), BeganAt: time.UnixMilli(tr.Points[0].AtMS), EndedAt: ended,
		Points:  int64(counts.Points),
		OnRoute: int64(counts.OnRoute), OffNetwork: int64(counts.OffNetwork), Jumps: int64(counts.Jumps), Frozen: int64(counts.Frozen),
		OffNetworkMi: microMiles(counts.OffNetworkM / metresAMile), TravelMi: microMiles(counts.TravelM / metresAMile),
		FedULb:      counts.FedULb,
		UnplacedULb: counts.UnplacedULb, Resets: int64(counts.Resets), Wraps: int64(counts.Wraps),
		CounterFaults: int64(counts.CounterFaults), NoiseM: ledger.Finite(counts.NoiseM)}
	row.FirstTotalAt, row.FirstTotalLb, row.LastTotalAt, row.LastTotalLb = endReadings(tr.Points)
	b.traces = append(b.traces, row)
	numbers := map[int]int64{}
	for i := range passes {
		p := &passes[i]
		numbers[p.First]++
		origin := tr.Origins[p.First]
		b.passes = append(b.passes, crumbPass{TruckID: tr.Truck, Day: int64(tr.Day), TraceEndedAt: ended,
			FirstAt: time.UnixMilli(tr.Points[p.First].AtMS),
			FirstNo: numbers[p.First], SHA256: b.names.Text(origin.Content), Line: origin.Line, RouteID: b.network.lines.RouteID(p.Route),
			BeganAt: time.UnixMilli(p.BeganMS), EndedAt: time.UnixMilli(p.EndedMS), FromMi: microMiles(p.FromMi), ToMi: microMiles(p.ToMi),
			Lanes:      ledger.Finite(p.Lanes),
			IsTreating: p.Activity == trace.Treating, MaterialID: b.names.Text(p.Material), CrewID: b.names.Text(p.Crew),
			PlowDown:     flagOf(p.PlowDown),
			DispensedULb: passPounds(p), Basis: p.Basis.String(), Points: int64(p.Points), MatchedShare: p.MatchShare,
			Confidence: p.Confidence, WeakCode: p.Weak, BesideMi: microMiles(p.BesideMi)})
	}
}

// endReadings are the first and the last reading of the running counter, nil where there is none.
func endReadings(points []trace.Point) (firstAt *time.Time, firstLb *float64, lastAt *time.Time, lastLb *float64) {
	for i := range points {
		if p := &points[i]; !math.IsNaN(p.TotalLb) {
			at, lb := time.UnixMilli(p.AtMS), p.TotalLb // the points go on to the next trace
			if firstAt == nil {
				firstAt, firstLb = &at, &lb
			}
			lastAt, lastLb = &at, &lb
		}
	}
	return firstAt, firstLb, lastAt, lastLb
}

// microMiles keeps what a receiver can tell, and more, of a distance: a sixteenth of an inch.
func microMiles(mi float64) float64 { return math.RoundToEven(mi*1e6) / 1e6 }

func flagOf(tri trace.Tri) *bool {
	if tri == trace.Unknown {
		return nil
	}
	return new(tri == trace.Yes)
}

func passPounds(p *trace.Pass) *int64 {
	if p.Basis == trace.NoBasis {
		return nil
	}
	return new(p.Pounds)
}

// insertCounts tells anew what became of the rows of the days that were looked through.
func insertCounts(ctx context.Context, l *ledger.Ledger, result crumbs.Result) error {
	if err := l.Exec(ctx, "delete from crumb_counts where day between ? and ?", int32(result.First), int32(result.Last)); err != nil {
		return err
	}
	type crumbCount struct {
		SHA256      string `db:"sha256"`
		Day         int64  `db:"day"`
		Accepted    int64  `db:"accepted"`
		Duplicates  int64  `db:"duplicates"`
		Corrections int64  `db:"corrections"`
	}
	rows := make([]crumbCount, len(result.Counts))
	for i, c := range result.Counts {
		rows[i] = crumbCount{c.Content, int64(c.Day), int64(c.Accepted), int64(c.Duplicates), int64(c.Corrections)}
	}
	return ledger.AppendTable(ctx, l, "crumb_counts", rows)
}

// replacePasses puts the traces that were built anew in place of those that they were.
func (b *crumbBuilding) replacePasses(ctx context.Context, l *ledger.Ledger, result crumbs.Result) error {
	type crumbRedone struct {
		TruckID string    `db:"truck_id"`
		FromAt  time.Time `db:"from_at"`
		ToAt    time.Time `db:"to_at"`
	}
	redone := make([]crumbRedone, len(result.Redone))
	for i, r := range result.Redone {
		redone[i] = crumbRedone{r.Truck, time.UnixMilli(r.FromMS), time.UnixMilli(r.ToMS)}
	}
	if err := l.Exec(ctx,
		"create or replace temp table crumb_redone (truck_id varchar, from_at timestamptz, to_at timestamptz)"); err != nil {
		return err
	}
	if err := ledger.AppendTable(ctx, l, "crumb_redone", redone); err != nil {
		return err
	}
	for table, span := range map[string][2]string{"crumb_passes": {"first_at", "trace_ended_at"},
		"crumb_traces": {"began_at", "ended_at"}} {
		drop := fmt.Sprintf(`delete from %s as kept using crumb_redone as redone
			where redone.truck_id = kept.truck_id and kept.day between ? and ? and kept.%s < redone.to_at and kept.%s >=
				redone.from_at`, table, span[0], span[1])
		if err := l.Exec(ctx, drop, int32(result.First), int32(result.Last)); err != nil {
			return err
		}
	}
	if err := ledger.AppendTable(ctx, l, "crumb_traces", b.traces); err != nil {
		return err
	}
	return ledger.AppendTable(ctx, l, "crumb_passes", b.passes)
}
