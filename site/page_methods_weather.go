package site

import (
	"cmp"
	"slices"
)

// severitySection holds every coefficient and bound of the severity indexes, with its source.
func (b *book) severitySection() Section {
	table := Table{ID: "severity-table", Caption: "Numbers of the severity indexes", Empty: "The numbers are not published with these pages.",
		Columns: []Column{words("Factor"), prose("Class"), figures("From", ""), figures("To", ""), words("Unit"), figures("Value", ""), prose("Source"), words("Note")}}
	list := sorted(b.data.SeverityClasses, func(x, y SeverityClass) int {
		return cmp.Or(cmp.Compare(factorPlace(x.Factor), factorPlace(y.Factor)), cmp.Compare(x.Factor, y.Factor), -compareOptional(x.FromValue, y.FromValue), cmp.Compare(x.Class, y.Class))
	})
	for i, c := range list {
		row := Row{Cells: cells(c.Factor, c.Class, b.beside(classUnit(c), c.FromValue), b.beside(classUnit(c), c.ToValue), cmp.Or(c.Unit, missing), b.beside(valueUnit(c), c.Value), c.Source, cmp.Or(c.Note, missing))}
		if i == 0 || list[i-1].Factor != c.Factor {
			row.Mark = "parted"
		}
		table.Rows = append(table.Rows, row)
	}
	return Section{ID: "severity", Title: "Severity: classes and coefficients", Text: []string{"Where the note says from memory the number could not be held against its source."}, Tables: []Table{table}}
}

func factorPlace(factor string) int {
	if place := slices.Index([]string{"ST", "Ti", "Wi", "Bi", "Tp", "Wp", "setting"}, factor); place >= 0 {
		return place
	}
	return 99
}

// classUnit is the unit of a class's bounds; what came after a storm is judged by differences of temperature.
func classUnit(c SeverityClass) string {
	if c.Factor == "Tp" {
		return "difference of " + c.Unit
	}
	return c.Unit
}

// valueUnit is the unit of a class's value: a plain number but for settings.
func valueUnit(c SeverityClass) string {
	if c.Factor == "setting" {
		return c.Unit
	}
	return ""
}

// plain writes a number without needless decimals.
func plain(x *float64) string {
	if x == nil {
		return missing
	}
	return tick(*x)
}

// seasonSeveritySection sets the seasons' temperature points beside plain exposures.
func (b *book) seasonSeveritySection() Section {
	table := Table{ID: "season-severity-table", Caption: "How hard each season was, by zone: temperature part only, beside plain exposures", Empty: "No season has been judged.",
		Note:    "Points count days by their highest and lowest air temperature; snowfall and depth are left out. A season that is still open counts its days so far.",
		Columns: []Column{words("Season"), words("Zone"), figures("Temperature points", ""), words("From"), words("To"), figures("Days counted", ""), figures("Days left out", ""), figures("Snow", "h"), figures("Freezing rain", "h"), figures("Water", "in"), figures("Lowest air", "°F"), figures("Lowest pavement", "°F"), figures(b.sprintf("Wind above %s mph", b.rewritten(speed, "15")), "h")}}
	for _, s := range sorted(b.data.SeasonSeverity, func(x, y SeasonSeverity) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.ZoneID, y.ZoneID))
	}) {
		from, to := missing, missing
		if s.FirstDate != nil && s.LastDate != nil {
			from, to = date(*s.FirstDate), date(*s.LastDate)
		}
		table.Rows = append(table.Rows, Row{Cells: cells(s.Season, b.zoneName(s.ZoneID), fixed(s.TemperaturePoints, 0), from, to, count(s.DaysCounted), count(s.DaysLeftOut), hours(s.SnowH), hours(s.FreezingH), b.inches(s.WaterIn), b.degrees(s.AirFMin), b.degrees(s.SurfaceFMin), hours(s.WindyH))})
	}
	return Section{ID: "season-severity", Title: "Severity of the seasons", Tables: []Table{table}}
}

// gapsSection counts the storms that each season would have at other gaps.
func (b *book) gapsSection() Section {
	bySeason := grouped(b.data.StormCounts, func(c StormCount) string { return c.Season })
	table := Table{ID: "gaps-table", Caption: "Storms of each season at gaps of 3, 6 and 12 hours", Columns: []Column{words("Season"), figures("3 h", "storms"), figures("6 h", "storms"), figures("12 h", "storms")}}
	var seasons []string
	for season := range bySeason {
		seasons = append(seasons, season)
	}
	slices.Sort(seasons)
	for _, season := range slices.Backward(seasons) {
		counts := map[int64]*int64{}
		for _, c := range bySeason[season] {
			counts[orNone(c.GapH)] = c.Storms
		}
		table.Rows = append(table.Rows, Row{Cells: cells(season, count(counts[3]), count(counts[6]), count(counts[12]))})
	}
	return Section{ID: "gaps", Title: "Other gaps, other counts", Text: []string{gapsSentence(len(seasons))}, Tables: []Table{table}}
}
