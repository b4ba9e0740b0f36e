// Package land is what the invented districts lie in: places, roads, people, and the weather of their winters.
//
// In: a seed. Out: the same places and storms for the same seed. The places, people and trucks are tables: below district/ those that the
// district hands out as they stand, below unwritten/ what no table of a district says. All are invented; the place lies in the open sea, so
// that no map shows it, and no station code is one that the world's airports use (no code there begins with X).
//
// Of the materials, densities and the lowest working temperatures are common practice; chloride fractions and oxygen demands are computed
// from atomic weights; brine of 23.3 % holds 2.285 lb of dry salt a gallon (specific gravity 1.176); the potassium acetate figure, 5.3 lb a
// gallon, is from memory.
package land

import (
	"embed"
	"encoding/csv"
	"errors"
	"io/fs"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

//go:embed district unwritten
var tables embed.FS

// Files are the settings and reference tables that the district hands out as they stand, below a folder of this name.
func Files() (all fs.FS, folder string) { return tables, "district" }

const (
	DistrictID = "ZD"
	TimeZone   = "America/Chicago"
)

// read reads things from the tables that tell of them, row by row in the same order, each cell into the field of its column.
func read[T any](names ...string) (rows []T) {
	for _, name := range names {
		text, err := tables.ReadFile(name)
		cells, reading := csv.NewReader(strings.NewReader(string(text))).ReadAll()
		if err := errors.Join(err, reading); err != nil {
			panic(err) // a file of this package
		}
		rows = slices.Grow(rows, len(cells))[:len(cells)-1]
		for i := range rows {
			for field, place := range reflect.ValueOf(&rows[i]).Elem().Fields() {
				if column := slices.Index(cells[0], field.Tag.Get("csv")); column >= 0 {
					set(place, cells[i+1][column])
				}
			}
		}
	}
	return rows
}

// set fills a field from a cell; an empty one is 0 or no.
func set(place reflect.Value, cell string) {
	switch place.Kind() {
	case reflect.String:
		place.SetString(cell)
	case reflect.Bool:
		place.SetBool(cell == "yes")
	default:
		number, err := strconv.ParseFloat(cell, 64)
		if err != nil && cell != "" {
			panic(err) // a file of this package
		}
		place.Set(reflect.ValueOf(number).Convert(place.Type()))
	}
}

// What the reference tables hold: the zones whose garages write pass sheets first, then the one whose trucks have receivers, so that it
// changes nothing of theirs.
var (
	Zones     = read[Zone]("district/reference/stations.csv", "unwritten/zones.csv")
	Crews     = read[Crew]("district/reference/crews.csv", "unwritten/crews.csv")
	Trucks    = read[Truck]("district/reference/trucks.csv", "unwritten/trucks.csv")
	Routes    = read[Route]("district/reference/routes.csv", "unwritten/routes.csv")
	Piles     = read[Pile]("unwritten/piles.csv")
	materials = read[material]("district/reference/materials.csv")
	Faults    = read[Fault]("unwritten/faults.csv")
)

// Those of the sheets, and those of the receivers.
var (
	harbor                    = ZoneIndex("harbor")
	SheetZones, HarborZone    = Zones[:harbor], Zones[harbor]
	SheetCrews, HarborCrews   = Crews[:6], Crews[6:]
	SheetTrucks, HarborTrucks = Trucks[:9], Trucks[9:]
	SheetRoutes, HarborRoutes = Routes[:14], Routes[14:]
	SheetPiles, HarborPiles   = Piles[:6], Piles[6:]
)

// Zone is a weather zone, its one station and its one garage.
type Zone struct {
	ID            string  `csv:"zone_id"`
	StationID     string  `csv:"station_id"`
	Lat           float64 `csv:"lat"`
	Lon           float64 `csv:"lon"`
	Garage        string  `csv:"garage"`
	CoolerF       float64 `csv:"cooler_f"`   // colder than the district's mean
	LagMin        float64 `csv:"lag_min"`    // fronts arrive so much later
	OffsetMin     float64 `csv:"offset_min"` // reports come so long after the third of an hour
	DayCrew       string  `csv:"day_crew"`
	NightCrew     string  `csv:"night_crew"`
	Stockpile     string  `csv:"stockpile"`
	HasPassID     bool    `csv:"has_pass_id"`     // the garage's log has pass_id
	HasLocalTimes bool    `csv:"has_local_times"` // the garage's log has local times without an offset
	Yes           string  `csv:"yes"`             // and No: words of the garage's log
	No            string  `csv:"no"`
	PassColumns   string  `csv:"pass_columns"` // of the garage's log: three layouts of the same contract, the first of them twice
}

// reportHours is the time between two reports of the zone's mast.
func (z Zone) reportHours() float64 {
	if z.ID == HarborZone.ID {
		return harborEvery * reportStep.Hours()
	}
	return reportStep.Hours()
}

// Crew is one shift of one garage: days from 05:00 to 17:00 local, nights the rest.
type Crew struct {
	ID                 string  `csv:"crew_id"`
	Label              string  `csv:"label"`
	PriorAcetateStorms int     `csv:"prior_acetate_storms"`
	Slope              float64 `csv:"slope"` // added to the learning law's slope per doubling; not 0 for the planted slow learner alone
}

// Truck is a plow truck with a hopper spreader.
type Truck struct {
	ID          string  `csv:"truck_id"`
	ZoneID      string  `csv:"zone_id"`
	CapacityFt3 float64 `csv:"capacity_ft3"`
	Spread      float64 `csv:"spread"` // pounds thrown / pounds counted, a constant of the spreader
}

// LentTruckID came from a neighbour for two storms; trucks.csv does not know it.
const LentTruckID = "V-77"

// Route is a stretch of road with its ways of being logged.
type Route struct {
	ID              string  `csv:"route_id"`
	ZoneID          string  `csv:"zone_id"`
	FromMi          float64 `csv:"from_mi"`
	ToMi            float64 `csv:"to_mi"`
	LaneMiles       float64 `csv:"lane_miles"`
	LanesPerPass    float64 `csv:"lanes_per_pass"` // 0: not written, so 1
	BridgeLaneMiles float64 `csv:"bridge_lane_miles"`
	TrafficAADT     int     `csv:"traffic_aadt"`
	LanesLogged     float64 `csv:"lanes_logged"`   // lanes that each row states; 0: not written
	IsRoundTrip     bool    `csv:"is_round_trip"`  // one row tells out and back and gives lane_miles
	AcetateSeason   int     `csv:"acetate_season"` // first season on acetate, by index; -1 never
	FirstTruck      string  `csv:"first_truck"`    // of the first season
	SecondTruck     string  `csv:"second_truck"`
}

// Miles is the length of the route.
func (r Route) Miles() float64 { return r.ToMi - r.FromMi }

// Truck is the truck that works the route in a season, by index.
func (r Route) Truck(season int) string { return [2]string{r.FirstTruck, r.SecondTruck}[season] }

// IsAcetate tells whether the route is on acetate in a season, by index.
func (r Route) IsAcetate(season int) bool { return r.AcetateSeason >= 0 && season >= r.AcetateSeason }

// Solids is the route's solid material in a season.
func (r Route) Solids(season int) string {
	if r.IsAcetate(season) {
		return "cma"
	}
	return "salt"
}

// Pile is one material in one shed: what it holds when the first season begins, and below ReorderLb deliveries fill it to UpLb.
type Pile struct {
	StockpileID string  `csv:"stockpile_id"`
	MaterialID  string  `csv:"material_id"`
	FirstLb     float64 `csv:"first_lb"`
	ReorderLb   float64 `csv:"reorder_lb"`
	UpLb        float64 `csv:"up_lb"`
}

// Fault is one way in which real rows are broken. Where narrows the files; so many rows get it. Cell stands in Column afterwards where How
// says no other way.
type Fault struct {
	Feed   string `csv:"feed"`
	Where  string `csv:"where"`
	Kind   string `csv:"kind"`
	Column string `csv:"column"`
	Rows   int    `csv:"rows"`
	Cell   string `csv:"cell"`
	How    string `csv:"how"`
}

type material struct {
	ID                  string  `csv:"material_id"`
	BulkDensityLbPerFt3 float64 `csv:"bulk_density_lb_ft3"` // 0 for a liquid
}

// BulkDensity is a solid's in pounds per cubic foot.
func BulkDensity(materialID string) float64 {
	return materials[slices.IndexFunc(materials, func(m material) bool { return m.ID == materialID })].BulkDensityLbPerFt3
}

// ZoneIndex is the place of a zone in Zones; -1 for none.
func ZoneIndex(zoneID string) int {
	return slices.IndexFunc(Zones, func(z Zone) bool { return z.ID == zoneID })
}

// CrewIndex is the place of a crew in Crews; -1 for none.
func CrewIndex(crewID string) int {
	return slices.IndexFunc(Crews, func(c Crew) bool { return c.ID == crewID })
}

// RouteIndex is the place of a route in Routes; -1 for none.
func RouteIndex(routeID string) int {
	return slices.IndexFunc(Routes, func(r Route) bool { return r.ID == routeID })
}

// TruckOf is the truck of an id, which must be one of Trucks.
func TruckOf(truckID string) Truck {
	return Trucks[slices.IndexFunc(Trucks, func(t Truck) bool { return t.ID == truckID })]
}
