package book

import (
	"slices"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// ListedCrews are the crews that pages may name, list and link, by id; none where their pages have addresses of their own.
func (b *Book) ListedCrews() []rows.Crew {
	if b.Data.CrewPages != rows.CrewPagesAll {
		return nil
	}
	return b.CrewList
}

// NamesCrews tells whether pages other than a crew's own may name it.
func (b *Book) NamesCrews() bool { return b.Data.CrewPages == rows.CrewPagesAll }

// showsCrew tells whether pages other than the crew's own may hold its figures.
func (b *Book) showsCrew(crewID string) bool { return b.NamesCrews() && b.crews[crewID].ShowsFigures() }

// ComparedCrews are the crews that may be set side by side, by id: those with figures, nil below FewestCrews of them.
func (b *Book) ComparedCrews() []rows.Crew {
	list := b.CrewsWithFigures()
	if len(list) < rows.FewestCrews {
		return nil
	}
	return list
}

// CrewsWithFigures are the listed crews that are large enough for figures.
func (b *Book) CrewsWithFigures() []rows.Crew {
	return slices.DeleteFunc(slices.Clone(b.ListedCrews()), func(c rows.Crew) bool { return !c.ShowsFigures() })
}

// IsCompared tells whether a crew is one of ComparedCrews.
func (b *Book) IsCompared(crewID string) bool {
	return slices.ContainsFunc(b.ComparedCrews(), func(c rows.Crew) bool { return c.CrewID == crewID })
}

// CrewFile is where a crew's page lies, below public/; "" where it has none.
func (b *Book) CrewFile(crewID string) string {
	switch {
	case b.Data.CrewPages == rows.CrewPagesAll:
		return "crews/" + format.FileName(crewID) + ".html"
	case b.Data.CrewPages == rows.CrewPagesOwn:
		return b.Data.CrewAddresses[crewID]
	}
	return ""
}

// CrewSheetFile is where a crew's sheet for printing lies, beside its page.
func (b *Book) CrewSheetFile(crewID string) string {
	return strings.TrimSuffix(b.CrewFile(crewID), ".html") + "-sheet.html"
}

// IsPublicRate tells whether a crew's rate on a route in a storm may stand on a page that names no crew: where it worked the route alone,
// its rate is the route's.
func (b *Book) IsPublicRate(stormID, routeID, crewID string) bool {
	return b.showsCrew(crewID) || b.crewsOnRoute[stormRoute{stormID, routeID}] == 1
}

// IfCrewStorms is text where the crews' rows are published.
func (b *Book) IfCrewStorms(text string) string {
	if len(b.Data.CrewFileLabels) == 0 || !b.IsPublished("crew_storms.csv") {
		return ""
	}
	return text
}

// stormRoute names a route in a storm.
type stormRoute struct{ stormID, routeID string }

// SeasonRoute names a route in a season.
type SeasonRoute struct{ Season, RouteID string }

// readCrewsOnRoute counts the crews that put down acetate solids on each route in each storm, and lists those that treated it in a season's
// storms.
func (b *Book) readCrewsOnRoute() {
	b.CrewsInSeason = map[SeasonRoute][]string{}
	for _, crew := range b.CrewList {
		for _, r := range b.CrewRows[crew.CrewID] {
			e := b.EventByID[r.StormID]
			if e == nil {
				continue
			}
			at := SeasonRoute{e.Season, r.RouteID}
			if list := b.CrewsInSeason[at]; len(list) == 0 || list[len(list)-1] != crew.CrewID {
				b.CrewsInSeason[at] = append(list, crew.CrewID)
			}
		}
	}
	b.crewsOnRoute = map[stormRoute]int{}
	for _, row := range b.Data.CrewStorms {
		if row.MaterialClass == b.CompareClass() && row.Form == rows.Solid {
			b.crewsOnRoute[stormRoute{row.StormID, row.RouteID}]++
		}
	}
}

// RoutesOf are the routes that a crew treated or is assigned now, by id.
func (b *Book) RoutesOf(crewID string) []string {
	routes := RoutesOfCrew(b.CrewRows[crewID])
	for _, route := range b.RouteList {
		if _, assigned := b.Assigned(route.RouteID); assigned == crewID && !slices.Contains(routes, route.RouteID) {
			routes = append(routes, route.RouteID)
		}
	}
	slices.Sort(routes)
	return routes
}

// OthersIn lists the other crews that treated the route in the season's storms.
func (b *Book) OthersIn(season, routeID, crewID string) []string {
	return slices.DeleteFunc(slices.Clone(b.CrewsInSeason[SeasonRoute{season, routeID}]), func(id string) bool { return id == crewID })
}
