package scenario

import (
	"bytes"
	"embed"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"text/template"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/scenario/land"
)

//go:embed templates
var templates embed.FS

// settingsFile is district.toml.
func settingsFile() ([]byte, error) {
	page, err := template.ParseFS(templates, "templates/district.toml")
	if err != nil {
		return nil, err
	}
	var body bytes.Buffer
	err = page.Execute(&body, struct{ Name, TimeZone string }{land.DistrictName, land.TimeZone})
	return body.Bytes(), err
}

// table is one reference table as text.
type table struct {
	name string
	rows [][]string // the header first
}

func (t *table) add(cells ...string) { t.rows = append(t.rows, cells) }

func newTable(name, header string) *table {
	return &table{name: name, rows: [][]string{strings.Split(header, ",")}}
}

// fixedTables are the reference tables from which nothing is invented: materials, pairs that the district judges alike, bridges, and
// storms, of which none is declared. Densities and the lowest working temperatures are common practice; chloride fractions and oxygen
// demands are computed from atomic weights; brine of 23.3 % holds 2.285 lb of dry salt a gallon (specific gravity 1.176); the potassium
// acetate figure, 5.3 lb a gallon, is from memory.
const fixedTables = "templates/reference"

// bulkDensity is a solid's in pounds per cubic foot.
func bulkDensity(materialID string) float64 { return bulkDensities()[materialID] }

var bulkDensities = sync.OnceValue(func() map[string]float64 {
	body, err := templates.ReadFile(fixedTables + "/materials.csv")
	rows, reading := csv.NewReader(bytes.NewReader(body)).ReadAll()
	if err := errors.Join(err, reading); err != nil {
		panic(err) // a file of this package
	}
	densities := map[string]float64{}
	column := slices.Index(rows[0], "bulk_density_lb_ft3")
	for _, row := range rows[1:] {
		densities[row[0]], _ = strconv.ParseFloat(row[column], 64) // liquids have none
	}
	return densities
})

func writeReference(dir string, seed uint64) error {
	bodies := map[string][]byte{}
	fixed, err := templates.ReadDir(fixedTables)
	for _, entry := range fixed {
		var reading error
		bodies[entry.Name()], reading = templates.ReadFile(fixedTables + "/" + entry.Name())
		err = errors.Join(err, reading)
	}
	for _, t := range []*table{zoneTable(), stationTable(), routeTable(), assignmentTable(), crewTable(), truckTable(), priceTable(),
		calibrationTable(seed), catchTable(seed), orderTable()} {
		for _, row := range t.rows {
			bodies[t.name] = append(bodies[t.name], csvLine(row)+"\n"...)
		}
	}
	lines, drawing := routeLines(seed)
	bodies["route_lines.geojson"] = lines
	if err := errors.Join(err, drawing); err != nil {
		return fmt.Errorf("reference tables: %w", err)
	}
	for name, body := range bodies {
		if err := writeFile(filepath.Join(dir, "reference", name), body); err != nil {
			return fmt.Errorf("reference table %q: %w", name, err)
		}
	}
	return nil
}

func zoneTable() *table {
	t := newTable("zones.csv", "zone_id,name,district_id")
	for _, z := range land.Zones {
		t.add(z.ID, z.Name, land.DistrictID)
	}
	return t
}

func stationTable() *table {
	t := newTable("stations.csv", "station_id,zone_id,name,lat,lon,elevation_ft")
	for _, z := range land.Zones {
		t.add(z.StationID, z.ID, z.Station, text(z.Lat), text(z.Lon), text(z.ElevationFt))
	}
	return t
}

func routeTable() *table {
	t := newTable("routes.csv", "route_id,name,zone_id,from_mi,to_mi,lanes,lanes_per_pass,lane_miles,bridge_lane_miles,traffic_aadt,"+
		"watershed")
	for _, r := range land.Routes {
		t.add(r.ID, r.Name, r.ZoneID, text(r.FromMi), text(r.ToMi), text(r.Lanes), textOrEmpty(r.LanesPerPass), text(r.LaneMiles()),
			textOrEmpty(r.BridgeLaneMiles), strconv.Itoa(r.TrafficAADT), r.Watershed)
	}
	return t
}

func assignmentTable() *table {
	t := newTable("assignments.csv", "route_id,from_date,to_date,material_class,crew_id")
	for _, r := range land.Routes {
		z := land.Zones[land.ZoneIndex(r.ZoneID)]
		crewID := z.DayCrew
		if r.IsAssignedNight {
			crewID = z.NightCrew
		}
		switch r.AcetateSeason {
		case 0:
			t.add(r.ID, "2027-07-01", "", "acetate", crewID)
		case 1:
			t.add(r.ID, "2027-07-01", "2028-06-30", "chloride", crewID)
			t.add(r.ID, "2028-07-01", "", "acetate", crewID)
		default:
			t.add(r.ID, "2027-07-01", "", "chloride", crewID)
		}
	}
	return t
}

func crewTable() *table {
	t := newTable("crews.csv", "crew_id,label,prior_acetate_storms,members")
	for _, c := range land.Crews {
		t.add(c.ID, c.Label, textOrEmpty(float64(c.PriorAcetateStorms)), strconv.Itoa(c.Members))
	}
	return t
}

func truckTable() *table {
	t := newTable("trucks.csv", "truck_id,capacity_ft3")
	for _, k := range land.Trucks {
		t.add(k.ID, text(k.CapacityFt3))
	}
	return t
}

// The planted price change of the second season.
const (
	priceMaterial   = "cma"
	priceChangeDate = "2029-01-15"
	priceBeforeUSD  = 1420.0
	priceAfterUSD   = 1565.0
)

func priceTable() *table {
	t := newTable("prices.csv", "material_id,from_date,usd_per_ton")
	t.add("salt", "2027-07-01", "71.5")
	t.add("salt", "2028-07-01", "76")
	t.add(priceMaterial, "2027-07-01", text(priceBeforeUSD))
	t.add(priceMaterial, priceChangeDate, text(priceAfterUSD))
	t.add("sand", "2027-07-01", "18")
	t.add("brine", "2027-07-01", "96")
	t.add("ka50", "2027-07-01", "2650")
	return t
}

// overdueTruck was not calibrated before the second season.
const (
	overdueTruck = "L2"
	overdueLast  = "2027-10-01T15:00:00Z"
)

func calibrationTable(seed uint64) *table {
	t := newTable("calibrations.csv", "truck_id,material_id,at,gate_in,measured_lb_per_mile,speed_mph")
	calibrate := func(d land.Draw, k land.Truck, materialID, at string) {
		for _, gate := range []float64{1.5, 2.5} {
			lb := deliveryLbPerMile(gate, materialID, k.Spread) * math.Exp(d.Normal(0, 0.01))
			t.add(k.ID, materialID, at, text(gate), text(land.Round(lb, 1)), "25")
		}
	}
	d := land.NewDraw(seed, "calibrations")
	for season, day := range []string{"2027-10-0", "2028-10-0"} {
		for i, k := range land.SheetTrucks {
			if k.ID == overdueTruck && season == 1 {
				continue
			}
			others := "sand"
			if strings.HasSuffix(k.ID, "1") {
				others = "cma"
			}
			for _, materialID := range []string{"salt", others} {
				calibrate(d, k, materialID, fmt.Sprintf("%s%dT10:00-05:00", day, 1+i%7))
			}
		}
	}
	d = land.NewDraw(seed, "harbor calibrations")
	for _, day := range []string{"2027-10-06", "2028-10-06"} {
		for _, k := range land.HarborTrucks {
			calibrate(d, k, "salt", day+"T13:00-05:00")
		}
	}
	return t
}

// deliveryLbPerMile is what the demo's spreaders deliver at 25 mph: volume by the gate, pounds by the density. A gate of 1.5 in of
// acetate gives about 300 lb.
func deliveryLbPerMile(gateIn float64, materialID string, spread float64) float64 {
	return gateIn * bulkDensity(materialID) * 4.5 * spread
}

// catchTruck has catch tests: three samples at each of three gates, by shaft revolutions.
const catchTruck = "N1"

func catchTable(seed uint64) *table {
	const revPerMile, minPerMile = 72.0, 2.4 // at 30 turns a minute and 25 mph
	d := land.NewDraw(seed, "catch tests")
	spread := land.TruckOf(catchTruck).Spread
	t := newTable("catch_tests.csv", "truck_id,material_id,at,gate_in,caught_lb,seconds,revolutions,rev_per_min,speed_mph")
	for i, gate := range []float64{1, 1.5, 2} {
		for sample := range 3 {
			at := fmt.Sprintf("2028-10-01T1%d:%02d-05:00", i, 10+sample*12)
			lbPerRev := deliveryLbPerMile(gate, "cma", spread) / revPerMile * math.Exp(d.Normal(0, 0.012))
			t.add(catchTruck, "cma", at, text(gate), text(land.Round(lbPerRev*12, 1)), "", "12", "30", "25")
		}
	}
	for sample := range 3 {
		at := fmt.Sprintf("2028-10-01T14:%02d-05:00", 5+sample*12)
		lbPerMin := deliveryLbPerMile(1.5, "salt", spread) / minPerMile * math.Exp(d.Normal(0, 0.012))
		t.add(catchTruck, "salt", at, "1.5", text(land.Round(lbPerMin, 1)), "60", "", "", "25")
	}
	return t
}

// The planted order. It changed nothing: the law of rates has no step there.
const (
	orderDate = "2028-12-18"
	orderText = "Acetate: set no more than the card of the truck says for the pavement temperature"
)

func orderTable() *table {
	t := newTable("orders.csv", "from_date,text,material_class,route_id")
	t.add(orderDate, orderText, "acetate", "")
	return t
}

// routeLines draws each route as a gently bending line of its length, from its low mile to its high one.
func routeLines(seed uint64) ([]byte, error) {
	type geometry struct {
		Type        string       `json:"type"`
		Coordinates [][2]float64 `json:"coordinates"`
	}
	type feature struct {
		Type       string            `json:"type"`
		Properties map[string]string `json:"properties"`
		Geometry   geometry          `json:"geometry"`
	}
	var features []feature
	draw := func(r land.Route, line [][2]float64) {
		features = append(features, feature{"Feature", map[string]string{"route_id": r.ID}, geometry{"LineString", line}})
	}
	d := land.NewDraw(seed, "lines")
	for i, r := range land.SheetRoutes {
		z := land.Zones[land.ZoneIndex(r.ZoneID)]
		lat, lon, heading := z.Lat+0.02*float64(i%3), z.Lon+0.03*float64(i%4), float64(i)*1.9
		line := [][2]float64{{land.Round(lon, 5), land.Round(lat, 5)}}
		for left := r.Miles(); left > 1e-9; left -= min(left, 1) {
			mi := min(left, 1)
			heading += d.Normal(0, 0.18)
			lat += mi * math.Cos(heading) / milesPerDegree
			lon += mi * math.Sin(heading) / (milesPerDegree * math.Cos(lat*math.Pi/180))
			line = append(line, [2]float64{land.Round(lon, 5), land.Round(lat, 5)})
		}
		draw(r, line)
	}
	for i, r := range land.HarborRoutes {
		var line [][2]float64
		for _, c := range land.HarborRoads[i].Corners {
			lon, lat := c.Degrees()
			line = append(line, [2]float64{lon, lat})
		}
		draw(r, line)
	}
	body, err := json.MarshalIndent(struct {
		Type     string    `json:"type"`
		Features []feature `json:"features"`
	}{"FeatureCollection", features}, "", " ")
	return append(body, '\n'), err
}

// milesPerDegree of a great circle, on a sphere of the earth's mean radius, 6371.0088 km.
const milesPerDegree = 6371.0088 / rows.KmPerMi * math.Pi / 180

func dateTime(at time.Time) string { return at.UTC().Format(time.RFC3339) }
