package pages

import (
	"cmp"
	"slices"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// What a crew's sheet holds, so that it stays on one page.
const (
	sheetCrewRows     = 14
	sheetCrewPictures = 6
	TalkPoints        = 3
)

// CrewSheet is a crew's season on one printed page: how the roads fared first, then the totals of its routes, whoever
// treated them, then points for the next talk, which come from the routes' weather and never from the crew's own rates.
func CrewSheet(b *book.Book, crew rows.Crew) table.Page {
	season := b.LatestSeason()
	routes := RoutesInSeason(b, crew.CrewID, season)
	p := table.Page{Title: "Crew " + b.CrewName(crew.CrewID), Nav: "crews", Root: "../", IsSheet: true, IsPrivate: !b.NamesCrews(),
		Lead: words.Say(b.Units, "crew sheet", season, len(routes), b.Through())}
	p.Sections = []table.Section{{ID: "went-well", Title: "On the road", Text: wentWell(b, crew.CrewID, routes, season)},
		sheetTotals(b, crew.CrewID, routes, season),
		{ID: "talk", Title: "For the next talk", List: TalkPointsOf(b, crew.CrewID, routes, season),
			Text: []string{words.Say(b.Units, "talk caution")}}}
	return p
}

// RoutesInSeason lists the routes that a crew treated in a season's storms, by id.
func RoutesInSeason(b *book.Book, crewID, season string) []string {
	rows := slices.DeleteFunc(slices.Clone(b.CrewRows[crewID]), func(r rows.CrewStorm) bool {
		e := b.EventByID[r.StormID]
		return e == nil || e.Season != season
	})
	return book.RoutesOfCrew(rows)
}

// wentWell says how the routes fared after the season's storms, what went well first.
func wentWell(b *book.Book, crewID string, routes []string, season string) []string {
	soonest, hours := "", (*float64)(nil)
	for _, routeID := range routes {
		roads := b.Tallies[rows.TallyKey{Part: rows.PartRouteRoads, Season: season, RouteID: routeID}]
		if h := roads.RegainH; h != nil && (hours == nil || *h < *hours) {
			soonest, hours = b.RouteShort(routeID), h
		}
	}
	t := b.Tallies[rows.TallyKey{Part: rows.PartCrewRoads, Season: season, CrewID: crewID}]
	return words.WentWellSentences(b.Units, t, soonest, hours, len(routes))
}

// sheetTotals are the totals of the crew's routes this season, whoever treated them, with the crews that shared them.
func sheetTotals(b *book.Book, crewID string, routes []string, season string) table.Section {
	s := table.Section{ID: "routes", Title: "The routes this season", HasMarks: true, Picture: "route-pictures"}
	high := highestRouteRate(b, routes, season)
	var storms []string
	for _, e := range b.EventsOf(season) {
		storms = append(storms, e.ID)
	}
	var list []rows.Tally
	for i, routeID := range routes {
		list = append(list, book.Where(routeTotals(b, routeID, season), func(t rows.Tally) bool { return t.MaterialClass != "" })...)
		if i < sheetCrewPictures {
			s.Figures = append(s.Figures, table.Figure{Title: format.Shortened(b.RouteName(routeID), sheetName), IsSmall: true,
				Drawing: draw.SmallMultiple(b,
					words.Say(b.Units, "sheet rates label", routeID), storms, ratesOfRoute(b, routeID, season), high,
					routeOrders(b, routeID, storms))})
		}
	}
	place := table.Place{ID: "sheet-crew-routes", Note: words.Say(b.Units, "more rows", len(list)-sheetCrewRows)}
	s.Tables = []table.Table{table.Filled(b, place,
		list[:min(len(list), sheetCrewRows)], table.Own[rows.Tally]{
			"name": func(t rows.Tally) any { return format.Shortened(b.RouteName(t.RouteID), sheetName) },
			"shared": func(t rows.Tally) any {
				return words.Say(b.Units, "shared with", len(b.OthersIn(season, t.RouteID, crewID)))
			}})}
	return s
}

// ratesOfRoute are a route's rates of acetate and chloride in a season's storms, in the form that SmallMultiple draws.
func ratesOfRoute(b *book.Book, routeID, season string) []rows.CrewStorm {
	var rates []rows.CrewStorm
	for _, row := range b.RowsByRoute[routeID] {
		if e := b.EventByID[row.StormID]; e != nil && e.Season == season && book.IsRated(b.Units.Classes, row.MaterialClass) {
			rates = append(rates, rows.CrewStorm{StormID: row.StormID, RouteID: routeID, MaterialClass: row.MaterialClass, Form: row.Form,
				RateLbPerLaneMi: row.RateLbPerLaneMi})
		}
	}
	return rates
}

func highestRouteRate(b *book.Book, routes []string, season string) float64 {
	var rates []rows.CrewStorm
	for _, routeID := range routes {
		rates = append(rates, ratesOfRoute(b, routeID, season)...)
	}
	return highestRate(rates)
}

// TalkPointsOf are three points for the crew's next talk, by what the weather and the timing on its routes were; what is
// true of every winter fills the list.
func TalkPointsOf(b *book.Book, crewID string, routes []string, season string) []string {
	points := append(timingPoints(b, routes, season), weatherPoints(b, crewID, routes, season)...)
	return append(points, words.AlwaysPoints...)[:TalkPoints]
}

// timingPoints are the kinds of timing_talk on the routes, the most frequent first.
func timingPoints(b *book.Book, routes []string, season string) []string {
	counts := map[string]int{}
	reasons := map[string]string{}
	for _, t := range b.Data.TimingTalk {
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
			points = append(points, words.Say(b.Units, "timing", kind, counts[kind], reasons[kind]))
		}
	}
	return points[:min(len(points), TalkPoints-1)] // one place is the weather's
}

// weatherPoints speak of freezing rain and of bridges on the routes, where there were any.
func weatherPoints(b *book.Book, crewID string, routes []string, season string) []string {
	var points []string
	for _, f := range b.Data.CrewFreezing {
		if f.Season == season && f.CrewID == crewID {
			points = append(points, words.Say(b.Units, "freezing", f.Storms, f.Hours))
		}
	}
	bridges := book.CountOf(routes, func(routeID string) bool { return rows.OrZero(b.Routes[routeID].BridgeLaneMiles) > 0 })
	if bridges > 0 {
		points = append(points, words.Say(b.Units, "decks", bridges))
	}
	return points
}
