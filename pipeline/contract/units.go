package contract

import (
	"fmt"
	"strings"

	"lanetally/pipeline/rows"
)

// Exact definitions: NIST Special Publication 811 (2008), Appendix B; those that the pages need too stand in package rows. The knot is 1852
// m per hour.
const (
	mPerMi       = 1609.344
	litrePerGal  = 3.785411784
	mmPerIn      = 25.4
	mPerIn       = 0.0254
	mPerFt       = 0.3048
	mPerKnotHour = 1852
)

// unitChange turns a delivered number into the contract's unit: number x multiply / divide + add.
type unitChange struct {
	multiply, divide, add float64
}

func (u unitChange) apply(number float64) float64 { return number*u.multiply/u.divide + u.add }

// unitChanges holds, for each unit of the contracts, the units that a mapping may name instead.
var unitChanges = map[string]map[string]unitChange{
	"pound": {
		"lb": {1, 1, 0}, "kg": {1, rows.KgPerLb, 0}, "t": {1000, rows.KgPerLb, 0}, "short ton": {rows.LbPerTon, 1, 0},
	},
	"mile": {
		"mi": {1, 1, 0}, "km": {1, rows.KmPerMi, 0}, "m": {1, mPerMi, 0},
	},
	"lane-mile": {
		"lane-mi": {1, 1, 0}, "lane-km": {1, rows.KmPerMi, 0},
	},
	"pound per lane-mile": {
		"lb/lane-mi": {1, 1, 0}, "kg/lane-km": {rows.KmPerMi, rows.KgPerLb, 0},
	},
	"US gallon": {
		"gal": {1, 1, 0}, "L": {1, litrePerGal, 0},
	},
	"degree Fahrenheit": {
		"F": {1, 1, 0}, "C": {rows.FahrenheitSteps, rows.CelsiusSteps, rows.FreezingF},
	},
	"mile per hour": {
		"mph": {1, 1, 0}, "km/h": {1, rows.KmPerMi, 0}, "m/s": {3600, mPerMi, 0}, "kn": {mPerKnotHour, mPerMi, 0},
	},
	"inch": {
		"in": {1, 1, 0}, "mm": {1, mmPerIn, 0}, "cm": {1, rows.CmPerIn, 0}, "m": {1, mPerIn, 0},
	},
	"foot": {
		"ft": {1, 1, 0}, "m": {1, mPerFt, 0},
	},
}

// UnitChangeTo finds the change from a delivered unit to one of the contracts.
func UnitChangeTo(contractUnit, delivered string) (unitChange, error) {
	changes := unitChanges[contractUnit]
	change, ok := changes[delivered]
	if ok {
		return change, nil
	}
	if len(changes) == 0 {
		return unitChange{}, fmt.Errorf("a unit %q for a column that takes none; leave unit out", delivered)
	}
	return unitChange{}, fmt.Errorf("%q is not a unit for this column (%s); write one of %s", delivered, contractUnit,
		strings.Join(SortedKeys(changes), ", "))
}
