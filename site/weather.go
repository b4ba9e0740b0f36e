package site

import (
	"cmp"
	"slices"
	"strings"
)

// readWeatherWords indexes codes, remarks, severities and reasons.
func (b *book) readWeatherWords(zoneOf map[string]string) {
	b.presentWx = map[string]PresentWx{}
	for _, p := range b.data.PresentWx {
		b.presentWx[p.PresentWx] = p
	}
	events := sorted(b.data.WeatherEvents, func(x, y WeatherEvent) int {
		return cmp.Or(x.EventAt.Compare(y.EventAt), cmp.Compare(x.StationID, y.StationID), cmp.Compare(x.What, y.What), cmp.Compare(yesNo(y.IsBegin), yesNo(x.IsBegin)))
	})
	b.eventsByZone = grouped(events, func(e WeatherEvent) string { return zoneOf[e.StationID] })
	b.severities = map[stormZone]StormSeverity{}
	for _, s := range b.data.StormSeverity {
		b.severities[stormZone{s.StormID, s.ZoneID}] = s
	}
	b.outsideReason = map[string]string{}
	for _, r := range b.data.OutsideReasons {
		b.outsideReason[r.PassKey] = r.Kind
	}
}

// mostRemarks bounds the remarks that a storm's page writes out for a zone.
const mostRemarks = 40

// remarksTable lists begins and ends as the remarks of raw reports tell them.
func (b *book) remarksTable(id string, zone Storm) (table Table, found bool) {
	list := b.eventsIn(zone.ZoneID, zone.BeganAt.Add(-marginBesides), zone.EndedAt.Add(marginBesides))
	table = Table{ID: "remarks-" + id, Caption: "Begins and ends that reports tell in their remarks, " + b.namedZone(zone.ZoneID), Note: remarksNote(len(list), mostRemarks),
		Columns: []Column{words("Time"), words("Station"), words("What")}}
	for _, e := range list[:min(len(list), mostRemarks)] {
		table.Rows = append(table.Rows, Row{Cells: cells(b.clock.moment(e.EventAt), e.StationID, remarkWords(e.What, e.IsBegin))})
	}
	return table, len(list) > 0
}

// weatherFindingsSection lists what is doubtful in stations' reports, the latest first.
func (b *book) weatherFindingsSection() Section {
	zoneOf := map[string]string{}
	for _, s := range b.data.Stations {
		zoneOf[s.StationID] = s.ZoneID
	}
	list := sorted(b.data.WeatherFindings, func(x, y WeatherFinding) int {
		return cmp.Or(y.From.Compare(x.From), cmp.Compare(x.StationID, y.StationID), x.To.Compare(y.To), cmp.Compare(x.Kind, y.Kind))
	})
	table := Table{ID: "weather-table", Caption: "Doubts about weather reports, the latest first", Download: "weather_findings.csv", Empty: "No doubt about a weather report.",
		Columns: []Column{words("Station"), words("Zone"), words("From"), words("To"), words("What"), prose("Found, and what follows")}}
	for _, f := range list[:min(len(list), mostRows)] {
		table.Rows = append(table.Rows, Row{Cells: cells(f.StationID, b.zoneName(zoneOf[f.StationID]), b.clock.moment(f.From), b.clock.moment(f.To), capital(f.Kind), b.written(f.Text))})
	}
	return Section{ID: "weather", Title: "Weather reports in doubt", Text: []string{weatherFindingsSentence(len(list), len(table.Rows))}, Tables: []Table{table}}
}

// outsidePasses are a route's passes outside storms, the latest first.
func (b *book) outsidePasses(routeID string) []StormPass {
	var list []StormPass
	for _, p := range b.passesByStorm[stormZone{"", b.routes[routeID].ZoneID}] {
		if p.RouteID == routeID {
			list = append(list, p)
		}
	}
	slices.Reverse(list)
	return list
}

// mostOutside bounds the passes outside storms that a route's page writes out.
const mostOutside = 40

// outsidePassTable lists a route's passes outside storms with the frost or refreezing that gives them a reason.
func (b *book) outsidePassTable(routeID string) Table {
	list := b.outsidePasses(routeID)
	table := Table{ID: "outside-passes", Caption: "Passes outside storms, the latest first", Note: outsideNote(len(list), mostOutside),
		Columns: []Column{words("Began"), words("Truck"), words("Material"), figures("Applied", "lb"), figures("Lane-miles", ""), figures("Pavement", "°F"), prose("Reason")}}
	for _, p := range list[:min(len(list), mostOutside)] {
		material := Cell{Text: "plowed only"}
		if p.IsTreating {
			material = materialCell(p.MaterialClass, p.Form)
		}
		table.Rows = append(table.Rows, Row{Cells: []Cell{{Text: b.clock.moment(p.BeganAt)}, {Text: p.TruckID}, material, {Text: b.pounds(p.AppliedLb)}, {Text: b.laneMiles(p.LaneMiles)}, {Text: b.degrees(p.PavementF)}, {Text: outsideWords(b.outsideReason[p.PassKey])}}})
	}
	return table
}

// outsideReasonsTable counts a season's passes outside storms, route by route, by reason.
func (b *book) outsideReasonsTable(season string) Table {
	table := Table{ID: "outside-reasons", Caption: "Passes outside storms in " + season + ", by reason", Download: "outside_storms.csv", Empty: "No pass outside storms was reported.",
		Note:    "Frost: pavement at or below freezing and at or below the dew point, without precipitation. Refreeze: pavement falling through freezing within 12 hours after a storm. Other: neither; drifts, spots, tests.",
		Columns: []Column{words("Route"), prose("Zone"), figures("Frost", "passes"), figures("Refreeze", "passes"), figures("Other", "passes")}}
	for _, route := range b.routeList {
		counts := map[string]int{}
		for _, p := range b.outsidePasses(route.RouteID) {
			if p.Season == season {
				counts[cmp.Or(b.outsideReason[p.PassKey], "other")]++
			}
		}
		if len(counts) > 0 {
			table.Rows = append(table.Rows, Row{Cells: append([]Cell{link(b.routeShort(route.RouteID), b.routeHref("", route.RouteID))},
				cells(b.zoneName(route.ZoneID), whole(counts["frost"]), whole(counts["refreeze"]), whole(counts["other"]))...)})
		}
	}
	return table
}

// frostTable counts a season's spells of frost and refreezing by zone.
func (b *book) frostTable(season string) Table {
	type sum struct {
		spells int
		hours  float64
	}
	sums := map[[2]string]*sum{}
	for _, f := range b.data.Frosts {
		key := [2]string{f.ZoneID, f.Kind}
		if f.Season != season {
			continue
		}
		if sums[key] == nil {
			sums[key] = &sum{}
		}
		sums[key].spells++
		sums[key].hours += f.ToAt.Sub(f.FromAt).Hours()
	}
	table := Table{ID: "frosts", Caption: "Spells of frost and refreezing in " + season + ", by zone", Download: "frosts.csv", Empty: "No spell of frost or refreezing was seen: it needs pavement temperature, and frost the dew point too.",
		Columns: []Column{words("Zone"), words("Kind"), figures("Spells", ""), figures("In all", "h")}}
	var keys [][2]string
	for key := range sums {
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(x, y [2]string) int { return cmp.Or(strings.Compare(x[0], y[0]), strings.Compare(x[1], y[1])) })
	for _, key := range keys {
		table.Rows = append(table.Rows, Row{Cells: cells(b.zoneName(key[0]), capital(key[1]), whole(sums[key].spells), hours(&sums[key].hours))})
	}
	return table
}
