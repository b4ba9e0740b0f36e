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
	materialTable = "material_id,name,class,form,bulk_density_lb_ft3,dry_lb_per_gal,chloride_fraction,lowest_working_f," +
		"oxygen_demand_lb_per_lb\ncma,Acetate,acetate,solid,44,,,20,0.7\nsalt,Rock salt,chloride,solid,80,,0.6,15,\n" +
		"brine,Brine,chloride,liquid,,2.3,0.6,20,\n"
	priceTable = "material_id,from_date,usd_per_ton\ncma,2027-07-01,1400\nsalt,2027-07-01,75\nbrine,2027-07-01,80\n"
)

// table is a header and n rows.
func table(header string, n int, row func(i int) string) string {
	b := &strings.Builder{}
	fmt.Fprintln(b, header)
	for i := range n {
		fmt.Fprintln(b, row(i))
	}
	return b.String()
}

func (f *Fleet) zoneTable() string {
	return table("zone_id,name,district_id", f.zones(), func(zone int) string { return fmt.Sprintf("z%d,Zone %d,d1", zone, zone) })
}

func (f *Fleet) stationTable() string {
	return table("station_id,zone_id,name", f.size.Stations, func(station int) string {
		return fmt.Sprintf("%s,z%d,Station %d", appendNumbered(nil, 's', station), station%f.zones(), station)
	})
}

func (f *Fleet) routeTable() string {
	return table("route_id,name,zone_id,from_mi,to_mi,lanes,lanes_per_pass,lane_miles", f.Routes(), func(route int) string {
		mi := f.LengthMi(route)
		return fmt.Sprintf("%s,Route %d,z%d,0,%.3f,2,1,%.3f", f.RouteID(route), route, route%f.zones(), mi, 2*mi)
	})
}

func (f *Fleet) assignmentTable() string {
	classes := map[string]string{acetate: "acetate", salt: "chloride"}
	return table("route_id,from_date,to_date,material_class,crew_id", f.Routes(), func(route int) string {
		return fmt.Sprintf("%s,2027-07-01,,%s,%s", f.RouteID(route), classes[materialOf(route)], appendNumbered(nil, 'c', route%crews))
	})
}

func crewTable() string {
	return table("crew_id,label", crews, func(crew int) string { return fmt.Sprintf("%s,Crew %d", appendNumbered(nil, 'c', crew), crew) })
}

func (f *Fleet) truckTable() string {
	return table("truck_id,capacity_ft3", f.size.Trucks+f.size.SheetTrucks, func(truck int) string {
		return fmt.Sprintf("%s,270", appendNumbered(nil, 't', truck))
	})
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
