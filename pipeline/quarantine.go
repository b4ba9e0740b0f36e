package pipeline

import (
	"context"
	"fmt"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/ledger"
)

// unbalanced is a delivery whose rows do not add up.
type unbalanced struct {
	Feed   string `db:"feed"`
	File   string `db:"file"`
	Read   int64  `db:"rows_read"`
	Told   int64  `db:"told"`
	Stored int64  `db:"stored"`
}

// checkConservation makes sure that no row got lost: of every delivery, rows read by the reader = accepted + duplicates +
// corrections + quarantined = rows kept. The error names the first file of which this does not hold; it is a
// bug or a damaged ledger, never the delivery's fault.
func checkConservation(ctx context.Context, l *ledger.Ledger) error {
	query := `with raw_counts as (` + storedCounts() + `)
		select intake.feed, intake.file, rows_read, accepted + duplicates + corrections + quarantined as told,
			case when delivery_files.sha256 is null then coalesce(unreadable_rows, 0)
				when same_as is null then coalesce(raw_counts.rows, 0) else 0 end as stored
		from intake
		inner join delivery_files using (feed, file)
		left join raw_counts on raw_counts.feed = delivery_files.feed and raw_counts.sha256 = delivery_files.sha256
		where rows_read <> told or rows_read <> stored
		order by intake.feed, intake.file`
	wrong, err := ledger.ReadTable[unbalanced](ctx, l, query)
	if err != nil {
		return fmt.Errorf("check that no row got lost: %w", err)
	}
	if len(wrong) == 0 {
		return nil
	}
	first := wrong[0]
	return fmt.Errorf("%s/%s: %d rows read, %d told, %d kept; these must be equal (%d files): delete ledger.duckdb and run again, and "+
		"report it if it comes back",
		first.Feed, first.File, first.Read, first.Told, first.Stored, len(wrong))
}

// checkCrumbPounds asks that what the counters of trucks counted is, to the millionth of a pound, on passes, weak ones too, or noted as on
// none.
func checkCrumbPounds(ctx context.Context, l *ledger.Ledger) error {
	type pounds struct {
		TruckID string  `db:"truck_id"`
		FedLb   float64 `db:"fed_lb"`
		ToldLb  float64 `db:"told_lb"`
	}
	wrong, err := ledger.ReadTable[pounds](ctx, l, `with placed as (
			select truck_id, sum(dispensed_ulb) as ulb from crumb_passes group by truck_id
		), fed as (
			select truck_id, sum(fed_ulb) as fed_ulb, sum(unplaced_ulb) as unplaced_ulb from crumb_traces group by truck_id
		)
		select truck_id, fed_ulb / 1e6 as fed_lb, (unplaced_ulb + coalesce(placed.ulb, 0)) / 1e6 as told_lb
		from fed left join placed using (truck_id)
		where fed_ulb <> unplaced_ulb + coalesce(placed.ulb, 0)
		order by truck_id`)
	if err != nil {
		return fmt.Errorf("check the pounds of positions: %w", err)
	}
	if len(wrong) == 0 {
		return nil
	}
	return fmt.Errorf("positions of truck %s: %g lb went out, %g lb are told; these must be equal (%d trucks): delete ledger.duckdb "+
		"and run again, and report it if it comes back",
		wrong[0].TruckID, wrong[0].FedLb, wrong[0].ToldLb, len(wrong))
}

// storedCounts is the query that counts the rows kept of every content; of positions those that were read as usable and the others.
func storedCounts() string {
	query := ""
	for i, feed := range contract.LoadedFeeds {
		if i > 0 {
			query += " union all "
		}
		kept := fmt.Sprintf("select sha256, 1 as rows from raw_%s", feed)
		if feed == contract.CrumbsFeed {
			kept += " union all select sha256, positions as rows from crumb_days"
		}
		kept += " union all select sha256, rows from rows_left_out where feed = " + ledger.QuoteText(feed)
		query += fmt.Sprintf("select %s as feed, sha256, sum(rows)::bigint as rows from (%s) group by sha256", ledger.QuoteText(feed), kept)
	}
	return query
}
