package book

import (
	"slices"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// CrewHref leads to a crew's page, "" where the crew is not known or pages may not name it.
func (b *Book) CrewHref(root, crewID string) string {
	if _, found := b.crews[crewID]; !found || !b.NamesCrews() {
		return ""
	}
	return root + b.CrewFile(crewID)
}

// Assigned is the route's latest assignment that has begun when the data ends; both are empty without one.
func (b *Book) Assigned(routeID string) (class, crewID string) {
	for _, a := range b.AssignedByRoute[routeID] {
		if b.Data.AsOf == nil || !b.LocalMidnight(a.FromDate).After(*b.Data.AsOf) {
			class, crewID = a.MaterialClass, a.CrewID
		}
	}
	return class, crewID
}

// RouteHref leads to a route's page, "" where the route is not known.
func (b *Book) RouteHref(root, routeID string) string {
	if _, found := b.Routes[routeID]; !found {
		return ""
	}
	return root + "routes/" + format.FileName(routeID) + ".html"
}

// CountStormsOf counts the storms of rows; rows of a storm stand together.
func CountStormsOf(list []rows.StormRoute) int {
	return len(StormsIn(list, func(r rows.StormRoute) string { return r.StormID }))
}

// CrewNames names the crews of a list that `;` separates.
func (b *Book) CrewNames(ids string) string {
	if ids == "" { // a pass always has a crew
		return format.NotShown
	}
	list := strings.Split(ids, ";")
	for i, id := range list {
		list[i] = b.CrewName(id)
	}
	return strings.Join(list, "; ")
}

// StormOf is the storm of a row of storm_routes in the route's zone.
func (b *Book) StormOf(r rows.StormRoute) rows.Storm { return b.StormIn(r.StormID, r.ZoneID) }

// StormIn is a storm in a zone; empty where it is not listed.
func (b *Book) StormIn(stormID, zoneID string) rows.Storm {
	storm, _ := b.ZoneRow(stormID, zoneID)
	return storm
}

// LatestFirst turns a list around that has the latest last.
func LatestFirst[T any](list []T) []T {
	list = slices.Clone(list)
	slices.Reverse(list)
	return list
}
