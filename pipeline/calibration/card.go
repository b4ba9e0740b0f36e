package calibration

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"time"
)

// Material is a solid that the district owns. BulkLbPerFt3 is 0 where it is not known.
type Material struct {
	ID, Name     string
	BulkLbPerFt3 float64
}

// Bench is what was tested of one material on one truck.
type Bench struct {
	Material Material
	Tests    []CatchTest
	Records  []Record
}

// Request asks for a card. Benches holds what was tested on the truck with each solid material of the district, tested or not. Zone is
// where dates are told. SpeedMph 0 takes the latest test's, else 25 mph; Lanes 0 takes 1; RateLbPerLaneMi 0 asks for no rate.
type Request struct {
	District, TruckID string
	Material          Material
	Benches           []Bench
	Zone              *time.Location
	SpeedMph          float64
	Lanes             float64
	RateLbPerLaneMi   float64
}

// Card is what the cab card shows. Slices are sorted: gates by opening, speeds and lanes upwards. IsEstimate says that the material itself
// was never tested on the truck: every figure comes from FromMaterialID by density.
type Card struct {
	District       string      `json:"district"`
	TruckID        string      `json:"truck_id"`
	MaterialID     string      `json:"material_id"`
	MaterialName   string      `json:"material_name"`
	Basis          string      `json:"basis"`
	IsEstimate     bool        `json:"is_estimate"`
	FromMaterialID string      `json:"from_material_id,omitempty"`
	DensityRatio   float64     `json:"density_ratio,omitempty"`
	RevPerMin      float64     `json:"rev_per_min,omitempty"`
	SpeedMph       float64     `json:"speed_mph"`
	Lanes          float64     `json:"lanes"`
	Gates          []Gate      `json:"gates"`
	Miles          []MileRow   `json:"lb_per_mile"`
	LaneMiles      []LaneRow   `json:"lb_per_lane_mi"`
	Wanted         *Wanted     `json:"wanted,omitempty"`
	Rates          []Wanted    `json:"gates_for_rates"`
	OnRecord       []RecordRow `json:"on_record"`
	Others         []Other     `json:"others"`
	Notes          []string    `json:"notes"`
}

// MileRow is a gate's pounds per mile at each speed.
type MileRow struct {
	GateIn    float64   `json:"gate_in"`
	SpeedsMph []float64 `json:"speeds_mph"`
	LbPerMile []float64 `json:"lb_per_mile"`
}

// LaneRow is a gate's pounds per lane-mile at the card's speed, for each number of lanes that the spinner covers.
type LaneRow struct {
	GateIn      float64   `json:"gate_in"`
	Lanes       []float64 `json:"lanes"`
	LbPerLaneMi []float64 `json:"lb_per_lane_mi"`
}

// RecordRow sets a calibration on record beside what the card gives at its gate and speed; CardLbPerMile is 0 outside the tested gates.
type RecordRow struct {
	CalibratedDate string  `json:"calibrated_date"`
	GateIn         float64 `json:"gate_in"`
	SpeedMph       float64 `json:"speed_mph"`
	LbPerMile      float64 `json:"lb_per_mile"`
	CardLbPerMile  float64 `json:"card_lb_per_mile,omitempty"`
}

// Other is another material through the same gates, by density ratio: an estimate. LbPerLaneMi stands in the order of the card's gates.
type Other struct {
	MaterialID   string    `json:"material_id"`
	MaterialName string    `json:"material_name"`
	DensityRatio float64   `json:"density_ratio"`
	IsTested     bool      `json:"is_tested"`
	LbPerLaneMi  []float64 `json:"lb_per_lane_mi"`
	Label        string    `json:"label"`
}

// EstimateLabel marks every figure that a density ratio gave.
const EstimateLabel = "estimate, catch-test before use"

// What a card shows; usual figures of the work, Common practice.
const (
	usualSpeedMph = 25.0
	maxGates      = 8 // so that the card stays on one page
	maxOthers     = 3
	maxRecords    = 3
)

var (
	cardSpeedsMph = []float64{15, 20, 25, 30, 35}
	cardLanes     = []float64{1, 2, 3}
	cardRates     = []float64{100, 150, 200, 250, 300, 350, 400, 500, 600}
)

// ErrNothingTested says that neither the material nor another one with a known density was tested on the truck.
var ErrNothingTested = errors.New("nothing was tested on this truck")

// Make makes the card. It fails with ErrNothingTested where there is nothing to make one of.
func Make(r Request) (*Card, error) {
	own, from := chooseBench(r)
	if from == nil {
		return nil, ErrNothingTested
	}
	c := &Card{District: r.District, TruckID: r.TruckID, MaterialID: r.Material.ID, MaterialName: r.Material.Name,
		SpeedMph: r.SpeedMph, Lanes: r.Lanes, RevPerMin: shaftSpeed(from.Tests)}
	if c.SpeedMph == 0 {
		c.SpeedMph = latestValue(from.Tests, func(t CatchTest) float64 { return t.SpeedMph })
	}
	if c.SpeedMph == 0 {
		c.SpeedMph = usualSpeedMph
	}
	if c.Lanes == 0 {
		c.Lanes = 1
	}
	unread := c.takeGates(from, r.Zone)
	if own == nil {
		c.estimateFrom(from.Material, r.Material)
	} else if c.Basis == basisTests {
		c.setRecords(own.Records, r.Zone)
	}
	c.fill(r.RateLbPerLaneMi)
	c.setOthers(r, own == nil)
	c.note(unread)
	return c, nil
}

const (
	basisTests   = "catch tests"
	basisRecords = "calibrations on record"
)

// chooseBench gives the bench of the wanted material where it has a gate, and the bench that the card is made from: that one, else the
// one of known density with the latest sample, ties to the first id.
func chooseBench(r Request) (own, from *Bench) {
	var latest time.Time
	for i := range r.Benches {
		b := &r.Benches[i]
		at, ok := b.lastTested(r.Zone)
		if !ok {
			continue
		}
		if b.Material.ID == r.Material.ID {
			return b, b
		}
		if r.Material.BulkLbPerFt3 > 0 && b.Material.BulkLbPerFt3 > 0 &&
			(from == nil || at.After(latest) || at.Equal(latest) && b.Material.ID < from.Material.ID) {
			from, latest = b, at
		}
	}
	return nil, from
}

// lastTested gives the last instant at which the material was tested, and whether there is a gate at all.
func (b *Bench) lastTested(zone *time.Location) (at time.Time, ok bool) {
	gates, _ := gatesOf(b.Tests, shaftSpeed(b.Tests), zone)
	for _, t := range b.Tests {
		if t.At.After(at) {
			at = t.At
		}
	}
	for _, k := range b.Records {
		if k.At.After(at) {
			at = k.At
		}
	}
	return at, len(gates) > 0 || len(b.Records) > 0
}

// takeGates takes the gates of the catch tests, else of the calibrations on record, and gives the number of samples left out.
func (c *Card) takeGates(from *Bench, zone *time.Location) (unread int) {
	c.Basis = basisTests
	if c.Gates, unread = gatesOf(from.Tests, c.RevPerMin, zone); len(c.Gates) == 0 {
		c.Basis = basisRecords
		c.Gates = gatesOnRecord(from.Records, zone)
	}
	return unread
}

// estimateFrom turns the gates of a tested material into those of another by density ratio.
func (c *Card) estimateFrom(tested, other Material) {
	c.IsEstimate, c.FromMaterialID, c.DensityRatio = true, tested.ID, other.BulkLbPerFt3/tested.BulkLbPerFt3
	for i := range c.Gates {
		c.Gates[i].LbPerMin = ByDensity(c.Gates[i].LbPerMin, tested.BulkLbPerFt3, other.BulkLbPerFt3)
		c.Gates[i].LbPerRev = ByDensity(c.Gates[i].LbPerRev, tested.BulkLbPerFt3, other.BulkLbPerFt3)
	}
}

// fill computes the tables from the gates.
func (c *Card) fill(rateLbPerLaneMi float64) {
	if extra := len(c.Gates) - maxGates; extra > 0 {
		c.Notes = append(c.Notes, fmt.Sprintf("%d gates were tested; the card holds the %d narrowest, the widest %d are left out.",
			len(c.Gates), maxGates, extra))
		c.Gates = c.Gates[:maxGates]
	}
	speeds, lanes := withValue(cardSpeedsMph, c.SpeedMph), withValue(cardLanes, c.Lanes)
	for _, g := range c.Gates {
		miles := MileRow{GateIn: g.GateIn, SpeedsMph: speeds}
		for _, speed := range speeds {
			miles.LbPerMile = append(miles.LbPerMile, LbPerMile(g.LbPerMin, speed))
		}
		row := LaneRow{GateIn: g.GateIn, Lanes: lanes}
		for _, n := range lanes {
			row.LbPerLaneMi = append(row.LbPerLaneMi, LbPerLaneMi(LbPerMile(g.LbPerMin, c.SpeedMph), n))
		}
		c.Miles, c.LaneMiles = append(c.Miles, miles), append(c.LaneMiles, row)
	}
	for _, rate := range cardRates {
		if w := GateFor(c.Gates, rate, c.Lanes, c.SpeedMph); w.GateIn > 0 {
			c.Rates = append(c.Rates, w)
		}
	}
	if rateLbPerLaneMi > 0 {
		wanted := GateFor(c.Gates, rateLbPerLaneMi, c.Lanes, c.SpeedMph)
		c.Wanted = &wanted
	}
}

// withValue is sorted values with one more where it is not among them.
func withValue(sorted []float64, value float64) []float64 {
	at, isThere := slices.BinarySearch(sorted, value)
	if isThere {
		return sorted
	}
	return slices.Insert(slices.Clone(sorted), at, value)
}

// setRecords sets the latest calibrations on record beside the card.
func (c *Card) setRecords(records []Record, zone *time.Location) {
	sorted := slices.Clone(records)
	slices.SortStableFunc(sorted, func(a, b Record) int { return cmp.Or(b.At.Compare(a.At), cmp.Compare(a.GateIn, b.GateIn)) })
	for _, k := range sorted[:min(len(sorted), maxRecords)] {
		c.OnRecord = append(c.OnRecord, RecordRow{localDate(k.At, zone), k.GateIn, k.SpeedMph, k.MeasuredLbPerMile,
			LbPerMile(deliveryAt(c.Gates, k.GateIn), k.SpeedMph)})
	}
}

// deliveryAt is the pounds per minute at an opening, on a straight line between tested gates; 0 beyond them.
func deliveryAt(gates []Gate, gateIn float64) float64 {
	for i, g := range gates {
		if closeTo(g.GateIn, gateIn) {
			return g.LbPerMin
		}
		if i > 0 && gates[i-1].GateIn < gateIn && gateIn < g.GateIn {
			before := gates[i-1]
			return before.LbPerMin + (gateIn-before.GateIn)/(g.GateIn-before.GateIn)*(g.LbPerMin-before.LbPerMin)
		}
	}
	return 0
}

// setOthers gives the other materials through the same gates by density ratio.
func (c *Card) setOthers(r Request, isEstimate bool) {
	if isEstimate || r.Material.BulkLbPerFt3 == 0 {
		return // an estimate of an estimate helps nobody
	}
	for _, b := range r.Benches {
		if b.Material.ID == r.Material.ID || b.Material.BulkLbPerFt3 == 0 {
			continue
		}
		if len(c.Others) == maxOthers {
			c.Notes = append(c.Notes, "The district owns more materials than the card has room for; ask for a card of each.")
			return
		}
		_, tested := b.lastTested(r.Zone)
		other := Other{MaterialID: b.Material.ID, MaterialName: b.Material.Name, IsTested: tested, Label: EstimateLabel,
			DensityRatio: b.Material.BulkLbPerFt3 / r.Material.BulkLbPerFt3}
		for _, row := range c.LaneMiles {
			lb := LbPerLaneMi(LbPerMile(deliveryAt(c.Gates, row.GateIn), c.SpeedMph), c.Lanes)
			other.LbPerLaneMi = append(other.LbPerLaneMi, ByDensity(lb, r.Material.BulkLbPerFt3, b.Material.BulkLbPerFt3))
		}
		c.Others = append(c.Others, other)
	}
}
