package site

import (
	"cmp"
	"slices"
)

// What a crew's sheet holds, so that it stays on one page.
const (
	sheetCrewRows     = 14
	sheetCrewPictures = 6
	talkPoints        = 3
)

// crewSheet is a crew's season on one printed page: how the roads fared first, then the totals of its routes, whoever
// treated them, then points for the next talk, which come from the routes' weather and never from the crew's own rates.
func (b *book) crewSheet(crew Crew) page {
	season := b.latestSeason()
	routes := b.routesInSeason(crew.CrewID, season)
	p := page{Title: "Crew " + b.crewName(crew.CrewID), Nav: "crews", Root: "../", IsSheet: true, IsPrivate: !b.namesCrews(), Lead: crewSheetSentence(season, len(routes), b.through())}
	p.Sections = []Section{{ID: "went-well", Title: "On the road", Text: b.wentWell(crew.CrewID, routes, season)}, b.sheetTotals(crew.CrewID, routes, season),
		{ID: "talk", Title: "For the next talk", List: b.talkPointsOf(crew.CrewID, routes, season), Text: []string{talkCaution}}}
	return p
}

// routesInSeason lists the routes that a crew treated in a season's storms, by id.
func (b *book) routesInSeason(crewID, season string) []string {
	rows := slices.DeleteFunc(slices.Clone(b.crewRows[crewID]), func(r CrewStorm) bool {
		e := b.eventByID[r.StormID]
		return e == nil || e.Season != season
	})
	return routesOfCrew(rows)
}

// wentWell says how the routes fared after the season's storms, what went well first.
func (b *book) wentWell(crewID string, routes []string, season string) []string {
	best := bareRoute{}
	for _, routeID := range routes {
		roads := b.tallies[tallyKey{part: partRouteRoads, season: season, routeID: routeID}]
		if h := roads.regainH(); h != nil && (best.hours == nil || *h < *best.hours) {
			best = bareRoute{b.routeShort(routeID), h}
		}
	}
	return wentWellSentences(b.tallies[tallyKey{part: partCrewRoads, season: season, crewID: crewID}], best, len(routes))
}

// bareRoute is the route that came bare soonest, on average.
type bareRoute struct {
	name  string
	hours *float64
}

// sheetTotals are the totals of the crew's routes this season, whoever treated them, with the crews that shared them.
func (b *book) sheetTotals(crewID string, routes []string, season string) Section {
	s := Section{ID: "routes", Title: "The routes this season", HasMarks: true, Picture: "route-pictures"}
	high := b.highestRouteRate(routes, season)
	var storms []string
	for _, e := range b.eventsOf(season) {
		storms = append(storms, e.ID)
	}
	var rows []routeTotal
	for i, routeID := range routes {
		rows = append(rows, slices.DeleteFunc(b.routeTotals(routeID, season), func(r routeTotal) bool { return r.class == "" })...)
		if i < sheetCrewPictures {
			s.Figures = append(s.Figures, Figure{Title: shortened(b.routeName(routeID), sheetName), IsSmall: true, Drawing: b.smallMultiple(routeRatesLabel(routeID), storms, b.ratesOfRoute(routeID, season), high, b.routeOrders(routeID, storms))})
		}
	}
	shared := func(r routeTotal) string { return sharedWith(len(b.othersIn(season, r.routeID, crewID))) }
	totals := slices.Concat([]Column[Tally]{b.rateColumn(), b.useColumns()[0], b.appliedColumn()}, b.stateColumns(),
		[]Column[Tally]{stormsColumn("treated")})
	columns := slices.Concat([]Column[routeTotal]{
		words("Route", func(r routeTotal) string { return shortened(b.routeName(r.routeID), sheetName) }),
		classColumn("", (routeTotal).solids)},
		at(func(r routeTotal) Tally { return r.Tally }, totals), []Column[routeTotal]{words("Shared with", shared)})
	s.Tables = []Table{filled(b,
		Table{ID: "sheet-crew-routes", Caption: "Totals of each route in closed storms, solids, whoever treated it",
			Note: moreRows(len(rows) - sheetCrewRows), Empty: "No route was treated in a storm of this season."}, columns,
		rows[:min(len(rows), sheetCrewRows)])}
	return s
}

// ratesOfRoute are a route's rates of acetate and chloride in a season's storms, in the form that smallMultiple draws.
func (b *book) ratesOfRoute(routeID, season string) []CrewStorm {
	var rates []CrewStorm
	for _, row := range b.rowsByRoute[routeID] {
		if e := b.eventByID[row.StormID]; e != nil && e.Season == season && b.isRated(row.MaterialClass) {
			rates = append(rates, CrewStorm{StormID: row.StormID, RouteID: routeID, MaterialClass: row.MaterialClass, Form: row.Form, RateLbPerLaneMi: row.RateLbPerLaneMi})
		}
	}
	return rates
}

func (b *book) highestRouteRate(routes []string, season string) float64 {
	high := 0.0
	for _, routeID := range routes {
		high = max(high, highestRate(b.ratesOfRoute(routeID, season)))
	}
	return max(high, 100)
}

// talkPointsOf are three points for the crew's next talk, by what the weather and the timing on its routes were; what is
// true of every winter fills the list.
func (b *book) talkPointsOf(crewID string, routes []string, season string) []string {
	points := append(b.timingPoints(routes, season), b.weatherPoints(crewID, routes, season)...)
	return append(points, alwaysPoints...)[:talkPoints]
}

// timingPoints are the kinds of timing_talk on the routes, the most frequent first.
func (b *book) timingPoints(routes []string, season string) []string {
	counts := map[string]int{}
	reasons := map[string]string{}
	for _, t := range b.data.TimingTalk {
		if t.Season == season && slices.Contains(routes, t.RouteID) {
			counts[t.Kind]++
			reasons[t.Kind] = t.Reason
		}
	}
	kinds := []string{"cold", "wind", "late", "early"}
	slices.SortStableFunc(kinds, func(x, y string) int { return cmp.Compare(counts[y], counts[x]) })
	var points []string
	for _, kind := range kinds {
		if counts[kind] > 0 {
			points = append(points, timingPoint(talkWords[kind], counts[kind], reasons[kind]))
		}
	}
	return points[:min(len(points), talkPoints-1)] // one place is the weather's
}

// weatherPoints speak of freezing rain and of bridges on the routes, where there were any.
func (b *book) weatherPoints(crewID string, routes []string, season string) []string {
	var points []string
	for _, f := range b.data.CrewFreezing {
		if f.Season == season && f.CrewID == crewID {
			points = append(points, freezingPoint(f.Storms, f.Hours))
		}
	}
	bridges := 0
	for _, routeID := range routes {
		if orZero(b.routes[routeID].BridgeLaneMiles) > 0 {
			bridges++
		}
	}
	if bridges > 0 {
		points = append(points, bridgePoint(bridges))
	}
	return points
}
