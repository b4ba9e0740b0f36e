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
	shown := table.Filled(b, table.Place{ID: "severity-table"}, list, table.Own[rows.SeverityClass]{
		"from":  func(c rows.SeverityClass) any { return b.Beside(classUnit(c), c.FromValue) },
		"to":    func(c rows.SeverityClass) any { return b.Beside(classUnit(c), c.ToValue) },
		"worth": func(c rows.SeverityClass) any { return b.Beside(valueUnit(c), c.Value) }})
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
	shown := table.Filled(b, table.Place{ID: "season-severity-table", Names: []any{b.Rewritten(format.Speed, "15")}}, b.Data.SeasonSeverity,
		table.Own[rows.SeasonSeverity]{
			"from_date": func(s rows.SeasonSeverity) any { return judged(s, s.FirstDate) },
			"to_date":   func(s rows.SeasonSeverity) any { return judged(s, s.LastDate) }})
	return table.Section{ID: "season-severity", Title: "Severity of the seasons", Tables: []table.Table{shown}}
}

// gapsSection counts the storms that each season would have at other gaps.
func gapsSection(b *book.Book) table.Section {
	bySeason := book.Grouped(b.Data.StormCounts, func(c rows.StormCount) string { return c.Season })
	at := func(gapH int64) func(string) any {
		return func(season string) any {
			var storms *int64
			for _, c := range bySeason[season] {
				if words.OrNone(c.GapH) == gapH {
					storms = c.Storms
				}
			}
			return storms
		}
	}
	seasons := book.LatestFirst(slices.Sorted(maps.Keys(bySeason)))
	shown := table.Filled(b, table.Place{ID: "gaps-table"}, seasons, table.Own[string]{
		"season": func(season string) any { return season }, "at_3": at(3), "at_6": at(6), "at_12": at(12)})
	return table.Section{ID: "gaps", Title: "Other gaps, other counts", Text: []string{words.Say(b.Units, "gaps", len(seasons))},
		Tables: []table.Table{shown}}
}
