package site

import (
	"strings"

	"lanetally/site/book"
	"lanetally/site/pages"
	"lanetally/site/table"
)

// entry tells where the numbers of a table or a picture come from, and what may be done with its rows.
type entry struct {
	terms   []string // anchors on the methods page
	exports []string // beside the table's own download
	queries []string // tables whose query is linked beside those of the exports
	given   string   // what the district delivered, where no query stands between
	isFixed bool     // the rows' order says something, or their units differ: no sorting, no filters
	ofCrew  bool     // of one crew's page: as a table with a column of crews
}

// catalogue has every table by its id and every picture by its section's Picture or its chart's id. A name that ends in
// `-` stands for all ids that begin so.
var catalogue = map[string]entry{
	"set-aside":       {terms: []string{countedTerm}, queries: []string{"set_aside"}},
	"attention-table": {terms: []string{"beside-finding"}, queries: []string{"findings"}, isFixed: true},
	"changes-table":   {terms: []string{"beside-since-last-night"}, queries: []string{"since_last_night"}},
	"accepted-table":  {terms: []string{"beside-doubt-let-pass"}, queries: []string{"gate_causes"}},

	"claims": {terms: []string{"comparison-words-on-course"}, exports: []string{"learning", "comparison"},
		queries: []string{"learning_rows", "service_rows"}, isFixed: true},
	"answer": {terms: []string{"season-figures-season-so-far", "season-figures-first-and-latest-third", rateTerm},
		exports: []string{"storms"}, queries: []string{"tallies", "solids"}, isFixed: true},
	"past-seasons": {terms: []string{"beside-the-same-date", "season-figures-season-so-far", rateTerm}, exports: []string{"storms"},
		queries: []string{"tallies", "solids"}, isFixed: true},
	"route-seasons": {terms: []string{"beside-the-same-date", "season-figures-season-so-far", rateTerm}, exports: []string{"storms"},
		queries: []string{"tallies", "solids"}, isFixed: true},
	"season-rates": {terms: []string{rateTerm, bareTerm}, exports: []string{"storm_routes", "storms"},
		queries: []string{"tallies", "solids"}},
	"season-storms": {terms: []string{rateTerm, "words-application", bareTerm}, exports: []string{"storms"},
		queries: []string{"tallies", "solids"}},
	"strip": {terms: []string{"storms-storm", "storms-kind", "storms-water", "beside-minor-storm"}, exports: []string{"storms"}},

	"alike-": {terms: []string{"beside-storms-alike", "severity-words-severity-of-a-storm", rateTerm, bareTerm},
		exports: []string{"storms"}, queries: []string{"tallies", "solids"}},
	"storms-": {terms: []string{"storms-storm", "storms-kind", "storms-water", "severity-words-severity-of-a-storm", rateTerm,
		bareTerm, "beside-minor-storm"}, exports: []string{"storm_routes"}, queries: []string{"tallies", "solids", "storm_severity"}},
	"zones-table": {terms: []string{"storms-storm-in-a-zone", "storms-kind", "storms-water", "severity-words-severity-of-a-storm"},
		queries: []string{"storm_severity"}},
	"storm-picture": {terms: []string{"storms-wintry-observation", "words-pass", bareTerm}, exports: []string{"storms", "storm_routes"},
		queries: []string{"storm_passes", "observations_used", "weather_events"}},
	"routes-": {terms: []string{rateTerm, "routes-per-storm", "words-application", bareTerm, "routes-covered",
		"routes-on-cold-pavement"}, exports: []string{"storms"}},
	"work-":    {terms: []string{"words-round", "passes-measured", "routes-after-the-storm-s-begin", "routes-cost"}},
	"remarks-": {terms: []string{"beside-begins-and-ends-from-remarks"}, queries: []string{"weather_events"}},
	"reasons-table": {terms: []string{"learning-words-why-more-why-less"}, exports: []string{"storm_routes", "storms"},
		queries: []string{"storm_reasons"}},

	"routes-table": {terms: []string{rateTerm, "words-application", bareTerm, "beside-assignment"}, exports: []string{"storms"},
		queries: []string{"tallies", "solids"}, given: "assignments.csv and routes.csv"},
	"route-rates": {terms: []string{rateTerm, bareTerm}, exports: []string{"storm_routes", "storms"}},
	"route-storms": {terms: []string{rateTerm, "routes-per-storm", "words-application", bareTerm, "routes-covered",
		"routes-on-cold-pavement"}, exports: []string{"storms"}},
	"route-work": {terms: []string{"words-round", "passes-measured", "routes-after-the-storm-s-begin", "routes-cost"}},
	"route-coverage": {terms: []string{coverageTerm, "words-application"}, exports: []string{"coverage"},
		queries: []string{"coverage_tenths", "coverage_spans"}},
	"coverage-picture": {terms: []string{coverageTerm, "words-application"}, exports: []string{"coverage"},
		queries: []string{"coverage_tenths", "coverage_spans"}},
	"assignment-table": {terms: []string{"beside-assignment"}, given: "assignments.csv"},
	"outside-table":    {terms: []string{outsideTerm}},
	"outside-passes": {terms: []string{outsideTerm, "severity-words-frost-and-refreeze"}, exports: []string{"outside_storms"},
		queries: []string{"storm_passes", "outside_reasons"}},
	"outside-reasons": {terms: []string{outsideTerm, "severity-words-frost-and-refreeze"}, queries: []string{"outside_reasons"}},
	"frosts":          {terms: []string{"severity-words-frost-and-refreeze"}, queries: []string{"frost_sums"}},
	"crews-table":     {terms: []string{"season-figures-experience", "beside-assignment"}, given: "assignments.csv and crews.csv"},
	"crew-rates":      {terms: []string{rateTerm, "season-figures-experience"}, queries: []string{"crew_storms"}},
	"crew-storms": {terms: []string{rateTerm, bareTerm, "season-figures-experience"}, exports: []string{"storm_routes", "storms"},
		ofCrew: true},

	"sheet-zones": {terms: []string{"storms-storm-in-a-zone", "storms-kind", "storms-water"}, exports: []string{"storms"},
		isFixed: true},
	"sheet-dots":     {terms: []string{rateTerm, "severity-words-severity-of-a-storm"}, exports: []string{"storm_routes", "storms"}},
	"route-pictures": {terms: []string{rateTerm}, exports: []string{"storm_routes", "storms"}},
	"sheet-routes": {terms: []string{rateTerm, "words-application", bareTerm}, exports: []string{"storm_routes", "storms"},
		isFixed: true},
	"crew-routes": {terms: []string{rateTerm, "words-application", bareTerm, "beside-assignment"}, exports: []string{"storms"},
		queries: []string{"tallies", "solids"}, given: "assignments.csv"},
	"sheet-crew-routes": {terms: []string{rateTerm, "words-application", bareTerm}, exports: []string{"storm_routes", "storms"},
		queries: []string{"tallies", "solids"}, isFixed: true},

	"curve-picture": {terms: []string{"learning-words-the-curve", "learning-words-cannot-be-told-from-an-order"},
		exports: []string{"learning", "crew_storms"}, queries: []string{"learning_rows"}},
	"crew-curves": {terms: []string{"learning-words-the-curve", "learning-words-crews"}, exports: []string{"learning", "crew_storms"},
		queries: []string{"learning_rows"}},
	"curve-table": {terms: []string{"learning-words-the-curve"}, exports: []string{"crew_storms"}, queries: []string{"learning_rows"},
		isFixed: true},
	"learning-table": {terms: []string{"learning-words-change-per-doubling", "learning-words-service", "learning-words-crews"},
		queries: []string{"learning_rows", "service_rows"}},
	"fits-table": {terms: []string{"learning-words-the-curve", "learning-words-beside-salt", "learning-words-service"},
		exports: []string{"learning"}, queries: []string{"learning_rows", "beside_salt_rows", "service_rows"}, isFixed: true},
	"bases-table": {terms: []string{"material-words-depends-on-spreader-settings"}, exports: []string{"learning"},
		queries: []string{"learning_rows", "learning_rows_corrected"}, isFixed: true},
	"outliers-table": {terms: []string{"learning-words-for-review"}, exports: []string{"crew_storms", "storms"},
		queries: []string{"learning_rows"}},

	"comparison-picture": {terms: []string{"comparison-words-total-ratio", "comparison-words-which-routes"},
		exports: []string{"comparison"}},
	"measures-": {terms: []string{"comparison-words-total-ratio", "comparison-words-about-the-same",
		"comparison-words-roads-in-the-comparison"}, queries: []string{"whole_seasons"}, isFixed: true},
	"pairs-table-": {terms: []string{"comparison-words-which-routes", "routes-per-storm", bareTerm}, exports: []string{"storms"},
		queries: []string{"comparison_zones"}},
	"used-table": {terms: []string{"comparison-words-what-was-used", bareTerm}, queries: []string{"used_rates"}},

	"ratio-pictures": {terms: []string{"material-words-weighed-and-spread", "material-words-agrees"},
		exports: []string{"reconciliation"}},
	"settings-to-check":  {terms: []string{"material-words-set-for-another-material"}},
	"calibrations-table": {terms: []string{"material-words-calibration-due"}},
	"corrected-table": {terms: []string{"material-words-by-weighed-loads", rateTerm}, exports: []string{"storm_routes", "storms"},
		queries: []string{"tallies", "solids", "storm_routes_corrected"}},
	"weeks-table": {terms: []string{"material-words-weighed-and-spread", "material-words-agrees"}},

	"outlook-pictures": {terms: []string{"stock-words-need-to-the-season-s-end", "stock-words-choices-of-the-outlook", "stock-words-seed"},
		exports: []string{"stock_outlook"}, queries: []string{"stock_on_hand"}},
	"outlook-table": {terms: []string{"stock-words-need-to-the-season-s-end", "stock-words-order-by", "stock-words-seed"},
		queries: []string{"stock_on_hand"}},
	"piles-table":  {terms: []string{"stock-words-the-book"}, queries: []string{"stock_on_hand"}},
	"counts-table": {terms: []string{"stock-words-the-book"}, queries: []string{"stock_book"}},
	"book-table":   {terms: []string{"stock-words-the-book"}, queries: []string{"stock_book"}},

	"season-costs-table": {terms: []string{"money-words-cost"}},
	"prices-table":       {terms: []string{"money-words-cost"}, given: "prices.csv"},
	"break-even-table":   {terms: []string{"money-words-break-even-price"}},
	"storm-costs-table": {terms: []string{"money-words-cost", bareTerm}, exports: []string{"storm_routes", "storms"},
		queries: []string{"cost_sums", "tallies", "costs", "pass_costs"}},
	"route-costs-table": {terms: []string{"money-words-cost", bareTerm}, exports: []string{"storm_routes", "storms"},
		queries: []string{"cost_sums", "tallies", "costs", "pass_costs"}},
	"damage-table": {terms: []string{"money-words-damage"}, queries: []string{"damage_assumptions"}},

	"watersheds-table": {terms: []string{"water-words-chloride-by-watershed", "water-words-chloride-kept-off-by-watershed",
		"water-words-oxygen-demand"}, queries: []string{"tallies", "chloride_kept_off"}},
	"watershed-storms-table": {terms: []string{"water-words-chloride-by-watershed", "water-words-chloride-kept-off-by-watershed",
		"water-words-oxygen-demand"}, queries: []string{"tallies", "chloride_kept_off"}},
	"criteria-table": {terms: []string{"water-words-criteria"}, given: "the sources that the table names", isFixed: true},
	"talk-table": {terms: []string{"water-words-cold-wind-early-late", bareTerm}, exports: []string{"storm_routes", "storms"},
		queries: []string{"timing_talk"}},

	"quarantine-table": {terms: []string{countedTerm}},
	"findings-table":   {terms: []string{"beside-finding"}, queries: []string{"findings"}},
	"weather-table": {terms: []string{"severity-words-a-stuck-sensor", "severity-words-a-jump", "severity-words-a-clock-ahead",
		"severity-words-silent-in-a-storm", "severity-words-what-reports-say-of-themselves"}, queries: []string{"weather_doubts"}},
	"intake-table":    {terms: []string{countedTerm}},
	"positions-table": {terms: []string{"position-words-matching", "position-words-weak-passes"}, queries: []string{"position_trucks"}},
	"unknown-table":   {terms: []string{"beside-column-not-read"}, given: "the deliveries"},

	"severity-table": {terms: []string{"severity-words-severity-of-a-storm", "severity-words-how-reports-map-to-the-classes"},
		queries: []string{"severity_index", "storm_severity"}, isFixed: true},
	"season-severity-table": {terms: []string{"severity-words-severity-of-a-season"}, exports: []string{"season_severity"}},
	"gaps-table":            {terms: []string{"storms-storm"}, queries: []string{"storm_counts_by_gap"}},
	"settings-table":        {terms: []string{"beside-setting"}, given: "district.toml"},
	"versions-table":        {terms: []string{rateTerm, bareTerm, "words-season"}, given: "the demo district", isFixed: true},
	"columns-":              {terms: []string{"rows-a-missing-value"}, isFixed: true},
}

// Anchors that many tables share.
const (
	rateTerm     = "routes-rate"
	bareTerm     = "routes-bare-lane-after"
	countedTerm  = "rows-counted-duplicate-correction-set-aside"
	coverageTerm = "words-coverage"
	outsideTerm  = "passes-which-storm-a-pass-belongs-to"
)

// entryOf finds the entry of a table or picture: by its whole name, else by the longest beginning; empty without one.
func entryOf(name string) entry {
	if e, found := catalogue[name]; found {
		return e
	}
	for end := len(name) - 1; end > 0; end-- {
		if e, found := catalogue[name[:end]]; found && name[end-1] == '-' {
			return e
		}
	}
	return entry{}
}

// why answers the question behind every number of a table or picture: what it means, what computed it, where it can be
// taken from. The links are relative to the page.
type why struct {
	Terms, Queries, Files []table.Cell
	Given                 string
}

// whyOf links what the catalogue knows of a table or picture; download is the table's own file, "" for none. Only what is
// published is linked.
func whyOf(b *book.Book, root, name, download string) why {
	e := entryOf(name)
	w := why{Given: e.given}
	for _, anchor := range e.terms {
		w.Terms = append(w.Terms, table.Link(pages.TermNames[anchor], root+"methods.html#"+anchor))
	}
	var exports []string
	if stem, isCSV := strings.CutSuffix(download, ".csv"); isCSV {
		exports = append(exports, stem)
	}
	exports = append(exports, e.exports...)
	for _, shown := range append(exports[:len(exports):len(exports)], e.queries...) {
		if file := pages.QueryOf(b, shown); file != "" {
			w.Queries = append(w.Queries, table.Link(file, root+"queries/"+file))
		}
	}
	for _, export := range exports {
		for _, file := range []string{export + ".csv", export + ".parquet"} {
			if b.IsPublished(file) {
				w.Files = append(w.Files, table.Link(file, root+"data/"+file))
			}
		}
	}
	return w
}
