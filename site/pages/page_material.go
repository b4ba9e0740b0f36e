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
		AllTickets          int64
	}
	var runs []run
	for _, weeks := range book.Grouped(slices.DeleteFunc(slices.Clone(list),
		func(r rows.Reconciliation) bool { return !book.IsWrongSetting(r.Finding) }),
		func(r rows.Reconciliation) key {
			return key{truckMaterial{r.TruckID, r.MaterialID}, r.Finding, book.SeasonOfDate(r.Week)}
		}) {
		run := run{weeks[len(weeks)-1], weeks[0].Week, 0}
		for _, r := range weeks {
			run.AllTickets += r.Tickets
		}
		runs = append(runs, run)
	}
	shown := table.Filled(b, table.Place{ID: "settings-to-check"}, runs, table.Own[run]{
		"check": func(r run) any {
			material, _, _ := strings.Cut(strings.TrimPrefix(r.Finding, "set for "), "?")
			return words.Say(b.Units, "setting", material, r.RunningRatio)
		},
		"weeks": func(r run) any { return table.Shown{Text: weekSpan(r.first, r.Week), By: r.first} }})
	return table.Section{ID: "settings", Title: "Settings to check", Text: []string{words.Say(b.Units, "check")},
		Tables: []table.Table{shown}}
}

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
	due := book.Where(latest, isCalibrationDue)
	shown := table.Filled(b, table.Place{ID: "calibrations-table"},
		append(due, book.Where(latest, func(r rows.Reconciliation) bool { return !r.IsCalibrationDue })...), table.Own[rows.Reconciliation]{
			"calibrated": func(r rows.Reconciliation) any {
				if r.CalibratedAt == nil {
					return table.Shown{Text: "never", By: r.CalibratedAt}
				}
				return table.Shown{Text: b.Clock.Day(*r.CalibratedAt), By: r.CalibratedAt}
			},
			"state": func(r rows.Reconciliation) any {
				if r.IsCalibrationDue {
					return "due"
				}
				return "in date"
			}})
	return table.Section{ID: "calibrations", Title: "Calibrations due", Tables: []table.Table{shown},
		Text: []string{words.Say(b.Units, "calibrations", len(due), len(latest), b.Setting("calibration_days"))}}
}

// correctedSection sets each class's rates by weighed loads beside the reported ones of the same route-storms.
func correctedSection(b *book.Book, season string) table.Section {
	var list []rows.Tally
	for _, class := range b.Sides() {
		if c := b.CountClass(season, class); c.Season.Weighed > 0 {
			list = append(list, c.Season)
		}
	}
	shown := table.Filled[rows.Tally](b, table.Place{ID: "corrected-table", Names: []any{season}}, list, nil)
	return table.Section{ID: "corrected", Title: b.UnitWords("Pounds by weighed loads"),
		Text: []string{words.Say(b.Units, "lead with", b.LeadsCorrected())}, Tables: []table.Table{shown}}
}

// weeksSection shows the latest weeks of reconciliation row by row.
func weeksSection(b *book.Book, list []rows.Reconciliation) table.Section {
	byWeek := book.Sorted(list, func(x, y rows.Reconciliation) int {
		return cmp.Or(y.Week.Compare(x.Week), cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.MaterialID, y.MaterialID))
	})
	weeks := map[time.Time]bool{}
	byWeek = book.Where(byWeek, func(r rows.Reconciliation) bool {
		weeks[r.Week] = true
		return len(weeks) <= ReconciledWeeks
	})
	shown := table.Filled(b, table.Place{ID: "weeks-table"}, byWeek, table.Own[rows.Reconciliation]{
		"finding": func(r rows.Reconciliation) any { return words.Say(b.Units, "finding", r.Finding) }})
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
	verdict := ""
	if l := b.LearningOf(rows.AllCrews); l != nil {
		verdict = l.Verdict
	}
	road, service := besideOf(b, points), b.RoadsOf(latestCompared(b)).RegainVerdict
	shown := table.Filled(b, table.Place{ID: "bases-table"}, list, table.Own[rows.LearningBasis]{
		"pounds":  func(l rows.LearningBasis) any { return names[l.Basis] },
		"verdict": func(l rows.LearningBasis) any { return words.Say(b.Units, "verdict", l.Verdict, service) },
		"beside":  func(rows.LearningBasis) any { return road }})
	return table.Section{ID: "bases", Title: b.UnitWords("By reported and by weighed pounds"),
		Text:   []string{words.Say(b.Units, "bases", of["reported"], of["corrected"], service, verdict)},
		Tables: []table.Table{shown}, Links: []table.Cell{table.Link("Material: settings to check", "material.html#settings")}}
}
