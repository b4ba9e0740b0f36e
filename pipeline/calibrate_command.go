package pipeline

import (
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/calibration"
	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/site/format"
)

// cardFolder is where a district keeps its spreader cards.
const cardFolder = "cards"

type calibrateCommand struct {
	Dir      string  `arg:"" type:"district" help:"District folder."`
	Truck    string  `arg:"" help:"Truck, as in reference/trucks.csv."`
	Material string  `arg:"" help:"Solid material, as in reference/materials.csv."`
	Rate     float64 `help:"Wanted pounds per lane-mile: say its gate." placeholder:"LB_PER_LANE_MI"`
	Lanes    float64 `help:"Lanes that the spinner covers." default:"1"`
	Speed    float64 `help:"Road speed; without it the latest test's, else 25." placeholder:"MPH"`
	JSON     bool    `help:"Print the card as JSON."`
}

// Run makes the card of a truck and material, stores it in the district's cards/ and prints it.
func (k calibrateCommand) Run(c console) error {
	card, err := k.makeCard()
	if err != nil {
		return err
	}
	stem := filepath.Join(k.Dir, cardFolder, cardName(k.Truck, k.Material))
	if err := storeCard(disk.Layer{}, stem, card); err != nil {
		return err
	}
	if k.JSON {
		err = c.printJSON(card)
	} else {
		err = card.WriteText(c.out)
	}
	if err != nil {
		return err
	}
	return c.say("wrote the card to %s.html and .txt; print it on one sheet", stem)
}

// cardName names a card's files: safe on every system, and different for every truck and material.
func cardName(truckID, materialID string) string {
	part := func(id string) string { return strings.ReplaceAll(format.FileName(id), "-", "=2d") }
	return part(truckID) + "-" + part(materialID)
}

func storeCard(files disk.Layer, stem string, card *calibration.Card) error {
	if err := files.MakeFolder(filepath.Dir(stem)); err != nil {
		return err
	}
	for ending, write := range map[string]func(io.Writer) error{".html": card.WriteHTML, ".txt": card.WriteText} {
		if err := files.WriteAtomic(stem+ending, write); err != nil {
			return err
		}
	}
	return nil
}

// Limits of what may be asked for. The rate is that of a pass's setting; the others are common practice.
const (
	maxCardRateLbPerLaneMi = 2000
	maxCardSpeedMph        = 70
	maxCardLanes           = 12
)

// makeCard reads settings and reference tables and makes the card.
func (k calibrateCommand) makeCard() (*calibration.Card, error) {
	for _, bound := range []struct {
		name       string
		value, top float64
	}{{"--rate", k.Rate, maxCardRateLbPerLaneMi}, {"--speed", k.Speed, maxCardSpeedMph}, {"--lanes", k.Lanes, maxCardLanes}} {
		if !(bound.value >= 0 && bound.value <= bound.top) {
			return nil, usageFault{fmt.Errorf("%s: %v is out of range; write a number above 0, at most %v", bound.name, bound.value,
				bound.top)}
		}
	}
	settings, err := district.ReadSettings(filepath.Join(k.Dir, "district.toml"))
	if err != nil {
		return nil, err
	}
	reference, err := district.ReadReference(k.Dir, settings)
	if err != nil {
		return nil, err
	}
	request := calibration.Request{District: settings.Name, TruckID: k.Truck, Zone: settings.Location, SpeedMph: k.Speed, Lanes: k.Lanes,
		RateLbPerLaneMi: k.Rate}
	if err := k.fillRequest(&request, reference); err != nil {
		return nil, err
	}
	card, err := calibration.Make(request)
	if errors.Is(err, calibration.ErrNothingTested) {
		return nil, usageFault{fmt.Errorf("truck %q: %w with %q, nor with another solid where both have a bulk_density_lb_ft3; add "+
			"rows to reference/catch_tests.csv", k.Truck, err, k.Material)}
	}
	return card, err
}

// fillRequest finds truck and material and gathers what was tested on the truck.
func (k calibrateCommand) fillRequest(request *calibration.Request, reference *district.Reference) error {
	trucks := cellsOf(reference, "trucks")
	if !slices.ContainsFunc(trucks, func(row cellsByName) bool { return row["truck_id"].Text == k.Truck }) {
		return usageFault{unknownID("truck", k.Truck, trucks, "truck_id", "trucks")}
	}
	benches := map[string]*calibration.Bench{}
	var ids []string
	materials := cellsOf(reference, "materials")
	for _, row := range materials {
		material := calibration.Material{ID: row["material_id"].Text, Name: row["name"].Text,
			BulkLbPerFt3: row["bulk_density_lb_ft3"].Number}
		isSolid := row["form"].Text == "solid"
		if material.ID == k.Material && !isSolid {
			return usageFault{fmt.Errorf("%q is a liquid; a catch test weighs solids", k.Material)}
		}
		if isSolid {
			benches[material.ID] = &calibration.Bench{Material: material}
			ids = append(ids, material.ID)
		}
	}
	if benches[k.Material] == nil {
		return usageFault{unknownID("material", k.Material, materials, "material_id", "materials")}
	}
	request.Material = benches[k.Material].Material
	k.gather(benches, reference)
	for _, id := range ids {
		request.Benches = append(request.Benches, *benches[id])
	}
	return nil
}

// gather puts the truck's catch tests and calibrations onto the benches.
func (k calibrateCommand) gather(benches map[string]*calibration.Bench, reference *district.Reference) {
	for _, row := range cellsOf(reference, "catch_tests") {
		if bench := benches[row["material_id"].Text]; bench != nil && row["truck_id"].Text == k.Truck {
			bench.Tests = append(bench.Tests, calibration.CatchTest{At: time.UnixMicro(row["at"].Micros), GateIn: row["gate_in"].Number,
				CaughtLb: row["caught_lb"].Number,
				Seconds:  row["seconds"].Number, Revolutions: row["revolutions"].Number, RevPerMin: row["rev_per_min"].Number,
				SpeedMph: row["speed_mph"].Number})
		}
	}
	for _, row := range cellsOf(reference, "calibrations") {
		if bench := benches[row["material_id"].Text]; bench != nil && row["truck_id"].Text == k.Truck {
			bench.Records = append(bench.Records, calibration.Record{At: time.UnixMicro(row["at"].Micros), GateIn: row["gate_in"].Number,
				MeasuredLbPerMile: row["measured_lb_per_mile"].Number, SpeedMph: row["speed_mph"].Number})
		}
	}
}

// cellsByName is one row of a reference table by column; a missing cell is the zero Value.
type cellsByName map[string]contract.Value

func cellsOf(reference *district.Reference, table string) []cellsByName {
	t := reference.Table(table)
	if t == nil {
		return nil
	}
	rows := make([]cellsByName, len(t.Rows))
	for i, row := range t.Rows {
		rows[i] = cellsByName{}
		for j, value := range row {
			if !value.Null {
				rows[i][t.Contract.Fields[j].Name] = value
			}
		}
	}
	return rows
}

func unknownID(what, id string, rows []cellsByName, column, file string) error {
	var known []string
	for _, row := range rows {
		known = append(known, row[column].Text)
	}
	if len(known) == 0 {
		return fmt.Errorf("no %s %q; reference/%s.csv has none", what, id, file)
	}
	return fmt.Errorf("no %s %q; the nearest in reference/%s.csv is %q", what, id, file, contract.Nearest(id, known))
}
