package site

import (
	"cmp"
	"slices"
	"time"

	"lanetally/pipeline/rows"
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
	return filled(b, Table{ID: "remarks-" + id, Caption: "Begins and ends that reports tell in their remarks, " + b.namedZone(zone.ZoneID),
		Note: remarksNote(len(list), mostRemarks)}, []Column[WeatherEvent]{
		moments(b, "Time", func(e WeatherEvent) *time.Time { return &e.EventAt }),
		words("Station", func(e WeatherEvent) string { return e.StationID }),
		words("What", func(e WeatherEvent) string { return remarkWords(e.What, e.IsBegin) }),
	}, list[:min(len(list), mostRemarks)]), len(list) > 0
}

// weatherFindingsSection lists what is doubtful in stations' reports, the latest first.
func (b *book) weatherFindingsSection() Section {
	zoneOf := map[string]string{}
	for _, s := range b.data.Stations {
		zoneOf[s.StationID] = s.ZoneID
	}
	list := sorted(rows.WeatherFindings(b.data.WeatherDoubts, b.findingWriter()), func(x, y rows.WeatherFinding) int {
		return cmp.Or(y.From.Compare(x.From), cmp.Compare(x.StationID, y.StationID), x.To.Compare(y.To), cmp.Compare(x.Kind, y.Kind))
	})
	table := filled(b, Table{ID: "weather-table", Caption: "Doubts about weather reports, the latest first",
		Download: "weather_findings.csv", Empty: "No doubt about a weather report."}, []Column[rows.WeatherFinding]{
		words("Station", func(f rows.WeatherFinding) string { return f.StationID }),
		zoneColumn(b, func(f rows.WeatherFinding) string { return zoneOf[f.StationID] }),
		moments(b, "From", func(f rows.WeatherFinding) *time.Time { return &f.From }),
		moments(b, "To", func(f rows.WeatherFinding) *time.Time { return &f.To }),
		words("What", func(f rows.WeatherFinding) string { return capital(f.Kind) }),
		prose("Found, and what follows", func(f rows.WeatherFinding) string { return f.Text }),
	}, list[:min(len(list), mostRows)])
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
	material := func(p StormPass) (class, form string) {
		if !p.IsTreating {
			return "", ""
		}
		return p.MaterialClass, p.Form
	}
	return filled(b, Table{ID: "outside-passes", Caption: "Passes outside storms, the latest first",
		Note: outsideNote(len(list), mostOutside)}, []Column[StormPass]{
		moments(b, "Began", func(p StormPass) *time.Time { return &p.BeganAt }), truckColumn(func(p StormPass) string { return p.TruckID }),
		materialColumn(material),
		numbers(b, "Applied", "lb", mass, func(p StormPass) *float64 { return p.AppliedLb }),
		numbers(b, "Lane-miles", "", laneLength, func(p StormPass) *float64 { return p.LaneMiles }),
		numbers(b, "Pavement", "°F", temperature, func(p StormPass) *float64 { return p.PavementF }),
		prose("Reason", func(p StormPass) string { return outsideWords(b.outsideReason[p.PassKey]) }),
	}, list[:min(len(list), mostOutside)])
}

// outsideReasonsTable counts a season's passes outside storms, route by route, by reason.
func (b *book) outsideReasonsTable(season string) Table {
	type reasons struct {
		Route
		passes map[string]int
	}
	var rows []reasons
	for _, route := range b.routeList {
		r := reasons{route, map[string]int{}}
		for _, p := range b.outsidePasses(route.RouteID) {
			if p.Season == season {
				r.passes[cmp.Or(b.outsideReason[p.PassKey], "other")]++
			}
		}
		if len(r.passes) > 0 {
			rows = append(rows, r)
		}
	}
	return filled(b, Table{ID: "outside-reasons", Caption: "Passes outside storms in " + season + ", by reason",
		Download: "outside_storms.csv", Empty: "No pass outside storms was reported.",
		Note: "Frost: pavement at or below freezing and at or below the dew point, without precipitation. " +
			"Refreeze: pavement falling through freezing within 12 hours after a storm. Other: neither; drifts, spots, tests."},
		[]Column[reasons]{
			routeColumn(b, "", func(r reasons) string { return r.RouteID }),
			zoneColumn(b, func(r reasons) string { return r.ZoneID }).asProse(),
			wholes("Frost", "passes", func(r reasons) int { return r.passes["frost"] }),
			wholes("Refreeze", "passes", func(r reasons) int { return r.passes["refreeze"] }),
			wholes("Other", "passes", func(r reasons) int { return r.passes["other"] }),
		}, rows)
}

// frostTable lists a season's spells of frost and refreezing by zone.
func (b *book) frostTable(season string) Table {
	sums := slices.DeleteFunc(slices.Clone(b.data.FrostSums), func(f FrostSum) bool { return f.Season != season })
	return filled(b, Table{ID: "frosts", Caption: "Spells of frost and refreezing in " + season + ", by zone", Download: "frosts.csv",
		Empty: "No spell of frost or refreezing was seen: it needs pavement temperature, and frost the dew point too."}, []Column[FrostSum]{
		zoneColumn(b, func(f FrostSum) string { return f.ZoneID }),
		words("Kind", func(f FrostSum) string { return capital(f.Kind) }).picked(),
		wholes("Spells", "", func(f FrostSum) int64 { return f.Spells }),
		numbers(b, "In all", "h", tenths, func(f FrostSum) *float64 { return f.Hours }),
	}, sorted(sums, func(x, y FrostSum) int { return cmp.Or(cmp.Compare(x.ZoneID, y.ZoneID), cmp.Compare(x.Kind, y.Kind)) }))
}
