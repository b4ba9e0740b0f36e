package pages

import (
	"cmp"
	"maps"
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// severitySection holds every coefficient and bound of the severity indexes, with its source.
func severitySection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.SeverityClasses, func(x, y rows.SeverityClass) int {
		return cmp.Or(cmp.Compare(factorPlace(x.Factor), factorPlace(y.Factor)), cmp.Compare(x.Factor, y.Factor),
			-book.CompareOptional(x.FromValue, y.FromValue), cmp.Compare(x.Class, y.Class))
	})
	factorOf := func(c rows.SeverityClass) string { return c.Factor }
	shown := table.Filled(b, table.Table{ID: "severity-table", Caption: "Numbers of the severity indexes",
		Empty: "The numbers are not published with these pages."}, []table.Column[rows.SeverityClass]{
		table.Words("Factor", factorOf), table.Prose("Class", func(c rows.SeverityClass) string { return c.Class }),
		table.FlushRight("From", "", func(c rows.SeverityClass) string { return b.Beside(classUnit(c), c.FromValue) }),
		table.FlushRight("To", "", func(c rows.SeverityClass) string { return b.Beside(classUnit(c), c.ToValue) }),
		table.Words("Unit", func(c rows.SeverityClass) string { return cmp.Or(c.Unit, format.Missing) }),
		table.FlushRight("Value", "", func(c rows.SeverityClass) string { return b.Beside(valueUnit(c), c.Value) }),
		table.Prose("Source", func(c rows.SeverityClass) string { return c.Source }),
		table.Words("Note", func(c rows.SeverityClass) string { return cmp.Or(c.Note, format.Missing) }),
	}, list, table.PartedBy(factorOf))
	return table.Section{ID: "severity", Title: "Severity: classes and coefficients", Tables: []table.Table{shown},
		Text: []string{"Where the note says from memory the number could not be held against its source."}}
}

func factorPlace(factor string) int {
	if place := slices.Index([]string{"ST", "Ti", "Wi", "Bi", "Tp", "Wp", "setting"}, factor); place >= 0 {
		return place
	}
	return 99
}

// classUnit is the unit of a class's bounds; what came after a storm is judged by differences of temperature.
func classUnit(c rows.SeverityClass) string {
	if c.Factor == "Tp" {
		return "difference of " + c.Unit
	}
	return c.Unit
}

// valueUnit is the unit of a class's value: a plain number but for settings.
func valueUnit(c rows.SeverityClass) string {
	if c.Factor == "setting" {
		return c.Unit
	}
	return ""
}

// seasonSeveritySection sets the seasons' temperature points beside plain exposures.
func seasonSeveritySection(b *book.Book) table.Section {
	judged := func(s rows.SeasonSeverity, day *time.Time) *time.Time {
		if s.FirstDate == nil || s.LastDate == nil {
			return nil
		}
		return day
	}
	shown := table.Filled(b, table.Table{ID: "season-severity-table",
		Caption: "How hard each season was, by zone: temperature part only, beside plain exposures", Empty: "No season has been judged.",
		Note: "Points count days by their highest and lowest air temperature; snowfall and depth are left out. " +
			"A season that is still open counts its days so far."}, []table.Column[rows.SeasonSeverity]{
		table.SeasonColumn(func(s rows.SeasonSeverity) string { return s.Season }),
		table.ZoneColumn(b, func(s rows.SeasonSeverity) string { return s.ZoneID }),
		table.Numbers(b, "Temperature points", "", table.Ones, func(s rows.SeasonSeverity) *float64 { return s.TemperaturePoints }),
		table.Dates("From", func(s rows.SeasonSeverity) *time.Time { return judged(s, s.FirstDate) }),
		table.Dates("To", func(s rows.SeasonSeverity) *time.Time { return judged(s, s.LastDate) }),
		table.Counts("Days counted", "", func(s rows.SeasonSeverity) *int64 { return s.DaysCounted }),
		table.Counts("Days left out", "", func(s rows.SeasonSeverity) *int64 { return s.DaysLeftOut }),
		table.Numbers(b, "Snow", "h", table.Tenths, func(s rows.SeasonSeverity) *float64 { return s.SnowH }),
		table.Numbers(b, "Freezing rain", "h", table.Tenths, func(s rows.SeasonSeverity) *float64 { return s.FreezingH }),
		table.Numbers(b, "Water", "in", format.Water, func(s rows.SeasonSeverity) *float64 { return s.WaterIn }),
		table.Numbers(b, "Lowest air", "°F", format.Temperature, func(s rows.SeasonSeverity) *float64 { return s.AirFMin }),
		table.Numbers(b, "Lowest pavement", "°F", format.Temperature, func(s rows.SeasonSeverity) *float64 { return s.SurfaceFMin }),
		table.Numbers(b, b.Sprintf("Wind above %s mph", b.Rewritten(format.Speed, "15")), "h", table.Tenths,
			func(s rows.SeasonSeverity) *float64 { return s.WindyH }),
	}, book.Sorted(b.Data.SeasonSeverity, func(x, y rows.SeasonSeverity) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.ZoneID, y.ZoneID))
	}))
	return table.Section{ID: "season-severity", Title: "Severity of the seasons", Tables: []table.Table{shown}}
}

// gapsSection counts the storms that each season would have at other gaps.
func gapsSection(b *book.Book) table.Section {
	bySeason := book.Grouped(b.Data.StormCounts, func(c rows.StormCount) string { return c.Season })
	at := func(gapH int64) func(string) *int64 {
		return func(season string) (storms *int64) {
			for _, c := range bySeason[season] {
				if words.OrNone(c.GapH) == gapH {
					storms = c.Storms
				}
			}
			return storms
		}
	}
	seasons := book.LatestFirst(slices.Sorted(maps.Keys(bySeason)))
	shown := table.Filled(b, table.Table{ID: "gaps-table", Caption: "Storms of each season at gaps of 3, 6 and 12 hours"},
		[]table.Column[string]{
			table.SeasonColumn(func(season string) string { return season }),
			table.Counts("3 h", "storms", at(3)), table.Counts("6 h", "storms", at(6)), table.Counts("12 h", "storms", at(12))}, seasons)
	return table.Section{ID: "gaps", Title: "Other gaps, other counts", Text: []string{words.Say(b.Units, "gaps", len(seasons))},
		Tables: []table.Table{shown}}
}
