package site

import (
	"fmt"
	"math"
	"slices"
	"strings"
)

// Who is led to the pages of crews. The pages are a public record, and so are the files beside them.
const (
	CrewPagesAll  = "all"  // crews are listed, named and linked
	CrewPagesOwn  = "own"  // each crew's page has an address that nothing else on the site names; no other page names a crew
	CrewPagesNone = "none" // no crew has a page, no page names a crew
)

const (
	// FewestMembers is how many a crew must be for its figures to be shown: a figure of one or two is one of persons.
	FewestMembers = 3
	// FewestCrews is how many crews with figures it takes to set them side by side: of two, each would know the other's.
	FewestCrews = 3
)

// ShowsFigures tells whether a crew is large enough for figures of its own; one of unknown size is not.
func (c Crew) ShowsFigures() bool { return c.Members != nil && *c.Members >= FewestMembers }

// listedCrews are the crews that pages may name, list and link, by id; none where their pages have addresses of their own.
func (b *book) listedCrews() []Crew {
	if b.data.CrewPages != CrewPagesAll {
		return nil
	}
	return b.crewList
}

// namesCrews tells whether pages other than a crew's own may name it.
func (b *book) namesCrews() bool { return b.data.CrewPages == CrewPagesAll }

// showsCrew tells whether pages other than the crew's own may hold its figures.
func (b *book) showsCrew(crewID string) bool { return b.namesCrews() && b.crews[crewID].ShowsFigures() }

// comparedCrews are the crews that may be set side by side, by id: those with figures, nil below FewestCrews of them.
func (b *book) comparedCrews() []Crew {
	list := b.crewsWithFigures()
	if len(list) < FewestCrews {
		return nil
	}
	return list
}

// crewsWithFigures are the listed crews that are large enough for figures.
func (b *book) crewsWithFigures() []Crew {
	return slices.DeleteFunc(slices.Clone(b.listedCrews()), func(c Crew) bool { return !c.ShowsFigures() })
}

func (b *book) isCompared(crewID string) bool {
	return slices.ContainsFunc(b.comparedCrews(), func(c Crew) bool { return c.CrewID == crewID })
}

// crewFile is where a crew's page lies, below public/; "" where it has none.
func (b *book) crewFile(crewID string) string {
	switch {
	case b.data.CrewPages == CrewPagesAll:
		return "crews/" + FileName(crewID) + ".html"
	case b.data.CrewPages == CrewPagesOwn:
		return b.data.CrewAddresses[crewID]
	}
	return ""
}

// crewSheetFile is where a crew's sheet for printing lies, beside its page.
func (b *book) crewSheetFile(crewID string) string {
	return strings.TrimSuffix(b.crewFile(crewID), ".html") + "-sheet.html"
}

// isPublicRate tells whether a crew's rate on a route in a storm may stand on a page that names no crew: where it worked the route alone, its
// rate is the route's.
func (b *book) isPublicRate(stormID, routeID, crewID string) bool {
	return b.showsCrew(crewID) || b.crewsOnRoute[stormRoute{stormID, routeID}] == 1
}

// ifCrewStorms is text where the crews' rows are published.
func (b *book) ifCrewStorms(text string) string {
	if len(b.data.CrewFileLabels) == 0 || !b.isPublished("crew_storms.csv") {
		return ""
	}
	return text
}

// routePoints are the routes' rates in the storms of the fit, all crews together, each at the mean of its crews' experience, rounded.
func (b *book) routePoints(prior func(LearningResidual) (int64, bool)) []ratePoint {
	var points []ratePoint
	at, storms, crews := map[stormRoute]int{}, map[stormRoute]int64{}, map[stormRoute]int64{}
	for _, r := range b.residuals() {
		key := stormRoute{r.StormID, r.RouteID}
		rate := b.stormRoute(CrewStorm{StormID: r.StormID, RouteID: r.RouteID, MaterialClass: b.compareClass(), Form: solid}).RateLbPerLaneMi
		n, found := prior(r)
		if !found || rate == nil {
			continue
		}
		if crews[key] == 0 {
			at[key] = len(points)
			points = append(points, ratePoint{crewID: r.RouteID, stormID: r.StormID, routeID: r.RouteID, rate: *rate}) // orders are placed route by route
		}
		storms[key], crews[key] = storms[key]+n, crews[key]+1
		p := &points[at[key]]
		p.prior, p.isOutlier = int64(math.Round(float64(storms[key])/float64(crews[key]))), p.isOutlier || r.IsOutlier
	}
	return points
}

// ratesNotPublic counts the rates of the fit that pages which name crews leave out.
func (b *book) ratesNotPublic() int {
	n := 0
	if !b.namesCrews() {
		return 0
	}
	for _, r := range b.data.LearningResiduals {
		if !b.isPublicRate(r.StormID, r.RouteID, r.CrewID) {
			n++
		}
	}
	return n
}

// stormRoute names a route in a storm.
type stormRoute struct{ stormID, routeID string }

// seasonRoute names a route in a season.
type seasonRoute struct{ season, routeID string }

// readCrewsOnRoute counts the crews that put down acetate solids on each route in each storm, and lists those that treated it in a season's storms.
func (b *book) readCrewsOnRoute() {
	b.crewsInSeason = map[seasonRoute][]string{}
	for _, crew := range b.crewList {
		for _, r := range b.crewRows[crew.CrewID] {
			e := b.eventByID[r.StormID]
			if e == nil {
				continue
			}
			at := seasonRoute{e.Season, r.RouteID}
			if list := b.crewsInSeason[at]; len(list) == 0 || list[len(list)-1] != crew.CrewID {
				b.crewsInSeason[at] = append(list, crew.CrewID)
			}
		}
	}
	b.crewsOnRoute = map[stormRoute]int{}
	for _, row := range b.data.CrewStorms {
		if row.MaterialClass == b.compareClass() && row.Form == solid {
			b.crewsOnRoute[stormRoute{row.StormID, row.RouteID}]++
		}
	}
}

// menuEntries are the entries of the menu on every page.
func (b *book) menuEntries() []menuEntry {
	if b.namesCrews() {
		return menu
	}
	return slices.DeleteFunc(slices.Clone(menu), func(e menuEntry) bool { return e.Name == "crews" })
}

// writeCrews writes the pages of crews that the district wants.
func (w *builder) writeCrews() error {
	b := w.book
	if b.data.CrewPages != CrewPagesAll && b.data.CrewPages != CrewPagesOwn {
		return nil
	}
	for _, crew := range b.crewList {
		file := b.crewFile(crew.CrewID)
		if !strings.HasPrefix(file, "crews/") {
			return fmt.Errorf("crew %q has no address for its page", crew.CrewID)
		}
		if err := w.writePage(file, b.crewPage(crew)); err != nil {
			return err
		}
		if err := w.writePage(b.crewSheetFile(crew.CrewID), b.crewSheet(crew)); err != nil {
			return err
		}
	}
	if b.namesCrews() {
		return w.writePage("crews.html", b.crewsPage())
	}
	// Where the folder's own address is asked for, a web server must not list what is in it.
	return w.writePage("crews/index.html", page{Title: "Crews", Root: "../", IsPrivate: true, Lead: crewFolderSentence})
}

// routeTotals are a route's totals of each class of solids that it got, at least one row.
func (b *book) routeTotals(routeID, season string) []routeTotal {
	var rows []routeTotal
	for _, class := range b.sides() {
		if t := b.routeTally(routeID, season, class); t.RouteStorms > 0 {
			rows = append(rows, routeTotal{routeID, class, t})
		}
	}
	if len(rows) == 0 {
		rows = []routeTotal{{routeID, "", Tally{}}}
	}
	return rows
}

func (b *book) totalColumns() []Column[routeTotal] {
	return at(func(r routeTotal) Tally { return r.Tally }, append(b.roadColumns(), stormsColumn("treated")))
}

// crewRoutesSection gives the totals of a crew's routes in the latest season, whoever treated them.
func (b *book) crewRoutesSection(crewID string) Section {
	season := b.latestSeason()
	var rows []routeTotal
	for _, routeID := range b.routesOf(crewID) {
		rows = append(rows, b.routeTotals(routeID, season)...)
	}
	shared := func(r routeTotal) string {
		if r.class == "" {
			return missing
		}
		return b.othersOn(crewID, r.routeID, season)
	}
	columns := []Column[routeTotal]{routeColumn(b, "../", (routeTotal).route).asProse(), classColumn("no solids", (routeTotal).solids),
		prose("Shared with", shared)}
	table := filled(b, Table{ID: "crew-routes",
		Caption:  "Totals of the routes in the " + season + " season, all crews together; solids in closed storms",
		Download: "storm_routes.csv", Empty: "No route is assigned to the crew, and it treated none."},
		append(columns, b.totalColumns()...), rows, partedBy((routeTotal).route))
	return Section{ID: "crew-routes-season", Title: "The crew's routes this season", Tables: []Table{table}}
}

// routesOf are the routes that a crew treated or is assigned now, by id.
func (b *book) routesOf(crewID string) []string {
	routes := routesOfCrew(b.crewRows[crewID])
	for _, route := range b.routeList {
		if _, assigned := b.assigned(route.RouteID); assigned == crewID && !slices.Contains(routes, route.RouteID) {
			routes = append(routes, route.RouteID)
		}
	}
	slices.Sort(routes)
	return routes
}

// othersIn lists the other crews that treated the route in the season's storms.
func (b *book) othersIn(season, routeID, crewID string) []string {
	return slices.DeleteFunc(slices.Clone(b.crewsInSeason[seasonRoute{season, routeID}]), func(id string) bool { return id == crewID })
}

// othersOn says who else worked a route: by name where pages name crews, else by number.
func (b *book) othersOn(crewID, routeID, season string) string {
	others := b.othersIn(season, routeID, crewID)
	if b.namesCrews() && len(others) > 0 {
		return b.crewNames(strings.Join(others, ";"))
	}
	return sharedWith(len(others))
}

// routeTotal is what a route got of one class over the closed storms of a season, all crews together; class is empty on
// the one row of a route without solids.
type routeTotal struct {
	routeID, class string
	Tally
}

func (r routeTotal) route() string  { return r.routeID }
func (r routeTotal) solids() string { return r.class }
