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
	type key struct {
		truckMaterial
		finding, season string
	}
	type run struct {
		Reconciliation // of the last week
		first          time.Time
		tickets        int64
	}
	var runs []run
	for _, weeks := range grouped(slices.DeleteFunc(slices.Clone(rows), func(r Reconciliation) bool { return !isWrongSetting(r.Finding) }),
		func(r Reconciliation) key {
			return key{truckMaterial{r.TruckID, r.MaterialID}, r.Finding, seasonOfDate(r.Week)}
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
	table := filled(b, Table{ID: "settings-to-check", Caption: "Trucks whose weighed loads sit near another material's density",
		Download: "reconciliation.csv", Empty: "No truck's weighed loads point to a wrong material setting."}, []Column[run]{
		truckColumn(func(r run) string { return r.TruckID }), words("Material", func(r run) string { return r.MaterialID }).picked(),
		prose("Check", func(r run) string { return settingSentence(b.units, r.Finding, r.RunningRatio) }),
		dates("Weeks of", func(r run) *time.Time { return &r.first }).showing(func(r run) string { return weekSpan(r.first, r.Week) }),
		numbers(b, "Running ratio", "weighed / spread", hundredths, func(r run) *float64 { return r.RunningRatio }),
		wholes("Tickets", "in these weeks", func(r run) int64 { return r.tickets }),
	}, runs)
	return Section{ID: "settings", Title: "Settings to check", Text: []string{checkNotVerdict}, Tables: []Table{table}}
}

// truckMaterials name what a row of reconciliation is about.
var truckMaterials = []Column[Reconciliation]{truckColumn(func(r Reconciliation) string { return r.TruckID }),
	words("Material", func(r Reconciliation) string { return r.MaterialID }).picked()}

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
	due, latest := 0, latestOfTrucks(rows)
	slices.SortStableFunc(latest, func(x, y Reconciliation) int { return -compareBools(x.IsCalibrationDue, y.IsCalibrationDue) })
	for _, r := range latest {
		if r.IsCalibrationDue {
			due++
		}
	}
	calibrated := func(r Reconciliation) string {
		if r.CalibratedAt == nil {
			return "never"
		}
		return b.clock.day(*r.CalibratedAt)
	}
	state := func(r Reconciliation) string {
		if r.IsCalibrationDue {
			return "due"
		}
		return "in date"
	}
	table := filled(b, Table{ID: "calibrations-table",
		Caption:  "Calibrations as of each truck's latest week with the material, those due first",
		Download: "reconciliation.csv", Empty: "No truck has spread solids yet."}, append(slices.Clone(truckMaterials),
		moments(b, "Last calibrated", func(r Reconciliation) *time.Time { return r.CalibratedAt }).showing(calibrated),
		numbers(b, "Age", "days", ones, func(r Reconciliation) *float64 { return r.CalibrationAgeDays }), words("State", state),
		dates("Latest week of", weekOf)), latest)
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
	var rows []classTally
	for _, class := range b.sides() {
		if c := b.countClass(season, class); c.season.Weighed > 0 {
			rows = append(rows, c)
		}
	}
	columns := []Column[classTally]{classColumn("", func(c classTally) string { return c.class })}
	table := filled(b, Table{ID: "corrected-table", Caption: "Solids in closed storms of " + season + " that weighed loads cover",
		Empty: "No route-storm has weighed loads for all its passes.",
		Note:  "Both rates are of the same route-storms, those whose every pass weighed loads cover. Files keep what was reported."},
		append(columns, at(func(c classTally) Tally { return c.season }, append([]Column[Tally]{
			numbers(b, "Rate", "lb per lane-mile, as reported", massRate, Tally.reportedRate),
			numbers(b, "Rate", "lb per lane-mile, by weighed loads", massRate, Tally.weighedRate),
			wholes("Weighed", "route-storms", func(t Tally) int64 { return t.Weighed }),
			wholes("Of", "route-storms", func(t Tally) int64 { return t.RouteStorms })}, b.besideColumns()...))...), rows)
	return Section{ID: "corrected", Title: b.unitWords("Pounds by weighed loads"), Text: []string{leadWithSentence(b.units, b.leadsCorrected())}, Tables: []Table{table}}
}

// weeksSection shows the latest weeks of reconciliation row by row.
func (b *book) weeksSection(rows []Reconciliation) Section {
	byWeek := sorted(rows, func(x, y Reconciliation) int {
		return cmp.Or(y.Week.Compare(x.Week), cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.MaterialID, y.MaterialID))
	})
	weeks := map[time.Time]bool{}
	end := slices.IndexFunc(byWeek, func(r Reconciliation) bool {
		weeks[r.Week] = true
		return len(weeks) > reconciledWeeks
	})
	if end >= 0 {
		byWeek = byWeek[:end]
	}
	table := filled(b, Table{ID: "weeks-table", Caption: "Each truck and material in the latest weeks with solids",
		Download: "reconciliation.csv", Empty: "No week yet.",
		Note: "Weeks run from Monday to Sunday. A load belongs to the week of its truck's next pass with that material. " +
			"The file holds every week."},
		slices.Concat([]Column[Reconciliation]{dates("Week of", weekOf)}, truckMaterials, []Column[Reconciliation]{
			wholes("Passes", "", func(r Reconciliation) int64 { return r.Passes }),
			wholes("Tickets", "", func(r Reconciliation) int64 { return r.Tickets }),
			numbers(b, "Spread", "lb", mass, func(r Reconciliation) *float64 { return r.SpreadLb }),
			numbers(b, "Weighed", "lb", mass, func(r Reconciliation) *float64 { return r.WeighedLb }),
			numbers(b, "Ratio", "weighed / spread", hundredths, func(r Reconciliation) *float64 { return r.Ratio }),
			numbers(b, "Running ratio", "weighed / spread", hundredths, func(r Reconciliation) *float64 { return r.RunningRatio }),
			prose("Finding", func(r Reconciliation) string { return findingWords(r.Finding) }).picked()}),
		byWeek, partedBy(func(r Reconciliation) time.Time { return r.Week }))
	return Section{ID: "weeks", Title: "Week by week", Tables: []Table{table}}
}

// basesSection sets the learning fit on reported pounds beside the one on pounds by weighed loads.
func (b *book) basesSection(points []ratePoint) Section {
	of := map[string]*LearningBasis{}
	for i := range b.data.LearningBases {
		of[b.data.LearningBases[i].Basis] = &b.data.LearningBases[i]
	}
	order := []string{"reported", "corrected"}
	if b.leadsCorrected() {
		slices.Reverse(order)
	}
	var rows []LearningBasis
	for _, basis := range order {
		if l := of[basis]; l != nil {
			rows = append(rows, *l)
		}
	}
	names := map[string]string{"reported": "As reported by spreaders", "corrected": "By weighed loads"}
	road := b.besideOf(points)
	table := filled(b, Table{ID: "bases-table", Caption: b.unitWords("One curve, fitted on either basis of pounds"), Empty: "No fit yet."},
		besideRates(b, func(LearningBasis) beside { return road }, []Column[LearningBasis]{
			words("Pounds", func(l LearningBasis) string { return names[l.Basis] }),
			wholes("Rows", "", func(l LearningBasis) int64 { return l.Rows }),
			wholes("Storms", "", func(l LearningBasis) int64 { return l.Storms }),
			numbers(b, "First storm", "lb per lane-mile", massRate, func(l LearningBasis) *float64 { return l.StartRate }),
			numbers(b, "Latest", "lb per lane-mile", massRate, func(l LearningBasis) *float64 { return l.LatestRate }),
			signedNumbers(b, "Change", "% per doubling", tenths, func(l LearningBasis) *float64 { return l.ChangePct }),
			signedNumbers(b, "from", "%", tenths, func(l LearningBasis) *float64 { return l.ChangeLow90Pct }),
			signedNumbers(b, "to", "%", tenths, func(l LearningBasis) *float64 { return l.ChangeHigh90Pct }),
			prose("Verdict", func(l LearningBasis) string { return verdictWords(l.Verdict) })}), rows)
	return Section{ID: "bases", Title: b.unitWords("By reported and by weighed pounds"),
		Text:   []string{basesSentence(b.units, of["reported"], of["corrected"])},
		Tables: []Table{table}, Links: []Cell{link("Material: settings to check", "material.html#settings")}}
}

func weekOf(r Reconciliation) *time.Time { return &r.Week }
