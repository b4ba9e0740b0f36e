package fleet

import (
	"encoding/json"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
)

// crews is how many there are; a truck's crew never changes.
const crews = 20

// stationsAZone is about how many stations a zone has.
const stationsAZone = 4

func (f *Fleet) zones() int { return max(1, f.size.Stations/stationsAZone) }

// WriteReference writes the reference tables into a district folder that lacks them.
func (f *Fleet) WriteReference(dir string) error {
	tables := map[string]string{
		"zones.csv": f.zoneTable(), "stations.csv": f.stationTable(), "routes.csv": f.routeTable(), "assignments.csv": f.assignmentTable(),
		"crews.csv": crewTable(), "trucks.csv": f.truckTable(), "materials.csv": materialTable, "prices.csv": priceTable,
	}
	for name, text := range tables {
		if err := os.WriteFile(filepath.Join(dir, "reference", name), []byte(text), 0o644); err != nil {
			return err
		}
	}
	lines, err := f.routeLines()
	if err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "reference", "route_lines.geojson"), lines, 0o644)
}

const (
	materialTable = "material_id,name,class,form,bulk_density_lb_ft3,dry_lb_per_gal,chloride_fraction,lowest_working_f,oxygen_demand_lb_per_lb\n" +
		"cma,Acetate,acetate,solid,44,,,20,0.7\nsalt,Rock salt,chloride,solid,80,,0.6,15,\nbrine,Brine,chloride,liquid,,2.3,0.6,20,\n"
	priceTable = "material_id,from_date,usd_per_ton\ncma,2027-07-01,1400\nsalt,2027-07-01,75\nbrine,2027-07-01,80\n"
)

func (f *Fleet) zoneTable() string {
	b := &strings.Builder{}
	b.WriteString("zone_id,name,district_id\n")
	for zone := range f.zones() {
		fmt.Fprintf(b, "z%d,Zone %d,d1\n", zone, zone)
	}
	return b.String()
}

func (f *Fleet) stationTable() string {
	b := &strings.Builder{}
	b.WriteString("station_id,zone_id,name\n")
	for station := range f.size.Stations {
		fmt.Fprintf(b, "%s,z%d,Station %d\n", appendNumbered(nil, 's', station), station%f.zones(), station)
	}
	return b.String()
}

func (f *Fleet) routeTable() string {
	b := &strings.Builder{}
	b.WriteString("route_id,name,zone_id,from_mi,to_mi,lanes,lanes_per_pass,lane_miles\n")
	for route := range f.network.roads {
		mi := f.network.roads[route].lengthMi()
		fmt.Fprintf(b, "%s,Route %d,z%d,0,%.3f,2,1,%.3f\n", appendNumbered(nil, 'r', route), route, route%f.zones(), mi, 2*mi)
	}
	return b.String()
}

func (f *Fleet) assignmentTable() string {
	b := &strings.Builder{}
	b.WriteString("route_id,from_date,to_date,material_class,crew_id\n")
	for route := range f.network.roads {
		class := "chloride"
		if materialOf(route) == acetate {
			class = "acetate"
		}
		fmt.Fprintf(b, "%s,2027-07-01,,%s,%s\n", appendNumbered(nil, 'r', route), class, appendNumbered(nil, 'c', route%crews))
	}
	return b.String()
}

func crewTable() string {
	b := &strings.Builder{}
	b.WriteString("crew_id,label\n")
	for crew := range crews {
		fmt.Fprintf(b, "%s,Crew %d\n", appendNumbered(nil, 'c', crew), crew)
	}
	return b.String()
}

func (f *Fleet) truckTable() string {
	b := &strings.Builder{}
	b.WriteString("truck_id,capacity_ft3\n")
	for truck := range f.size.Trucks + f.size.SheetTrucks {
		fmt.Fprintf(b, "%s,270\n", appendNumbered(nil, 't', truck))
	}
	return b.String()
}

// routeLines draws the roads as GeoJSON (RFC 7946).
func (f *Fleet) routeLines() ([]byte, error) {
	type object = map[string]any
	var features []object
	for route := range f.network.roads {
		features = append(features, object{
			"type": "Feature", "properties": object{"route_id": string(appendNumbered(nil, 'r', route))},
			"geometry": object{"type": "LineString", "coordinates": f.Line(route)},
		})
	}
	return json.Marshal(object{"type": "FeatureCollection", "features": features})
}

// Routes is the number of routes.
func (f *Fleet) Routes() int { return len(f.network.roads) }

// RouteID is the name of a route, and LengthMi its length in miles.
func (f *Fleet) RouteID(route int) string { return string(appendNumbered(nil, 'r', route)) }

// LengthMi is the length of a route in miles: its to_mi, where from_mi is 0.
func (f *Fleet) LengthMi(route int) float64 { return f.network.roads[route].lengthMi() }

// Line is a route's longitudes and latitudes, to a millionth of a degree.
func (f *Fleet) Line(route int) [][2]float64 {
	r := &f.network.roads[route]
	line := make([][2]float64, len(r.x))
	for i := range r.x {
		lon, lat := degrees(r.x[i], r.y[i])
		line[i] = [2]float64{math.Round(lon*1e6) / 1e6, math.Round(lat*1e6) / 1e6}
	}
	return line
}
