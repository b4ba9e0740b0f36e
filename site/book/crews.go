package book

import (
	"slices"
	"strings"

	"lanetally/pipeline/rows"
)

// AssignedTo lists the routes that a crew is assigned to when the data ends, with commas between; "" for none.
func (b *Book) AssignedTo(crewID string) string {
	var list []string
	for _, route := range b.RouteList {
		if _, id := b.Assigned(route.RouteID); id == crewID {
			list = append(list, route.RouteID)
		}
	}
	return strings.Join(list, ", ")
}

// StormsOfCrew lists the storms in which a crew treated, oldest first.
func StormsOfCrew(list []rows.CrewStorm) []string {
	return StormsIn(list, func(r rows.CrewStorm) string { return r.StormID })
}

// StormsIn lists the storms of rows that come storm by storm, each once.
func StormsIn[T any](rows []T, stormID func(T) string) []string {
	var storms []string
	for _, row := range rows {
		if n, id := len(storms), stormID(row); n == 0 || storms[n-1] != id {
			storms = append(storms, id)
		}
	}
	return storms
}

// RoutesOfCrew lists the routes that a crew treated, by id.
func RoutesOfCrew(rows []rows.CrewStorm) []string {
	var routes []string
	for _, row := range rows {
		if !slices.Contains(routes, row.RouteID) {
			routes = append(routes, row.RouteID)
		}
	}
	slices.Sort(routes)
	return routes
}

// LatestExperience is prior_storms at the crew's latest acetate storm, nil without one.
func LatestExperience(rows []rows.CrewStorm) *int64 {
	for _, row := range slices.Backward(rows) {
		if row.PriorStorms != nil {
			return row.PriorStorms
		}
	}
	return nil
}

// StormRoute is the row of storm_routes that a crew's row belongs to.
func (b *Book) StormRoute(r rows.CrewStorm) rows.StormRoute {
	return b.rowByKey[stormRouteKey{r.StormID, r.RouteID, r.MaterialClass, r.Form}]
}

// SolidsOf is the row of storm_routes of a class of solids; empty where the route got none in the storm.
func (b *Book) SolidsOf(stormID, routeID, class string) rows.StormRoute {
	return b.rowByKey[stormRouteKey{stormID, routeID, class, rows.Solid}]
}
