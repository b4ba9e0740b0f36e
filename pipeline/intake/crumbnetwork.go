package intake

import (
	"context"
	"encoding/json"
	"fmt"

	"github.com/paulmach/orb"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/matching"
)

// crumbNetworkVersion changes when the same positions and lines would give other passes.
const crumbNetworkVersion = "3"

// crumbNetwork is the drawn routes, in the order of their names, and the other roads.
type crumbNetwork struct {
	lines        *matching.Network
	lanesPerPass []float64
}

// drawnRoute is a route with a line, or another road.
type drawnRoute struct {
	RouteID      string  `db:"route_id"`
	FromMi       float64 `db:"from_mi"`
	ToMi         float64 `db:"to_mi"`
	LanesPerPass float64 `db:"lanes_per_pass"`
	OneWay       bool    `db:"one_way"`
	RoadNo       float64 `db:"road_no"` // of another road, 0 of a route
	Points       string  `db:"points"`
}

func readDrawnRoutes(ctx context.Context, l *ledger.Ledger) ([]drawnRoute, error) {
	return ledger.ReadTable[drawnRoute](ctx, l,
		`select route_id, coalesce(from_mi, 0) as from_mi, coalesce(to_mi, 0) as to_mi, lanes_per_pass,
			coalesce(one_way, false) as one_way, points, 0.0::double as road_no
		from routes
		inner join route_lines using (route_id)
		union all
		select '', 0, 0, 1, false, points, road_no
		from other_roads
		order by road_no, route_id`)
}

func newCrumbNetwork(drawn []drawnRoute, settings matching.Settings) (*crumbNetwork, error) {
	network := &crumbNetwork{}
	routes := make([]matching.Route, len(drawn))
	for i, route := range drawn {
		var line orb.LineString
		if err := json.Unmarshal([]byte(route.Points), &line); err != nil {
			return nil, fmt.Errorf("line of route %q: %w", route.RouteID, err)
		}
		routes[i] = matching.Route{ID: route.RouteID, FromMi: route.FromMi, ToMi: route.ToMi, OneWay: route.OneWay,
			IsOther: route.RoadNo > 0, Line: line}
		network.lanesPerPass = append(network.lanesPerPass, route.LanesPerPass)
	}
	var err error
	network.lines, err = matching.NewNetwork(routes, settings)
	return network, err
}
