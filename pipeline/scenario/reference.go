package scenario

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"math"
	"path/filepath"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/scenario/land"
)

// table is one reference table as text.
type table struct {
	name string
	text []byte
}

func (t *table) add(cells ...string) { t.text = append(t.text, csvLine(cells)+"\n"...) }

func newTable(name, header string) *table { return &table{name, []byte(header + "\n")} }

// writeReference writes the tables that stand as they are, the settings with them, and those that chance has a part in.
func writeReference(dir string, seed uint64) error {
	files, folder := land.Files()
	err := fs.WalkDir(files, folder, func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := fs.ReadFile(files, name)
		return errors.Join(err, writeFile(filepath.Join(dir, strings.TrimPrefix(name, folder)), text))
	})
	lines, drawing := routeLines(seed)
	if err := errors.Join(err, drawing); err != nil {
		return fmt.Errorf("reference tables: %w", err)
	}
	for _, t := range []*table{calibrationTable(seed), catchTable(seed), {"route_lines.geojson", lines}} {
		if err := writeFile(filepath.Join(dir, "reference", t.name), t.text); err != nil {
			return fmt.Errorf("reference table %q: %w", t.name, err)
		}
	}
	return nil
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
	return gateIn * land.BulkDensity(materialID) * 4.5 * spread
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
