package pages

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// ReconciledWeeks is how many weeks the table of weeks shows; the file has them all.
const ReconciledWeeks = 8

// truckMaterial names the rows of reconciliation that one picture shows.
type truckMaterial struct{ truckID, materialID string }

// MaterialPage answers whether what was spread agrees with what was weighed, and which settings and calibrations to check.
func MaterialPage(b *book.Book) table.Page {
	rows := b.Reconciled()
	season := latestReconciled(b, rows)
	p := table.Page{Title: "Material", Nav: "material",
		Lead: words.Say(b.Units, "material", season, materialSums(b, rows, season), b.Through())}
	p.Sections = append(p.Sections, settingsToCheck(b, rows), trucksSection(b, rows), calibrationsSection(b, rows),
		correctedSection(b, season), weeksSection(b, rows))
	return p
}

func latestReconciled(b *book.Book, rows []rows.Reconciliation) string {
	latest := ""
	for _, r := range rows {
		latest = max(latest, book.SeasonOfDate(r.Week))
	}
	return cmp.Or(latest, b.LatestSeason())
}

func materialSums(b *book.Book, rows []rows.Reconciliation, season string) words.MaterialSums {
	var s words.MaterialSums
	trucks, settings := map[string]bool{}, map[string]bool{}
	for _, r := range rows {
		if book.SeasonOfDate(r.Week) != season {
			continue
		}
		trucks[r.TruckID] = true
		if r.Tickets > 0 && r.Passes > 0 && r.Ratio != nil {
			s.Weighed++
			if strings.HasPrefix(r.Finding, "agrees") {
				s.Agree++
			}
		}
		if book.IsWrongSetting(r.Finding) && !settings[r.TruckID] {
			settings[r.TruckID] = true
			s.SettingTrucks = append(s.SettingTrucks, r.TruckID)
		}
	}
	s.Due = book.CountOf(latestOfTrucks(rows), isCalibrationDue)
	s.Trucks, s.Settings = len(trucks), len(settings)
	return s
}

func isCalibrationDue(r rows.Reconciliation) bool { return r.IsCalibrationDue }

// latestOfTrucks are the latest rows of each truck and material.
func latestOfTrucks(list []rows.Reconciliation) []rows.Reconciliation {
	var latest []rows.Reconciliation
	for i, r := range list {
		if i+1 == len(list) || list[i+1].TruckID != r.TruckID || list[i+1].MaterialID != r.MaterialID {
			latest = append(latest, r)
		}
	}
	return latest
}

// settingsToCheck gathers the weeks with one finding of a truck and material, the latest first.
func settingsToCheck(b *book.Book, list []rows.Reconciliation) table.Section {
	type key struct {
		truckMaterial
		finding, season string
	}
	type run struct {
		rows.Reconciliation // of the last week
		first               time.Time
		tickets             int64
	}
	var runs []run
	for _, weeks := range book.Grouped(slices.DeleteFunc(slices.Clone(list),
		func(r rows.Reconciliation) bool { return !book.IsWrongSetting(r.Finding) }),
		func(r rows.Reconciliation) key {
			return key{truckMaterial{r.TruckID, r.MaterialID}, r.Finding, book.SeasonOfDate(r.Week)}
		}) {
		run := run{weeks[len(weeks)-1], weeks[0].Week, 0}
		for _, r := range weeks {
			run.tickets += r.Tickets
		}
		runs = append(runs, run)
	}
	slices.SortFunc(runs, func(x, y run) int {
		return cmp.Or(y.Week.Compare(x.Week), cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.MaterialID, y.MaterialID),
			cmp.Compare(x.Finding, y.Finding))
	})
	shown := table.Filled(b, table.Table{ID: "settings-to-check",
		Caption:  "Trucks whose weighed loads sit near another material's density",
		Download: "reconciliation.csv", Empty: "No truck's weighed loads point to a wrong material setting."}, []table.Column[run]{
		table.TruckColumn(func(r run) string { return r.TruckID }),
		table.Words("Material", func(r run) string { return r.MaterialID }).Picked(),
		table.Prose("Check", func(r run) string {
			material, _, _ := strings.Cut(strings.TrimPrefix(r.Finding, "set for "), "?")
			return words.Say(b.Units, "setting", material, r.RunningRatio)
		}),
		table.Dates("Weeks of", func(r run) *time.Time { return &r.first }).Showing(func(r run) string {
			return weekSpan(r.first,
				r.Week)
		}),
		table.Numbers(b, "Running ratio", "weighed / spread", table.Hundredths, func(r run) *float64 { return r.RunningRatio }),
		table.Wholes("Tickets", "in these weeks", func(r run) int64 { return r.tickets }),
	}, runs)
	return table.Section{ID: "settings", Title: "Settings to check", Text: []string{words.Say(b.Units, "check")},
		Tables: []table.Table{shown}}
}

// truckMaterials name what a row of reconciliation is about.
var truckMaterials = []table.Column[rows.Reconciliation]{table.TruckColumn(func(r rows.Reconciliation) string { return r.TruckID }),
	table.Words("Material", func(r rows.Reconciliation) string { return r.MaterialID }).Picked()}

func weekSpan(first, last time.Time) string {
	if first.Equal(last) {
		return format.Date(first)
	}
	return format.Date(first) + " to " + format.Date(last)
}

// trucksSection draws each truck's running ratio on one scale.
func trucksSection(b *book.Book, rows []rows.Reconciliation) table.Section {
	s := table.Section{ID: "trucks", Title: "Weighed against spread, truck by truck", Picture: "ratio-pictures",
		Text: []string{words.Say(b.Units, "running ratio", b.Setting("reconcile_tolerance"), b.Setting("reconcile_weeks"))}}
	scales := draw.RatioScales(b, rows)
	for start := 0; start < len(rows); {
		end := start
		for end < len(rows) && rows[end].TruckID == rows[start].TruckID && rows[end].MaterialID == rows[start].MaterialID {
			end++
		}
		s.Figures = append(s.Figures, table.Figure{Title: words.TruckTitle(b.Units, rows[start].TruckID, rows[start].MaterialID,
			book.LatestRatio(rows[start:end]), scales.Tolerance), Drawing: draw.RatioFigure(b, rows[start:end], scales), IsSmall: true})
		start = end
	}
	if len(s.Figures) == 0 {
		s.Figures = []table.Figure{{Drawing: draw.StateDrawing("no load weighed and no solid spread yet")}}
	}
	return s
}

// calibrationsSection lists when each spreader was last calibrated for each material, those due first.
func calibrationsSection(b *book.Book, list []rows.Reconciliation) table.Section {
	latest := latestOfTrucks(list)
	slices.SortStableFunc(latest, func(x, y rows.Reconciliation) int { return -compareBools(x.IsCalibrationDue, y.IsCalibrationDue) })
	due := book.CountOf(latest, isCalibrationDue)
	calibrated := func(r rows.Reconciliation) string {
		if r.CalibratedAt == nil {
			return "never"
		}
		return b.Clock.Day(*r.CalibratedAt)
	}
	state := func(r rows.Reconciliation) string {
		if r.IsCalibrationDue {
			return "due"
		}
		return "in date"
	}
	shown := table.Filled(b, table.Table{ID: "calibrations-table",
		Caption:  "Calibrations as of each truck's latest week with the material, those due first",
		Download: "reconciliation.csv", Empty: "No truck has spread solids yet."}, append(slices.Clone(truckMaterials),
		table.Moments(b, "Last calibrated", func(r rows.Reconciliation) *time.Time { return r.CalibratedAt }).Showing(calibrated),
		table.Numbers(b, "Age", "days", table.Ones, func(r rows.Reconciliation) *float64 { return r.CalibrationAgeDays }),
		table.Words("State", state),
		table.Dates("Latest week of", weekOf)), latest)
	return table.Section{ID: "calibrations", Title: "Calibrations due",
		Text: []string{words.Say(b.Units, "calibrations", due, len(latest), b.Setting("calibration_days"))}, Tables: []table.Table{shown}}
}

func compareBools(x, y bool) int {
	switch {
	case x == y:
		return 0
	case x:
		return 1
	}
	return -1
}

// correctedSection sets each class's rates by weighed loads beside the reported ones of the same route-storms.
func correctedSection(b *book.Book, season string) table.Section {
	var list []book.ClassTally
	for _, class := range b.Sides() {
		if c := b.CountClass(season, class); c.Season.Weighed > 0 {
			list = append(list, c)
		}
	}
	columns := []table.Column[book.ClassTally]{table.ClassColumn("", func(c book.ClassTally) string { return c.Class })}
	shown := table.Filled(b, table.Table{ID: "corrected-table",
		Caption: "Solids in closed storms of " + season + " that weighed loads cover",
		Empty:   "No route-storm has weighed loads for all its passes.",
		Note:    "Both rates are of the same route-storms, those whose every pass weighed loads cover. Files keep what was reported."},
		append(columns, table.At(func(c book.ClassTally) rows.Tally { return c.Season }, append([]table.Column[rows.Tally]{
			table.Numbers(b, "Rate", "lb per lane-mile, as reported", format.MassRate,
				func(t rows.Tally) *float64 { return t.ReportedRate }),
			table.Numbers(b, "Rate", "lb per lane-mile, by weighed loads", format.MassRate,
				func(t rows.Tally) *float64 { return t.WeighedRate }),
			table.Wholes("Weighed", "route-storms", func(t rows.Tally) int64 { return t.Weighed }),
			table.Wholes("Of", "route-storms", func(t rows.Tally) int64 { return t.RouteStorms })}, besideColumns(b)...))...), list)
	return table.Section{ID: "corrected", Title: b.UnitWords("Pounds by weighed loads"),
		Text: []string{words.Say(b.Units, "lead with", b.LeadsCorrected())}, Tables: []table.Table{shown}}
}

// weeksSection shows the latest weeks of reconciliation row by row.
func weeksSection(b *book.Book, list []rows.Reconciliation) table.Section {
	byWeek := book.Sorted(list, func(x, y rows.Reconciliation) int {
		return cmp.Or(y.Week.Compare(x.Week), cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.MaterialID, y.MaterialID))
	})
	weeks := map[time.Time]bool{}
	end := slices.IndexFunc(byWeek, func(r rows.Reconciliation) bool {
		weeks[r.Week] = true
		return len(weeks) > ReconciledWeeks
	})
	if end >= 0 {
		byWeek = byWeek[:end]
	}
	shown := table.Filled(b, table.Table{ID: "weeks-table", Caption: "Each truck and material in the latest weeks with solids",
		Download: "reconciliation.csv", Empty: "No week yet.",
		Note: "Weeks run from Monday to Sunday. A load belongs to the week of its truck's next pass with that material. " +
			"The file holds every week."},
		slices.Concat([]table.Column[rows.Reconciliation]{table.Dates("Week of", weekOf)}, truckMaterials,
			[]table.Column[rows.Reconciliation]{
				table.Wholes("Passes", "", func(r rows.Reconciliation) int64 { return r.Passes }),
				table.Wholes("Tickets", "", func(r rows.Reconciliation) int64 { return r.Tickets }),
				table.Numbers(b, "Spread", "lb", format.Mass, func(r rows.Reconciliation) *float64 { return r.SpreadLb }),
				table.Numbers(b, "Weighed", "lb", format.Mass, func(r rows.Reconciliation) *float64 { return r.WeighedLb }),
				table.Numbers(b, "Ratio", "weighed / spread", table.Hundredths, func(r rows.Reconciliation) *float64 { return r.Ratio }),
				table.Numbers(b, "Running ratio", "weighed / spread", table.Hundredths,
					func(r rows.Reconciliation) *float64 { return r.RunningRatio }),
				table.Prose("Finding", func(r rows.Reconciliation) string { return words.Say(b.Units, "finding", r.Finding) }).Picked()}),
		byWeek, table.PartedBy(func(r rows.Reconciliation) time.Time { return r.Week }))
	return table.Section{ID: "weeks", Title: "Week by week", Tables: []table.Table{shown}}
}

// basesSection sets the learning fit on reported pounds beside the one on pounds by weighed loads.
func basesSection(b *book.Book, points []book.RatePoint) table.Section {
	of := map[string]*rows.LearningBasis{}
	for i := range b.Data.LearningBases {
		of[b.Data.LearningBases[i].Basis] = &b.Data.LearningBases[i]
	}
	order := []string{"reported", "corrected"}
	if b.LeadsCorrected() {
		slices.Reverse(order)
	}
	var list []rows.LearningBasis
	for _, basis := range order {
		if l := of[basis]; l != nil {
			list = append(list, *l)
		}
	}
	names := map[string]string{"reported": "As reported by spreaders", "corrected": "By weighed loads"}
	road, service := besideOf(b, points), b.RoadsOf(latestCompared(b)).RegainVerdict
	shown := table.Filled(b, table.Table{ID: "bases-table", Caption: b.UnitWords("One curve, fitted on either basis of pounds"),
		Empty: "No fit yet."},
		besideRates(b, func(rows.LearningBasis) beside { return road }, []table.Column[rows.LearningBasis]{
			table.Words("Pounds", func(l rows.LearningBasis) string { return names[l.Basis] }),
			table.Wholes("Rows", "", func(l rows.LearningBasis) int64 { return l.Rows }),
			table.Wholes("Storms", "", func(l rows.LearningBasis) int64 { return l.Storms }),
			table.Numbers(b, "First storm", "lb per lane-mile", format.MassRate,
				func(l rows.LearningBasis) *float64 { return l.StartRate }),
			table.Numbers(b, "Latest", "lb per lane-mile", format.MassRate, func(l rows.LearningBasis) *float64 { return l.LatestRate }),
			table.SignedNumbers(b, "Change", "% per doubling", table.Tenths, func(l rows.LearningBasis) *float64 { return l.ChangePct }),
			table.SignedNumbers(b, "from", "%", table.Tenths, func(l rows.LearningBasis) *float64 { return l.ChangeLow90Pct }),
			table.SignedNumbers(b, "to", "%", table.Tenths, func(l rows.LearningBasis) *float64 { return l.ChangeHigh90Pct }),
			table.Prose("Verdict", func(l rows.LearningBasis) string { return words.Say(b.Units, "verdict", l.Verdict, service) })}), list)
	return table.Section{ID: "bases", Title: b.UnitWords("By reported and by weighed pounds"),
		Text:   []string{words.Say(b.Units, "bases", of["reported"], of["corrected"], service)},
		Tables: []table.Table{shown}, Links: []table.Cell{table.Link("Material: settings to check", "material.html#settings")}}
}

func weekOf(r rows.Reconciliation) *time.Time { return &r.Week }
