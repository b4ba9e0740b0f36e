// Package tally is the part of the tally that is Go, because a row depends on the one before it or a text has to be decoded: rounds of
// passes, increments of running sums, present weather, and the words of doubts about weather.
//
// In: tables of the ledger. Out: one table each, made anew.
package tally

import (
	"context"
	"fmt"
	"time"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
)

// roundOverfill is the share of a route's lane-miles, in percent, beyond which a pass begins a new round: a tenth of slack for
// overlaps and turnarounds. Source: definitions, rounds.
const roundOverfill = 110

// treatingPass is what the rule of rounds needs of a treating pass in a storm. TreatmentNo is the same for the passes of one storm, route,
// material class and form. LaneMicro is in millionths of a lane-mile, 0 when the pass is not placed; RouteMicro is the route's.
type treatingPass struct {
	PassNo      int64     `db:"pass_no"`
	TreatmentNo int64     `db:"treatment_no"`
	BeganAt     time.Time `db:"began_at"`
	EndedAt     time.Time `db:"ended_at"`
	LaneMicro   int64     `db:"lane_ulane_mi"`
	RouteMicro  int64     `db:"route_ulane_mi"`
}

// treatingPassesQuery gives the treating passes in storms in the order of the rule: by begin, ties by pass_id, else truck_id, as text.
const treatingPassesQuery = `
with treating as (
    select *
    from storm_passes
    where storm_id is not null and is_treating
),
numbered as (
    select *, row_number() over () as treatment_no
    from (select distinct storm_id, route_id, material_class, form from treating)
)
select pass_no, treatment_no, began_at, ended_at, coalesce(lane_ulane_mi, 0) as lane_ulane_mi, route_ulane_mi
from treating
inner join numbered using (storm_id, route_id, material_class, form)
order by treatment_no, began_at, coalesce(pass_id, truck_id), pass_key`

// passRound is a row of table rounds: a treating pass in a storm, with the number of its round from 1.
type passRound struct {
	PassNo  int64 `db:"pass_no"`
	RoundNo int64 `db:"round_no"`
}

// FillRounds makes the table rounds from storm_passes and the setting round_gap_min.
// One route's passes of one storm, class and form fall into rounds of their own.
func FillRounds(ctx context.Context, l *ledger.Ledger, _ *district.Settings) error {
	settings, err := ledger.ReadColumn[float64](ctx, l, "select round_gap_min as value from run")
	if err != nil {
		return err
	}
	if len(settings) != 1 {
		return fmt.Errorf("run has %d rows, not 1", len(settings))
	}
	passes, err := ledger.ReadTable[treatingPass](ctx, l, treatingPassesQuery)
	if err != nil {
		return err
	}
	rows := make([]passRound, len(passes))
	for i, number := range numberRounds(passes, time.Duration(settings[0]*float64(time.Minute))) {
		rows[i] = passRound{passes[i].PassNo, number}
	}
	return ledger.ReplaceTable(ctx, l, "rounds", rows)
}

// numberRounds gives the round of each pass, from 1. The passes of one storm, route, class and form stand together, in the
// order of the rule. A pass opens a new round when it begins more than gap after the latest end so far in the round, or when
// the round's lane-miles plus its own exceed 1.10 x the route's and the round's are not 0.
func numberRounds(passes []treatingPass, gap time.Duration) []int64 {
	rounds := make([]int64, len(passes))
	var latestEnd time.Time
	var laneMicro int64
	for i, p := range passes {
		switch {
		case i == 0 || passes[i-1].TreatmentNo != p.TreatmentNo:
			rounds[i], latestEnd, laneMicro = 1, p.EndedAt, 0
		case opensRound(p, latestEnd, laneMicro, gap):
			rounds[i], latestEnd, laneMicro = rounds[i-1]+1, p.EndedAt, 0
		default:
			rounds[i] = rounds[i-1]
		}
		laneMicro += p.LaneMicro
		if p.EndedAt.After(latestEnd) {
			latestEnd = p.EndedAt
		}
	}
	return rounds
}

// opensRound applies the rule of rounds to pass p and the round so far.
func opensRound(p treatingPass, latestEnd time.Time, laneMicro int64, gap time.Duration) bool {
	if p.BeganAt.Sub(latestEnd) > gap {
		return true
	}
	return laneMicro != 0 && 100*(laneMicro+p.LaneMicro) > roundOverfill*p.RouteMicro
}
