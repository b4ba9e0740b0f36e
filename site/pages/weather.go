package pages

import (
	"cmp"
	"slices"
	"time"

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
	return table.Filled(b, table.Table{ID: "remarks-" + id,
		Caption: "Begins and ends that reports tell in their remarks, " + b.NamedZone(zone.ZoneID),
		Note:    words.Say(b.Units, "remarks", len(list), mostRemarks)}, []table.Column[rows.WeatherEvent]{
		table.Moments(b, "Time", func(e rows.WeatherEvent) *time.Time { return &e.EventAt }),
		table.Words("Station", func(e rows.WeatherEvent) string { return e.StationID }),
		table.Words("What", func(e rows.WeatherEvent) string { return words.RemarkWords(b.Units, e.What, e.IsBegin) }),
	}, list[:min(len(list), mostRemarks)]), len(list) > 0
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
	shown := table.Filled(b, table.Table{ID: "weather-table", Caption: "Doubts about weather reports, the latest first",
		Download: "weather_findings.csv", Empty: "No doubt about a weather report."}, []table.Column[rows.WeatherFinding]{
		table.Words("Station", func(f rows.WeatherFinding) string { return f.StationID }),
		table.ZoneColumn(b, func(f rows.WeatherFinding) string { return zoneOf[f.StationID] }),
		table.Moments(b, "From", func(f rows.WeatherFinding) *time.Time { return &f.From }),
		table.Moments(b, "To", func(f rows.WeatherFinding) *time.Time { return &f.To }),
		table.Words("What", func(f rows.WeatherFinding) string { return format.Capital(f.Kind) }),
		table.Prose("Found, and what follows", func(f rows.WeatherFinding) string { return f.Text }),
	}, list[:min(len(list), book.MostRows)])
	return table.Section{ID: "weather", Title: "Weather reports in doubt",
		Text: []string{words.Say(b.Units, "weather findings", len(list), len(shown.Rows))}, Tables: []table.Table{shown}}
}

// MostOutside bounds the passes outside storms that a route's page writes out.
const MostOutside = 40

// outsidePassTable lists a route's passes outside storms with the frost or refreezing that gives them a reason.
func outsidePassTable(b *book.Book, routeID string) table.Table {
	list := b.OutsidePasses(routeID)
	material := func(p rows.StormPass) (class, form string) {
		if !p.IsTreating {
			return "", ""
		}
		return p.MaterialClass, p.Form
	}
	return table.Filled(b, table.Table{ID: "outside-passes", Caption: "Passes outside storms, the latest first",
		Note: words.Say(b.Units, "outside", len(list), MostOutside)}, []table.Column[rows.StormPass]{
		table.Moments(b, "Began", func(p rows.StormPass) *time.Time { return &p.BeganAt }),
		table.TruckColumn(func(p rows.StormPass) string { return p.TruckID }),
		table.MaterialColumn(material),
		table.Numbers(b, "Applied", "lb", format.Mass, func(p rows.StormPass) *float64 { return p.AppliedLb }),
		table.Numbers(b, "Lane-miles", "", format.LaneLength, func(p rows.StormPass) *float64 { return p.LaneMiles }),
		table.Numbers(b, "Pavement", "°F", format.Temperature, func(p rows.StormPass) *float64 { return p.PavementF }),
		table.Prose("Reason", func(p rows.StormPass) string { return words.Say(b.Units, "outside reason", b.OutsideReason[p.PassKey]) }),
	}, list[:min(len(list), MostOutside)])
}

// outsideReasonsTable counts a season's passes outside storms, route by route, by reason.
func outsideReasonsTable(b *book.Book, season string) table.Table {
	type reasons struct {
		rows.Route
		passes map[string]int
	}
	var rows []reasons
	for _, route := range b.RouteList {
		r := reasons{route, map[string]int{}}
		for _, p := range b.OutsidePasses(route.RouteID) {
			if p.Season == season {
				r.passes[cmp.Or(b.OutsideReason[p.PassKey], "other")]++
			}
		}
		if len(r.passes) > 0 {
			rows = append(rows, r)
		}
	}
	return table.Filled(b, table.Table{ID: "outside-reasons", Caption: "Passes outside storms in " + season + ", by reason",
		Download: "outside_storms.csv", Empty: "No pass outside storms was reported.",
		Note: "Frost: pavement at or below freezing and at or below the dew point, without precipitation. " +
			"Refreeze: pavement falling through freezing within 12 hours after a storm. Other: neither; drifts, spots, tests."},
		[]table.Column[reasons]{
			table.RouteColumn(b, "", func(r reasons) string { return r.RouteID }),
			table.ZoneColumn(b, func(r reasons) string { return r.ZoneID }).AsProse(),
			table.Wholes("Frost", "passes", func(r reasons) int { return r.passes["frost"] }),
			table.Wholes("Refreeze", "passes", func(r reasons) int { return r.passes["refreeze"] }),
			table.Wholes("Other", "passes", func(r reasons) int { return r.passes["other"] }),
		}, rows)
}

// frostTable lists a season's spells of frost and refreezing by zone.
func frostTable(b *book.Book, season string) table.Table {
	sums := slices.DeleteFunc(slices.Clone(b.Data.FrostSums), func(f rows.FrostSum) bool { return f.Season != season })
	return table.Filled(b, table.Table{ID: "frosts", Caption: "Spells of frost and refreezing in " + season + ", by zone",
		Download: "frosts.csv",
		Empty:    "No spell of frost or refreezing was seen: it needs pavement temperature, and frost the dew point too."},
		[]table.Column[rows.FrostSum]{
			table.ZoneColumn(b, func(f rows.FrostSum) string { return f.ZoneID }),
			table.Words("Kind", func(f rows.FrostSum) string { return format.Capital(f.Kind) }).Picked(),
			table.Wholes("Spells", "", func(f rows.FrostSum) int64 { return f.Spells }),
			table.Numbers(b, "In all", "h", table.Tenths, func(f rows.FrostSum) *float64 { return f.Hours }),
		}, book.Sorted(sums, func(x, y rows.FrostSum) int {
			return cmp.Or(cmp.Compare(x.ZoneID, y.ZoneID), cmp.Compare(x.Kind, y.Kind))
		}))
}
