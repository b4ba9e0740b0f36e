package site

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// reconciledWeeks is how many weeks the table of weeks shows; the file has them all.
const reconciledWeeks = 8

// truckMaterial names the rows of reconciliation that one picture shows.
type truckMaterial struct{ truckID, materialID string }

// reconciled lists the rows of reconciliation by truck, material and week.
func (b *book) reconciled() []Reconciliation {
	return sorted(b.data.Reconciliation, func(x, y Reconciliation) int {
		return cmp.Or(cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.MaterialID, y.MaterialID), x.Week.Compare(y.Week))
	})
}

// seasonOfDate is the season, such as 2029-30, of a calendar date: 1 July to 30 June.
func seasonOfDate(date time.Time) string {
	year := date.UTC().Year()
	if date.UTC().Month() < time.July {
		year--
	}
	return seasonName(year)
}

func isWrongSetting(finding string) bool { return strings.HasPrefix(finding, "set for ") }

// materialPage answers whether what was spread agrees with what was weighed, and which settings and calibrations to check.
func (b *book) materialPage() page {
	rows := b.reconciled()
	season := b.latestReconciled(rows)
	p := page{Title: "Material", Nav: "material", Lead: materialSentence(b.units, season, b.materialSums(rows, season), b.through())}
	p.Sections = append(p.Sections, b.settingsToCheck(rows), b.trucksSection(rows), b.calibrationsSection(rows), b.correctedSection(season), b.weeksSection(rows))
	return p
}

func (b *book) latestReconciled(rows []Reconciliation) string {
	latest := ""
	for _, r := range rows {
		latest = max(latest, seasonOfDate(r.Week))
	}
	return cmp.Or(latest, b.latestSeason())
}

func (b *book) materialSums(rows []Reconciliation, season string) materialSums {
	var s materialSums
	trucks, settings := map[string]bool{}, map[string]bool{}
	for _, r := range rows {
		if seasonOfDate(r.Week) != season {
			continue
		}
		trucks[r.TruckID] = true
		if r.Tickets > 0 && r.Passes > 0 && r.Ratio != nil {
			s.weighed++
			if r.Finding == "agrees" {
				s.agree++
			}
		}
		if isWrongSetting(r.Finding) && !settings[r.TruckID] {
			settings[r.TruckID] = true
			s.settingTrucks = append(s.settingTrucks, r.TruckID)
		}
	}
	for _, r := range latestOfTrucks(rows) {
		if r.IsCalibrationDue {
			s.due++
		}
	}
	s.trucks, s.settings = len(trucks), len(settings)
	return s
}

// latestOfTrucks are the latest rows of each truck and material.
func latestOfTrucks(rows []Reconciliation) []Reconciliation {
	var latest []Reconciliation
	for i, r := range rows {
		if i+1 == len(rows) || rows[i+1].TruckID != r.TruckID || rows[i+1].MaterialID != r.MaterialID {
			latest = append(latest, r)
		}
	}
	return latest
}

// settingsToCheck gathers the weeks with one finding of a truck and material, the latest first.
func (b *book) settingsToCheck(rows []Reconciliation) Section {
	table := Table{ID: "settings-to-check", Caption: "Trucks whose weighed loads sit near another material's density", Download: "reconciliation.csv",
		Empty:   "No truck's weighed loads point to a wrong material setting.",
		Columns: []Column{words("Truck"), words("Material"), prose("Check"), words("Weeks of"), figures("Running ratio", "weighed / spread"), figures("Tickets", "in these weeks")}}
	type key struct {
		truckMaterial
		finding, season string
	}
	groups := grouped(slices.DeleteFunc(slices.Clone(rows), func(r Reconciliation) bool { return !isWrongSetting(r.Finding) }),
		func(r Reconciliation) key {
			return key{truckMaterial{r.TruckID, r.MaterialID}, r.Finding, seasonOfDate(r.Week)}
		})
	var list [][]Reconciliation
	for _, group := range groups {
		list = append(list, group)
	}
	for _, group := range sorted(list, func(x, y []Reconciliation) int {
		return cmp.Or(y[len(y)-1].Week.Compare(x[len(x)-1].Week), cmp.Compare(x[0].TruckID, y[0].TruckID), cmp.Compare(x[0].MaterialID, y[0].MaterialID), cmp.Compare(x[0].Finding, y[0].Finding))
	}) {
		last, tickets := group[len(group)-1], int64(0)
		for _, r := range group {
			tickets += r.Tickets
		}
		table.Rows = append(table.Rows, Row{Cells: cells(last.TruckID, last.MaterialID, settingSentence(b.units, last.Finding, last.RunningRatio), weekSpan(group[0].Week, last.Week), ratios(last.RunningRatio), whole(tickets))})
	}
	return Section{ID: "settings", Title: "Settings to check", Text: []string{checkNotVerdict}, Tables: []Table{table}}
}

func weekSpan(first, last time.Time) string {
	if first.Equal(last) {
		return date(first)
	}
	return date(first) + " to " + date(last)
}

// trucksSection draws each truck's running ratio on one scale.
func (b *book) trucksSection(rows []Reconciliation) Section {
	s := Section{ID: "trucks", Title: "Weighed against spread, truck by truck", Picture: "ratio-pictures", Text: []string{ratioSentence(b.units, b.setting("reconcile_tolerance"), b.setting("reconcile_weeks"))}}
	scales := b.ratioScales(rows)
	for start := 0; start < len(rows); {
		end := start
		for end < len(rows) && rows[end].TruckID == rows[start].TruckID && rows[end].MaterialID == rows[start].MaterialID {
			end++
		}
		s.Figures = append(s.Figures, Figure{Title: truckTitle(rows[start].TruckID, rows[start].MaterialID, latestRatio(rows[start:end]), scales.tolerance), Drawing: b.ratioFigure(rows[start:end], scales), IsSmall: true})
		start = end
	}
	if len(s.Figures) == 0 {
		s.Figures = []Figure{{Drawing: stateDrawing("no load weighed and no solid spread yet")}}
	}
	return s
}

// latestRatio is the latest row with a running ratio; nil without one.
func latestRatio(rows []Reconciliation) *Reconciliation {
	for i := len(rows) - 1; i >= 0; i-- {
		if rows[i].RunningRatio != nil {
			return &rows[i]
		}
	}
	return nil
}

// calibrationsSection lists when each spreader was last calibrated for each material, those due first.
func (b *book) calibrationsSection(rows []Reconciliation) Section {
	table := Table{ID: "calibrations-table", Caption: "Calibrations as of each truck's latest week with the material, those due first", Download: "reconciliation.csv", Empty: "No truck has spread solids yet.",
		Columns: []Column{words("Truck"), words("Material"), words("Last calibrated"), figures("Age", "days"), words("State"), words("Latest week of")}}
	due, latest := 0, latestOfTrucks(rows)
	slices.SortStableFunc(latest, func(x, y Reconciliation) int { return -compareBools(x.IsCalibrationDue, y.IsCalibrationDue) })
	for _, r := range latest {
		at, state := "never", "in date"
		if r.CalibratedAt != nil {
			at = b.clock.day(*r.CalibratedAt)
		}
		if r.IsCalibrationDue {
			state = "due"
			due++
		}
		table.Rows = append(table.Rows, Row{Cells: cells(r.TruckID, r.MaterialID, at, fixed(r.CalibrationAgeDays, 0), state, date(r.Week))})
	}
	return Section{ID: "calibrations", Title: "Calibrations due", Text: []string{calibrationsSentence(due, len(latest), b.setting("calibration_days"))}, Tables: []Table{table}}
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
func (b *book) correctedSection(season string) Section {
	table := Table{ID: "corrected-table", Caption: "Solids in closed storms of " + season + " that weighed loads cover", Empty: "No route-storm has weighed loads for all its passes.",
		Note:    "Both rates are of the same route-storms, those whose every pass weighed loads cover. Files keep what was reported.",
		Columns: []Column{words("Class"), figures("Rate", "lb per lane-mile, as reported"), figures("Rate", "lb per lane-mile, by weighed loads"), figures("Weighed", "route-storms"), figures("Of", "route-storms"), figures("Bare lane after", "h"), figures("Mean air", "°F"), figures("Lowest pavement", "°F")}}
	for _, class := range []string{acetate, chloride} {
		t := b.countClass(season, class).season
		if t.corrected > 0 {
			table.Rows = append(table.Rows, Row{Cells: append([]Cell{{Text: class, Class: class}}, cells(b.rate(t.reportedRate()), b.rate(t.correctedRate()), whole(t.corrected), whole(t.routeStorms), hours(t.regainH()), b.degrees(t.airF()), b.degrees(t.surfaceFMin))...)})
		}
	}
	return Section{ID: "corrected", Title: b.unitWords("Pounds by weighed loads"), Text: []string{leadWithSentence(b.units, b.leadsCorrected())}, Tables: []Table{table}}
}

// weeksSection shows the latest weeks of reconciliation row by row.
func (b *book) weeksSection(rows []Reconciliation) Section {
	byWeek := sorted(rows, func(x, y Reconciliation) int {
		return cmp.Or(y.Week.Compare(x.Week), cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.MaterialID, y.MaterialID))
	})
	table := Table{ID: "weeks-table", Caption: "Each truck and material in the latest weeks with solids", Download: "reconciliation.csv", Empty: "No week yet.",
		Note:    "Weeks run from Monday to Sunday. A load belongs to the week of its truck's next pass with that material. The file holds every week.",
		Columns: []Column{words("Week of"), words("Truck"), words("Material"), figures("Passes", ""), figures("Tickets", ""), figures("Spread", "lb"), figures("Weighed", "lb"), figures("Ratio", "weighed / spread"), figures("Running ratio", "weighed / spread"), prose("Finding")}}
	weeks := 0
	for i, r := range byWeek {
		row := Row{Cells: cells(date(r.Week), r.TruckID, r.MaterialID, whole(r.Passes), whole(r.Tickets), b.pounds(r.SpreadLb), b.pounds(r.WeighedLb), ratios(r.Ratio), ratios(r.RunningRatio), findingWords(r.Finding))}
		if i == 0 || !byWeek[i-1].Week.Equal(r.Week) {
			row.Mark = "parted"
			weeks++
		}
		if weeks > reconciledWeeks {
			break
		}
		table.Rows = append(table.Rows, row)
	}
	return Section{ID: "weeks", Title: "Week by week", Tables: []Table{table}}
}

// basesSection sets the learning fit on reported pounds beside the one on pounds by weighed loads.
func (b *book) basesSection(points []ratePoint) Section {
	table := Table{ID: "bases-table", Caption: b.unitWords("One curve, fitted on either basis of pounds"), Empty: "No fit yet.",
		Columns: []Column{words("Pounds"), figures("Rows", ""), figures("Storms", ""), figures("First storm", "lb per lane-mile"), figures("Latest", "lb per lane-mile"), figures("Change", "% per doubling"), figures("from", "%"), figures("to", "%"), prose("Verdict")}}
	table.Columns = append(table.Columns, besideColumns...)
	of := map[string]*LearningBasis{}
	for i := range b.data.LearningBases {
		of[b.data.LearningBases[i].Basis] = &b.data.LearningBases[i]
	}
	order := []string{"reported", "corrected"}
	if b.leadsCorrected() {
		slices.Reverse(order)
	}
	names := map[string]string{"reported": "As reported by spreaders", "corrected": "By weighed loads"}
	for _, basis := range order {
		if l := of[basis]; l != nil {
			table.Rows = append(table.Rows, Row{Cells: cells(append([]string{names[basis], count(l.Rows), count(l.Storms), b.rate(l.StartRate), b.rate(l.LatestRate), signedTenth(l.ChangePct), signedTenth(l.ChangeLow90Pct), signedTenth(l.ChangeHigh90Pct), verdictWords(l.Verdict)}, b.besideTexts(points)...)...)})
		}
	}
	return Section{ID: "bases", Title: b.unitWords("By reported and by weighed pounds"), Text: []string{basesSentence(b.units, of["reported"], of["corrected"])}, Tables: []Table{table}, Links: []Cell{link("Material: settings to check", "material.html#settings")}}
}
