package site

import (
	"math"
	"time"

	"lanetally/pipeline/rows"
)

// findingWriter writes the amounts of findings in the units of the pages, and instants in the district's time zone.
type findingWriter struct {
	units
	clock
}

func (b *book) findingWriter() findingWriter { return findingWriter{b.units, b.clock} }

// findingMeasures are the units of findings that become others on metric pages.
var findingMeasures = map[rows.Unit]measure{rows.Pound: mass, rows.PoundPerLaneMile: massRate, rows.LaneMile: laneLength, rows.DegreeF: temperature,
	rows.DifferenceDegreeF: temperatureDifference}

// Figure writes an amount with so many decimals, or in metric with its measure's. Without a number of decimals amounts of 100 and more are whole, those
// below 1 have hundredths.
func (w findingWriter) Figure(amount float64, unit rows.Unit, decimals int) string {
	m, isMeasured := findingMeasures[unit]
	switch {
	case decimals >= 0 && isMeasured && w.isMetric:
		return w.write(m, &amount)
	case decimals >= 0:
		return rows.US{}.Figure(amount, unit, decimals)
	case isMeasured:
		amount = w.value(m, amount)
	}
	switch size := math.Abs(amount); {
	case size >= 100 || amount == math.Trunc(amount):
		return minused(fixed(&amount, 0))
	case size < 1:
		return minused(fixed(&amount, 2))
	}
	return fixed(&amount, 1)
}

// UnitWord is the unit's word on the pages.
func (w findingWriter) UnitWord(unit rows.Unit) string {
	word := rows.US{}.UnitWord(unit)
	if word == "F" {
		word = "°F"
	}
	return w.unitWords(word)
}

// Local is the instant in the district's time zone.
func (w findingWriter) Local(at time.Time) time.Time { return at.In(w.zone) }
