package scenario

import "slices"

// The places, people and trucks of the demo district. All are invented; the place lies in the open sea, so that no
// map shows it, and no station code is one that the world's airports use (no code there begins with X).

const (
	districtID   = "ZD"
	districtName = "Zaddow district (invented demo data)"
	timeZone     = "America/Chicago"
)

// zone is a weather zone, its one station and its one garage.
type zone struct {
	id, name, garage   string
	stationID, station string
	lat, lon           float64
	elevationFt        float64
	coolerF            float64 // colder than the district's mean
	lagMin, offsetMin  float64 // fronts arrive later by lagMin; reports come offsetMin after the third of an hour
	dayCrew, nightCrew string
	stockpile          string
	hasPassID          bool            // the garage's log has pass_id
	hasLocalTimes      bool            // the garage's log has local times without an offset
	words              map[bool]string // of yes and no in the garage's log
}

// sheetZones are the zones whose garages write pass sheets; the zone of the receivers stands in harbor.go.
var sheetZones = []zone{
	{id: "ridge", name: "Zaddow Ridge", garage: "north", stationID: "XZRA", station: "Ridge mast", lat: 47.42, lon: -38.31,
		elevationFt: 1910,
		coolerF:     2.6, lagMin: 0, offsetMin: 0, dayCrew: "crew-1", nightCrew: "crew-2", stockpile: "north-shed", hasPassID: true,
		words: map[bool]string{true: "true", false: "false"}},
	{id: "plain", name: "Zaddow Plain", garage: "plain", stationID: "XZPA", station: "Plain mast", lat: 47.16, lon: -38.10,
		elevationFt: 640,
		coolerF:     0, lagMin: 40, offsetMin: 15, dayCrew: "crew-3", nightCrew: "crew-4", stockpile: "south-shed", hasPassID: true,
		hasLocalTimes: true, words: map[bool]string{true: "yes", false: "no"}},
	{id: "shore", name: "Zaddow Shore", garage: "lakeside", stationID: "XZLA", station: "Shore mast", lat: 46.93, lon: -37.82,
		elevationFt: 410,
		coolerF:     -1.3, lagMin: 80, offsetMin: 5, dayCrew: "crew-5", nightCrew: "crew-6", stockpile: "south-shed", hasPassID: false,
		words: map[bool]string{true: "1", false: "0"}},
}

// reportHours is the time between two reports of the zone's mast.
func (z zone) reportHours() float64 {
	if z.id == harborZone.id {
		return harborEvery * reportStep.Hours()
	}
	return reportStep.Hours()
}

// crew is one shift of one garage: days from 05:00 to 17:00 local, nights the rest.
type crew struct {
	id, label           string
	priorAcetateStorms  int
	members             int
	slope               float64 // added to the learning law's slope per doubling
	hasNoOrdinaryLesson bool    // the planted slow learner
}

// evilLabel is a label as a person could type it into a spreadsheet; a page must show it and never run it.
const evilLabel = `Shore nights </script><script>window.lanetallyEvil=1</script>`

// slowSlope makes the slow crew keep three quarters of its first surplus per doubling.
const slowSlope = 0.045

var sheetCrews = []crew{
	{id: "crew-1", label: "Ridge days", members: 4},
	{id: "crew-2", label: "Ridge nights", members: 4, slope: slowSlope, hasNoOrdinaryLesson: true},
	{id: "crew-3", label: "Plain days", members: 5},
	{id: "crew-4", label: "Plain nights", members: 3},
	{id: "crew-5", label: "Shore days", members: 3, priorAcetateStorms: 2},
	{id: "crew-6", label: evilLabel, members: 2},
}

// truck is a plow truck with a hopper spreader. spread is pounds thrown / pounds counted, a constant of the spreader.
type truck struct {
	id, zoneID  string
	capacityFt3 float64
	spread      float64
}

var sheetTrucks = []truck{
	{id: "N1", zoneID: "ridge", capacityFt3: 260, spread: 1.021},
	{id: "N2", zoneID: "ridge", capacityFt3: 270, spread: 0.984},
	{id: "N3", zoneID: "ridge", capacityFt3: 270, spread: 1.035},
	{id: "P1", zoneID: "plain", capacityFt3: 260, spread: 0.992},
	{id: "P2", zoneID: "plain", capacityFt3: 300, spread: 1.043},
	{id: "P3", zoneID: "plain", capacityFt3: 300, spread: 0.968},
	{id: "L1", zoneID: "shore", capacityFt3: 260, spread: 1.008},
	{id: "L2", zoneID: "shore", capacityFt3: 270, spread: 0.975},
	{id: "L3", zoneID: "shore", capacityFt3: 250, spread: 1.018},
}

// lentTruckID came from a neighbour for two storms; trucks.csv does not know it.
const lentTruckID = "V-77"

// route is a stretch of road with its ways of being logged.
type route struct {
	id, name, zoneID string
	fromMi, toMi     float64
	lanes            float64
	lanesPerPass     float64 // 0: not written, so 1
	lanesLogged      float64 // lanes that each row states; 0: not written
	isRoundTrip      bool    // one row tells out and back and gives lane_miles
	bridgeLaneMiles  float64
	trafficAADT      int
	watershed        string
	acetateSeason    int // first season on acetate, by index; -1 never
	trucks           [2]string
	isAssignedNight  bool // assignments.csv names the night crew
}

func (r route) miles() float64 { return r.toMi - r.fromMi }

func (r route) laneMiles() float64 { return r.miles() * r.lanes }

func (r route) isAcetate(season int) bool { return r.acetateSeason >= 0 && season >= r.acetateSeason }

// solids is the route's solid material in a season.
func (r route) solids(season int) string {
	if r.isAcetate(season) {
		return "cma"
	}
	return "salt"
}

var sheetRoutes = []route{
	{id: "R-01", name: "High Span bridge and approaches", zoneID: "ridge", fromMi: 0, toMi: 6, lanes: 2, bridgeLaneMiles: 2.4,
		trafficAADT: 5200, acetateSeason: 0, trucks: [2]string{"N1", "N1"}},
	{id: "R-02", name: "Ridge road west", zoneID: "ridge", fromMi: 0, toMi: 11, lanes: 2, trafficAADT: 3100, watershed: "Upper reservoir",
		acetateSeason: 1, trucks: [2]string{"N2", "N1"}, isAssignedNight: true},
	{id: "R-03", name: "Ridge road east", zoneID: "ridge", fromMi: 11, toMi: 24, lanes: 2, trafficAADT: 2700, acetateSeason: -1,
		trucks: [2]string{"N2", "N2"}},
	{id: "R-04", name: "Quarry hill road", zoneID: "ridge", fromMi: 0, toMi: 12.5, lanes: 2, trafficAADT: 1900, acetateSeason: -1,
		trucks: [2]string{"N3", "N3"}, isAssignedNight: true},
	{id: "R-05", name: "Summit road", zoneID: "ridge", fromMi: 0, toMi: 9, lanes: 2, trafficAADT: 1400, acetateSeason: -1,
		trucks: [2]string{"N3", "N3"}},
	{id: "P-01", name: "Long Weir bridge and approaches", zoneID: "plain", fromMi: 2, toMi: 8.5, lanes: 2, bridgeLaneMiles: 3.1,
		trafficAADT: 9800, acetateSeason: 0, trucks: [2]string{"P1", "P1"}},
	{id: "P-02", name: "Mill road", zoneID: "plain", fromMi: 0, toMi: 10.5, lanes: 2, trafficAADT: 4200, acetateSeason: 1,
		trucks: [2]string{"P2", "P1"}, isAssignedNight: true},
	{id: "P-03", name: "Market road north", zoneID: "plain", fromMi: 0, toMi: 12, lanes: 4, lanesLogged: 2, trafficAADT: 14500,
		acetateSeason: -1, trucks: [2]string{"P2", "P2"}},
	{id: "P-04", name: "Market road south", zoneID: "plain", fromMi: 12, toMi: 22, lanes: 2, trafficAADT: 6100, acetateSeason: -1,
		trucks: [2]string{"P3", "P3"}, isAssignedNight: true},
	{id: "P-05", name: "Ditch road", zoneID: "plain", fromMi: 0, toMi: 14, lanes: 2, lanesPerPass: 2, trafficAADT: 1200, acetateSeason: -1,
		trucks: [2]string{"P3", "P3"}},
	{id: "L-01", name: "Reservoir road", zoneID: "shore", fromMi: 0, toMi: 12, lanes: 2, trafficAADT: 2300, watershed: "Lower reservoir",
		acetateSeason: 0, trucks: [2]string{"L1", "L1"}, isAssignedNight: true},
	{id: "L-02", name: "Shore road west", zoneID: "shore", fromMi: 0, toMi: 9.5, lanes: 2, trafficAADT: 3600, watershed: "Lower reservoir",
		acetateSeason: 1, trucks: [2]string{"L2", "L1"}},
	{id: "L-03", name: "Shore road east", zoneID: "shore", fromMi: 9.5, toMi: 22, lanes: 2, trafficAADT: 3900, acetateSeason: -1,
		trucks: [2]string{"L2", "L2"}, isAssignedNight: true},
	{id: "L-04", name: "Orchard road", zoneID: "shore", fromMi: 0, toMi: 11, lanes: 2, isRoundTrip: true, trafficAADT: 1700,
		acetateSeason: -1, trucks: [2]string{"L3", "L3"}},
}

func zoneIndex(zoneID string) int {
	return slices.IndexFunc(zones, func(z zone) bool { return z.id == zoneID })
}

func crewIndex(crewID string) int {
	return slices.IndexFunc(crews, func(c crew) bool { return c.id == crewID })
}

func routeIndex(routeID string) int {
	return slices.IndexFunc(routes, func(r route) bool { return r.id == routeID })
}

func truckOf(truckID string) truck {
	return trucks[slices.IndexFunc(trucks, func(t truck) bool { return t.id == truckID })]
}
