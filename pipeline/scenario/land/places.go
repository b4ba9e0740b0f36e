// Package land is what the invented districts lie in: places, roads, people, and the weather of their winters.
//
// In: a seed. Out: the same places and storms for the same seed.
package land

import "slices"

// The places, people and trucks of the demo district. All are invented; the place lies in the open sea, so that no
// map shows it, and no station code is one that the world's airports use (no code there begins with X).

const (
	DistrictID   = "ZD"
	DistrictName = "Zaddow district (invented demo data)"
	TimeZone     = "America/Chicago"
)

// Zone is a weather zone, its one station and its one garage.
type Zone struct {
	ID, Name, Garage   string
	StationID, Station string
	Lat, Lon           float64
	ElevationFt        float64
	coolerF            float64 // colder than the district's mean
	lagMin, offsetMin  float64 // fronts arrive later by lagMin; reports come offsetMin after the third of an hour
	DayCrew, NightCrew string
	Stockpile          string
	HasPassID          bool            // the garage's log has pass_id
	HasLocalTimes      bool            // the garage's log has local times without an offset
	Words              map[bool]string // of yes and no in the garage's log
}

// SheetZones are the zones whose garages write pass sheets; the zone of the receivers stands in harbor.go.
var SheetZones = []Zone{
	{ID: "ridge", Name: "Zaddow Ridge", Garage: "north", StationID: "XZRA", Station: "Ridge mast", Lat: 47.42, Lon: -38.31,
		ElevationFt: 1910,
		coolerF:     2.6, lagMin: 0, offsetMin: 0, DayCrew: "crew-1", NightCrew: "crew-2", Stockpile: "north-shed", HasPassID: true,
		Words: map[bool]string{true: "true", false: "false"}},
	{ID: "plain", Name: "Zaddow Plain", Garage: "plain", StationID: "XZPA", Station: "Plain mast", Lat: 47.16, Lon: -38.10,
		ElevationFt: 640,
		coolerF:     0, lagMin: 40, offsetMin: 15, DayCrew: "crew-3", NightCrew: "crew-4", Stockpile: "south-shed", HasPassID: true,
		HasLocalTimes: true, Words: map[bool]string{true: "yes", false: "no"}},
	{ID: "shore", Name: "Zaddow Shore", Garage: "lakeside", StationID: "XZLA", Station: "Shore mast", Lat: 46.93, Lon: -37.82,
		ElevationFt: 410,
		coolerF:     -1.3, lagMin: 80, offsetMin: 5, DayCrew: "crew-5", NightCrew: "crew-6", Stockpile: "south-shed", HasPassID: false,
		Words: map[bool]string{true: "1", false: "0"}},
}

// reportHours is the time between two reports of the zone's mast.
func (z Zone) reportHours() float64 {
	if z.ID == HarborZone.ID {
		return harborEvery * reportStep.Hours()
	}
	return reportStep.Hours()
}

// crew is one shift of one garage: days from 05:00 to 17:00 local, nights the rest.
type crew struct {
	ID, Label           string
	PriorAcetateStorms  int
	Members             int
	Slope               float64 // added to the learning law's slope per doubling
	HasNoOrdinaryLesson bool    // the planted slow learner
}

// EvilLabel is a label as a person could type it into a spreadsheet; a page must show it and never run it.
const EvilLabel = `Shore nights </script><script>window.lanetallyEvil=1</script>`

// SlowSlope makes the slow crew keep three quarters of its first surplus per doubling.
const SlowSlope = 0.045

var SheetCrews = []crew{
	{ID: "crew-1", Label: "Ridge days", Members: 4},
	{ID: "crew-2", Label: "Ridge nights", Members: 4, Slope: SlowSlope, HasNoOrdinaryLesson: true},
	{ID: "crew-3", Label: "Plain days", Members: 5},
	{ID: "crew-4", Label: "Plain nights", Members: 3},
	{ID: "crew-5", Label: "Shore days", Members: 3, PriorAcetateStorms: 2},
	{ID: "crew-6", Label: EvilLabel, Members: 2},
}

// Truck is a plow truck with a hopper spreader. spread is pounds thrown / pounds counted, a constant of the spreader.
type Truck struct {
	ID, ZoneID  string
	CapacityFt3 float64
	Spread      float64
}

var SheetTrucks = []Truck{
	{ID: "N1", ZoneID: "ridge", CapacityFt3: 260, Spread: 1.021},
	{ID: "N2", ZoneID: "ridge", CapacityFt3: 270, Spread: 0.984},
	{ID: "N3", ZoneID: "ridge", CapacityFt3: 270, Spread: 1.035},
	{ID: "P1", ZoneID: "plain", CapacityFt3: 260, Spread: 0.992},
	{ID: "P2", ZoneID: "plain", CapacityFt3: 300, Spread: 1.043},
	{ID: "P3", ZoneID: "plain", CapacityFt3: 300, Spread: 0.968},
	{ID: "L1", ZoneID: "shore", CapacityFt3: 260, Spread: 1.008},
	{ID: "L2", ZoneID: "shore", CapacityFt3: 270, Spread: 0.975},
	{ID: "L3", ZoneID: "shore", CapacityFt3: 250, Spread: 1.018},
}

// LentTruckID came from a neighbour for two storms; trucks.csv does not know it.
const LentTruckID = "V-77"

// Route is a stretch of road with its ways of being logged.
type Route struct {
	ID, Name, ZoneID string
	FromMi, ToMi     float64
	Lanes            float64
	LanesPerPass     float64 // 0: not written, so 1
	LanesLogged      float64 // lanes that each row states; 0: not written
	IsRoundTrip      bool    // one row tells out and back and gives lane_miles
	BridgeLaneMiles  float64
	TrafficAADT      int
	Watershed        string
	AcetateSeason    int // first season on acetate, by index; -1 never
	Trucks           [2]string
	IsAssignedNight  bool // assignments.csv names the night crew
}

// Miles is the length of the route.
func (r Route) Miles() float64 { return r.ToMi - r.FromMi }

// LaneMiles is the length of all its lanes.
func (r Route) LaneMiles() float64 { return r.Miles() * r.Lanes }

// IsAcetate tells whether the route is on acetate in a season, by index.
func (r Route) IsAcetate(season int) bool { return r.AcetateSeason >= 0 && season >= r.AcetateSeason }

// Solids is the route's solid material in a season.
func (r Route) Solids(season int) string {
	if r.IsAcetate(season) {
		return "cma"
	}
	return "salt"
}

var SheetRoutes = []Route{
	{ID: "R-01", Name: "High Span bridge and approaches", ZoneID: "ridge", FromMi: 0, ToMi: 6, Lanes: 2, BridgeLaneMiles: 2.4,
		TrafficAADT: 5200, AcetateSeason: 0, Trucks: [2]string{"N1", "N1"}},
	{ID: "R-02", Name: "Ridge road west", ZoneID: "ridge", FromMi: 0, ToMi: 11, Lanes: 2, TrafficAADT: 3100, Watershed: "Upper reservoir",
		AcetateSeason: 1, Trucks: [2]string{"N2", "N1"}, IsAssignedNight: true},
	{ID: "R-03", Name: "Ridge road east", ZoneID: "ridge", FromMi: 11, ToMi: 24, Lanes: 2, TrafficAADT: 2700, AcetateSeason: -1,
		Trucks: [2]string{"N2", "N2"}},
	{ID: "R-04", Name: "Quarry hill road", ZoneID: "ridge", FromMi: 0, ToMi: 12.5, Lanes: 2, TrafficAADT: 1900, AcetateSeason: -1,
		Trucks: [2]string{"N3", "N3"}, IsAssignedNight: true},
	{ID: "R-05", Name: "Summit road", ZoneID: "ridge", FromMi: 0, ToMi: 9, Lanes: 2, TrafficAADT: 1400, AcetateSeason: -1,
		Trucks: [2]string{"N3", "N3"}},
	{ID: "P-01", Name: "Long Weir bridge and approaches", ZoneID: "plain", FromMi: 2, ToMi: 8.5, Lanes: 2, BridgeLaneMiles: 3.1,
		TrafficAADT: 9800, AcetateSeason: 0, Trucks: [2]string{"P1", "P1"}},
	{ID: "P-02", Name: "Mill road", ZoneID: "plain", FromMi: 0, ToMi: 10.5, Lanes: 2, TrafficAADT: 4200, AcetateSeason: 1,
		Trucks: [2]string{"P2", "P1"}, IsAssignedNight: true},
	{ID: "P-03", Name: "Market road north", ZoneID: "plain", FromMi: 0, ToMi: 12, Lanes: 4, LanesLogged: 2, TrafficAADT: 14500,
		AcetateSeason: -1, Trucks: [2]string{"P2", "P2"}},
	{ID: "P-04", Name: "Market road south", ZoneID: "plain", FromMi: 12, ToMi: 22, Lanes: 2, TrafficAADT: 6100, AcetateSeason: -1,
		Trucks: [2]string{"P3", "P3"}, IsAssignedNight: true},
	{ID: "P-05", Name: "Ditch road", ZoneID: "plain", FromMi: 0, ToMi: 14, Lanes: 2, LanesPerPass: 2, TrafficAADT: 1200, AcetateSeason: -1,
		Trucks: [2]string{"P3", "P3"}},
	{ID: "L-01", Name: "Reservoir road", ZoneID: "shore", FromMi: 0, ToMi: 12, Lanes: 2, TrafficAADT: 2300, Watershed: "Lower reservoir",
		AcetateSeason: 0, Trucks: [2]string{"L1", "L1"}, IsAssignedNight: true},
	{ID: "L-02", Name: "Shore road west", ZoneID: "shore", FromMi: 0, ToMi: 9.5, Lanes: 2, TrafficAADT: 3600, Watershed: "Lower reservoir",
		AcetateSeason: 1, Trucks: [2]string{"L2", "L1"}},
	{ID: "L-03", Name: "Shore road east", ZoneID: "shore", FromMi: 9.5, ToMi: 22, Lanes: 2, TrafficAADT: 3900, AcetateSeason: -1,
		Trucks: [2]string{"L2", "L2"}, IsAssignedNight: true},
	{ID: "L-04", Name: "Orchard road", ZoneID: "shore", FromMi: 0, ToMi: 11, Lanes: 2, IsRoundTrip: true, TrafficAADT: 1700,
		AcetateSeason: -1, Trucks: [2]string{"L3", "L3"}},
}

// ZoneIndex is the place of a zone in Zones; -1 for none.
func ZoneIndex(zoneID string) int {
	return slices.IndexFunc(Zones, func(z Zone) bool { return z.ID == zoneID })
}

// CrewIndex is the place of a crew in Crews; -1 for none.
func CrewIndex(crewID string) int {
	return slices.IndexFunc(Crews, func(c crew) bool { return c.ID == crewID })
}

// RouteIndex is the place of a route in Routes; -1 for none.
func RouteIndex(routeID string) int {
	return slices.IndexFunc(Routes, func(r Route) bool { return r.ID == routeID })
}

// TruckOf is the truck of an id, which must be one of Trucks.
func TruckOf(truckID string) Truck {
	return Trucks[slices.IndexFunc(Trucks, func(t Truck) bool { return t.ID == truckID })]
}

// Pile is one material in one shed.
type Pile struct {
	StockpileID, MaterialID  string
	FirstLb, ReorderLb, UpLb float64 // held when the first season begins; below reorderLb deliveries fill to upLb
}
