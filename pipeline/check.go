package pipeline

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// check refuses figures that do not add up: nothing may be lost between deliveries and exports.
func (n *night) check(ctx context.Context) error {
	if err := checkConservation(ctx, n.ledger); err != nil {
		return err
	}
	if err := checkPassSums(ctx, n.ledger); err != nil {
		return err
	}
	if err := checkCrumbPounds(ctx, n.ledger); err != nil {
		return err
	}
	sizes, err := ledger.ReadTable[counts](ctx, n.ledger, `select
		(select count(distinct storm_id) from storms) as storms,
		(select count(distinct storm_id) from storms where is_open) as open_storms,
		(select count(*) from storm_passes) as passes,
		(select count(*) from storm_passes where storm_id is null) as passes_outside_storms,
		(select coalesce(sum(cast(round_even(applied_lb * 1e6, 0) as hugeint)), 0) / 1e6 from storm_passes) as applied_lb,
		(select coalesce(sum(accepted), 0)::bigint from intake where feed = 'breadcrumbs') as positions,
		(select count(*) from passes where feed = 'breadcrumbs') as passes_of_positions,
		(select count(*) from weak_passes where route_id is not null) as weak_passes,
		(select coalesce(sum(rows_read), 0)::bigint from intake) as rows_read,
		(select coalesce(sum(accepted), 0)::bigint from intake) as accepted_rows,
		(select coalesce(sum(duplicates), 0)::bigint from intake) as duplicate_rows,
		(select coalesce(sum(corrections), 0)::bigint from intake) as correction_rows,
		(select coalesce(sum("rows"), 0)::bigint from quarantine) as quarantined_rows,
		(select count(*) from findings) as findings`)
	if err != nil {
		return err
	}
	n.report.Counts = sizes[0]
	if n.report.AsOfAt, err = ledger.ReadAsOf(ctx, n.ledger); err != nil {
		return err
	}
	return n.readSilences(ctx)
}

// readSilences reads how far each feed tells, and what status says of logs that are missing: of feeds, and of zones since the July
// before the data's end, as what nobody found of a winter past stays lost.
func (n *night) readSilences(ctx context.Context) (err error) {
	if n.report.Feeds, err = ledger.ReadTable[rows.FeedEnd](ctx, n.ledger, "select * from feed_ends order by feed"); err != nil {
		return err
	}
	found, err := ledger.ReadTable[rows.FindingRow](ctx, n.ledger, `select findings.* from findings cross join as_of
		where finding_code = 'feed_behind' or finding_code = 'zone_without_log'
			and since_at >= date_trunc('year', as_of_at - interval 6 month) + interval 6 month
		order by finding_code, since_at, subject_id`)
	for _, f := range found {
		n.report.Silent = append(n.report.Silent, strings.TrimSpace(f.SubjectKind+" "+f.SubjectID+" "+f.StormID)+": "+f.Sentence(rows.US{}))
	}
	if err != nil {
		return err
	}
	n.report.Missing, err = readGaps(ctx, n.ledger)
	return err
}

// readGaps reads what is not there, so that figures stay empty: what leaves all of them empty first.
func readGaps(ctx context.Context, l *ledger.Ledger) ([]string, error) {
	gaps, err := ledger.ReadTable[rows.Gap](ctx, l, "select * from gaps")
	slices.SortFunc(gaps, rows.CompareGaps)
	lines := []string{}
	for _, row := range gaps {
		gap := row.Finding()
		lines = append(lines, gap.Kind()+": "+strings.TrimPrefix(gap.SubjectKind+" "+gap.SubjectID+": ", "district : ")+
			gap.Sentence(rows.US{}))
	}
	return lines, err
}

// passSums are one side of a sum that must come out the same on the other.
type passSums struct {
	Passes    int64   `db:"passes"`
	AppliedLB float64 `db:"applied_lb"`
}

// checkPassSums asks that storms and outside storms together hold every pass in force and every pound.
func checkPassSums(ctx context.Context, l *ledger.Ledger) error {
	told, err := ledger.ReadTable[passSums](ctx, l,
		`select count(*) as passes, coalesce(sum(cast(round_even(applied_lb * 1e6, 0) as bigint)), 0) / 1e6 as applied_lb from
			storm_passes`)
	if err != nil {
		return err
	}
	inForce, err := ledger.ReadTable[passSums](ctx, l, `select count(*) as passes, 0.0 as applied_lb from passes`)
	if err != nil {
		return err
	}
	exported, err := ledger.ReadTable[passSums](ctx, l, `
		select 0 as passes, coalesce(sum(cast(round_even(applied_lb * 1e6, 0) as bigint)), 0) / 1e6 as applied_lb
		from (select applied_lb from storm_routes union all select applied_lb from outside_storms)`)
	if err != nil {
		return err
	}
	if told[0].Passes != inForce[0].Passes {
		return fmt.Errorf("%d passes are in force and %d in the tally; this is a fault of the program", inForce[0].Passes, told[0].Passes)
	}
	if told[0].AppliedLB != exported[0].AppliedLB {
		return fmt.Errorf("%v lb were spread and %v lb are in the exports; this is a fault of the program", told[0].AppliedLB,
			exported[0].AppliedLB)
	}
	return nil
}
