package site

import (
	"cmp"
	"maps"
	"slices"
	"time"
)

// severitySection holds every coefficient and bound of the severity indexes, with its source.
func (b *book) severitySection() Section {
	list := sorted(b.data.SeverityClasses, func(x, y SeverityClass) int {
		return cmp.Or(cmp.Compare(factorPlace(x.Factor), factorPlace(y.Factor)), cmp.Compare(x.Factor, y.Factor), -compareOptional(x.FromValue, y.FromValue), cmp.Compare(x.Class, y.Class))
	})
	factorOf := func(c SeverityClass) string { return c.Factor }
	table := filled(b, Table{ID: "severity-table", Caption: "Numbers of the severity indexes",
		Empty: "The numbers are not published with these pages."}, []Column[SeverityClass]{
		words("Factor", factorOf), prose("Class", func(c SeverityClass) string { return c.Class }),
		flushRight("From", "", func(c SeverityClass) string { return b.beside(classUnit(c), c.FromValue) }),
		flushRight("To", "", func(c SeverityClass) string { return b.beside(classUnit(c), c.ToValue) }),
		words("Unit", func(c SeverityClass) string { return cmp.Or(c.Unit, missing) }),
		flushRight("Value", "", func(c SeverityClass) string { return b.beside(valueUnit(c), c.Value) }),
		prose("Source", func(c SeverityClass) string { return c.Source }),
		words("Note", func(c SeverityClass) string { return cmp.Or(c.Note, missing) }),
	}, list, partedBy(factorOf))
	return Section{ID: "severity", Title: "Severity: classes and coefficients", Tables: []Table{table},
		Text: []string{"Where the note says from memory the number could not be held against its source."}}
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
	judged := func(s SeasonSeverity, day *time.Time) *time.Time {
		if s.FirstDate == nil || s.LastDate == nil {
			return nil
		}
		return day
	}
	table := filled(b, Table{ID: "season-severity-table",
		Caption: "How hard each season was, by zone: temperature part only, beside plain exposures", Empty: "No season has been judged.",
		Note: "Points count days by their highest and lowest air temperature; snowfall and depth are left out. " +
			"A season that is still open counts its days so far."}, []Column[SeasonSeverity]{
		seasonColumn(func(s SeasonSeverity) string { return s.Season }), zoneColumn(b, func(s SeasonSeverity) string { return s.ZoneID }),
		numbers(b, "Temperature points", "", ones, func(s SeasonSeverity) *float64 { return s.TemperaturePoints }),
		dates("From", func(s SeasonSeverity) *time.Time { return judged(s, s.FirstDate) }),
		dates("To", func(s SeasonSeverity) *time.Time { return judged(s, s.LastDate) }),
		counts("Days counted", "", func(s SeasonSeverity) *int64 { return s.DaysCounted }),
		counts("Days left out", "", func(s SeasonSeverity) *int64 { return s.DaysLeftOut }),
		numbers(b, "Snow", "h", tenths, func(s SeasonSeverity) *float64 { return s.SnowH }),
		numbers(b, "Freezing rain", "h", tenths, func(s SeasonSeverity) *float64 { return s.FreezingH }),
		numbers(b, "Water", "in", water, func(s SeasonSeverity) *float64 { return s.WaterIn }),
		numbers(b, "Lowest air", "°F", temperature, func(s SeasonSeverity) *float64 { return s.AirFMin }),
		numbers(b, "Lowest pavement", "°F", temperature, func(s SeasonSeverity) *float64 { return s.SurfaceFMin }),
		numbers(b, b.sprintf("Wind above %s mph", b.rewritten(speed, "15")), "h", tenths,
			func(s SeasonSeverity) *float64 { return s.WindyH }),
	}, sorted(b.data.SeasonSeverity, func(x, y SeasonSeverity) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.ZoneID, y.ZoneID))
	}))
	return Section{ID: "season-severity", Title: "Severity of the seasons", Tables: []Table{table}}
}

// gapsSection counts the storms that each season would have at other gaps.
func (b *book) gapsSection() Section {
	bySeason := grouped(b.data.StormCounts, func(c StormCount) string { return c.Season })
	at := func(gapH int64) func(string) *int64 {
		return func(season string) (storms *int64) {
			for _, c := range bySeason[season] {
				if orNone(c.GapH) == gapH {
					storms = c.Storms
				}
			}
			return storms
		}
	}
	seasons := latestFirst(slices.Sorted(maps.Keys(bySeason)))
	table := filled(b, Table{ID: "gaps-table", Caption: "Storms of each season at gaps of 3, 6 and 12 hours"}, []Column[string]{
		seasonColumn(func(season string) string { return season }),
		counts("3 h", "storms", at(3)), counts("6 h", "storms", at(6)), counts("12 h", "storms", at(12))}, seasons)
	return Section{ID: "gaps", Title: "Other gaps, other counts", Text: []string{gapsSentence(len(seasons))}, Tables: []Table{table}}
}
