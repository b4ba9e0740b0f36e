package scenario

import (
	"slices"

	"lanetally/pipeline/scenario/land"
)

// PositionsTruth is what stands behind the positions of the zone with receivers. Passes are those of the drives, as a sheet would have told
// them: a stretch each, in the direction of travel.
type PositionsTruth struct {
	ZoneID        string      `json:"zone_id"`
	Season        string      `json:"season"`
	TruckIDs      []string    `json:"truck_ids"`
	Files         int         `json:"files"`
	Points        int         `json:"points"`
	IntervalS     float64     `json:"interval_s"`
	NoiseM        float64     `json:"noise_m"`
	Wraps         int         `json:"counter_wraps"`
	Resets        int         `json:"counter_resets"`
	TunnelRouteID string      `json:"tunnel_route_id"`
	TunnelFromMi  float64     `json:"tunnel_from_mi"`
	TunnelToMi    float64     `json:"tunnel_to_mi"`
	InTunnel      int         `json:"points_lost_in_tunnel"`
	FrozenTruckID string      `json:"frozen_truck_id"`
	FrozenFromAt  string      `json:"frozen_from_at"`
	FrozenToAt    string      `json:"frozen_to_at"`
	Frozen        int         `json:"frozen_points"`
	Duplicates    int         `json:"duplicate_rows"`
	OutOfOrder    int         `json:"out_of_order_rows"`
	Missed        SpanTruth   `json:"missed"`
	Doubled       SpanTruth   `json:"doubled"`
	Passes        []PassTruth `json:"passes"`
}

// SpanTruth is a stretch of a route in one storm.
type SpanTruth struct {
	StormID string  `json:"storm_id"`
	RouteID string  `json:"route_id"`
	FromMi  float64 `json:"from_mi"`
	ToMi    float64 `json:"to_mi"`
}

// PassTruth is one pass. MaterialID is empty where the truck only plowed.
type PassTruth struct {
	TruckID     string  `json:"truck_id"`
	CrewID      string  `json:"crew_id"`
	RouteID     string  `json:"route_id"`
	BeganAt     string  `json:"began_at"`
	EndedAt     string  `json:"ended_at"`
	FromMi      float64 `json:"from_mi"`
	ToMi        float64 `json:"to_mi"`
	Lanes       float64 `json:"lanes"`
	LaneMiles   float64 `json:"lane_miles"`
	MaterialID  string  `json:"material_id"`
	DispensedLb float64 `json:"dispensed_lb"`
	PlowDown    bool    `json:"plow_down"`
}

// tellPositions begins the truth of the receivers; receiving and delivering add their counts.
func (s *district) tellPositions() *PositionsTruth {
	t := &PositionsTruth{ZoneID: land.HarborZone.ID, Season: land.SeasonNames[1], IntervalS: positionEvery.Seconds(),
		NoiseM:        positionNoiseM,
		TunnelRouteID: land.HarborRoutes[2].ID, TunnelFromMi: tunnelFromMi, TunnelToMi: tunnelToMi,
		FrozenTruckID: land.HarborTrucks[0].ID, Frozen: frozenPoints}
	for _, k := range land.HarborTrucks {
		t.TruckIDs = append(t.TruckIDs, k.ID)
	}
	var storms []int
	for _, p := range s.harbor.passes {
		if s.storms[p.storm].Season != 1 {
			continue
		}
		if !slices.Contains(storms, p.storm) {
			storms = append(storms, p.storm)
		}
		t.Passes = append(t.Passes, PassTruth{p.truckID, p.crewID, land.Routes[p.route].ID, dateTime(p.began), dateTime(p.ended), p.fromMi,
			p.toMi, p.lanes, land.Round(p.laneMiles, 6), p.materialID, p.dispensedLb, p.plowDown})
	}
	if len(storms) >= twiceNth {
		t.Missed = SpanTruth{s.storms[storms[missedNth-1]].ID, land.HarborRoutes[2].ID, missedFromMi, land.HarborRoutes[2].ToMi}
		t.Doubled = SpanTruth{s.storms[storms[twiceNth-1]].ID, land.HarborRoutes[1].ID, 0, twiceToMi}
	}
	return t
}
