package pages

import (
	"cmp"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// mostRemarks bounds the remarks that a storm's page writes out for a zone.
const mostRemarks = 40

// remarksTable lists begins and ends as the remarks of raw reports tell them.
func remarksTable(b *book.Book, id string, zone rows.Storm) (shown table.Table, found bool) {
	list := b.EventsIn(zone.ZoneID, zone.BeganAt.Add(-draw.MarginBesides), zone.EndedAt.Add(draw.MarginBesides))
	return table.Filled(b, table.Place{ID: "remarks-" + id, Names: []any{b.NamedZone(zone.ZoneID)},
		Note: words.Say(b.Units, "remarks", len(list), mostRemarks)}, list[:min(len(list), mostRemarks)], table.Own[rows.WeatherEvent]{
		"remark": func(e rows.WeatherEvent) any { return words.RemarkWords(b.Units, e.What, e.IsBegin) }}), len(list) > 0
}

// weatherFindingsSection lists what is doubtful in stations' reports, the latest first.
func weatherFindingsSection(b *book.Book) table.Section {
	zoneOf := map[string]string{}
	for _, s := range b.Data.Stations {
		zoneOf[s.StationID] = s.ZoneID
	}
	list := book.Sorted(rows.WeatherFindings(b.Data.WeatherDoubts, b.FindingWriter()), func(x, y rows.WeatherFinding) int {
		return cmp.Or(y.From.Compare(x.From), cmp.Compare(x.StationID, y.StationID), x.To.Compare(y.To), cmp.Compare(x.Kind, y.Kind))
	})
	shown := table.Filled(b, table.Place{ID: "weather-table"}, list[:min(len(list), book.MostRows)], table.Own[rows.WeatherFinding]{
		"zone": func(f rows.WeatherFinding) any { return b.ZoneName(zoneOf[f.StationID]) },
		"what": func(f rows.WeatherFinding) any { return format.Capital(f.Kind) }})
	return table.Section{ID: "weather", Title: "Weather reports in doubt",
		Text: []string{words.Say(b.Units, "weather findings", len(list), len(shown.Rows))}, Tables: []table.Table{shown}}
}

// MostOutside bounds the passes outside storms that a route's page writes out.
const MostOutside = 40

// outsidePassTable lists a route's passes outside storms with the frost or refreezing that gives them a reason.
func outsidePassTable(b *book.Book, routeID string) table.Table {
	list := b.OutsidePasses(routeID)
	return table.Filled(b, table.Place{ID: "outside-passes", Note: words.Say(b.Units, "outside", len(list), MostOutside)},
		list[:min(len(list), MostOutside)], table.Own[rows.StormPass]{
			"material": func(p rows.StormPass) any {
				if !p.IsTreating {
					return table.MaterialCell("", "")
				}
				return table.MaterialCell(p.MaterialClass, p.Form)
			},
			"reason": func(p rows.StormPass) any { return words.Say(b.Units, "outside reason", b.OutsideReason[p.PassKey]) }})
}

// outsideReasonsTable counts a season's passes outside storms, route by route, by reason.
func outsideReasonsTable(b *book.Book, season string) table.Table {
	type reasons struct {
		rows.Route
		passes map[string]int
	}
	var list []reasons
	for _, route := range b.RouteList {
		r := reasons{route, map[string]int{}}
		for _, p := range b.OutsidePasses(route.RouteID) {
			if p.Season == season {
				r.passes[cmp.Or(b.OutsideReason[p.PassKey], "other")]++
			}
		}
		if len(r.passes) > 0 {
			list = append(list, r)
		}
	}
	passes := func(reason string) func(reasons) any { return func(r reasons) any { return r.passes[reason] } }
	return table.Filled(b, table.Place{ID: "outside-reasons", Names: []any{season}}, list,
		table.Own[reasons]{"frost": passes("frost"), "refreeze": passes("refreeze"), "other": passes("other")})
}

// frostTable lists a season's spells of frost and refreezing by zone.
func frostTable(b *book.Book, season string) table.Table {
	return table.Filled(b, table.Place{ID: "frosts", Names: []any{season}},
		book.Where(b.Data.FrostSums, func(f rows.FrostSum) bool { return f.Season == season }),
		table.Own[rows.FrostSum]{"kind": func(f rows.FrostSum) any { return format.Capital(f.Kind) }})
}
