package pipeline

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

func (f *fleet) zones() int { return max(1, f.size.Stations/stationsAZone) }

// WriteReference writes the reference tables into a district folder that lacks them.
func (f *fleet) WriteReference(dir string) error {
	lines, err := f.routeLines()
	if err != nil {
		return err
	}
	classes := map[string]string{acetate: "acetate", salt: "chloride"}
	routes := len(f.network.roads)
	tables := map[string]string{
		"zones.csv": table("zone_id,name,district_id", f.zones(), func(zone int) string {
			return fmt.Sprintf("z%d,Zone %d,d1", zone, zone)
		}),
		"stations.csv": table("station_id,zone_id,name", f.size.Stations, func(station int) string {
			return fmt.Sprintf("s%04d,z%d,Station %d", station, station%f.zones(), station)
		}),
		"routes.csv": table("route_id,name,zone_id,from_mi,to_mi,lanes,lanes_per_pass,lane_miles", routes, func(route int) string {
			mi := f.network.roads[route].lengthMi()
			return fmt.Sprintf("r%04d,Route %d,z%d,0,%.3f,2,1,%.3f", route, route, route%f.zones(), mi, 2*mi)
		}),
		"assignments.csv": table("route_id,from_date,to_date,material_class,crew_id", routes, func(route int) string {
			return fmt.Sprintf("r%04d,2027-07-01,,%s,c%04d", route, classes[materialOf(route)], route%crews)
		}),
		"crews.csv": table("crew_id,label", crews, func(crew int) string { return fmt.Sprintf("c%04d,Crew %d", crew, crew) }),
		"trucks.csv": table("truck_id,capacity_ft3", f.size.Trucks+f.size.SheetTrucks, func(truck int) string {
			return fmt.Sprintf("t%04d,270", truck)
		}),
		"materials.csv": materialTable, "prices.csv": priceTable, "route_lines.geojson": string(lines),
	}
	for name, text := range tables {
		if err := os.WriteFile(filepath.Join(dir, "reference", name), []byte(text), 0o644); err != nil {
			return err
		}
	}
	return nil
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

// routeLines draws the roads as GeoJSON (RFC 7946), to a millionth of a degree.
func (f *fleet) routeLines() ([]byte, error) {
	type object = map[string]any
	var features []object
	for route, r := range f.network.roads {
		line := make([][2]float64, len(r.x))
		for i := range r.x {
			lon, lat := degrees(r.x[i], r.y[i])
			line[i] = [2]float64{math.Round(lon*1e6) / 1e6, math.Round(lat*1e6) / 1e6}
		}
		features = append(features, object{
			"type": "Feature", "properties": object{"route_id": fmt.Sprintf("r%04d", route)},
			"geometry": object{"type": "LineString", "coordinates": line},
		})
	}
	return json.Marshal(object{"type": "FeatureCollection", "features": features})
}
