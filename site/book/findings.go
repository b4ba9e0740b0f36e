package book

import (
	"math"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// FindingWriter writes the amounts of findings in the units of the pages, and instants in the district's time zone.
type FindingWriter struct {
	format.Units
	format.Clock
}

// FindingWriter is the writer for the book's units and time zone.
func (b *Book) FindingWriter() FindingWriter { return FindingWriter{b.Units, b.Clock} }

// findingMeasures are the units of findings that become others on metric pages.
var findingMeasures = map[rows.Unit]format.Measure{rows.Pound: format.Mass, rows.PoundPerLaneMile: format.MassRate,
	rows.LaneMile: format.LaneLength, rows.DegreeF: format.Temperature,
	rows.DifferenceDegreeF: format.TemperatureDifference}

// Figure writes an amount with so many decimals, or in metric with its measure's. Without a number of decimals amounts of 100 and more are
// whole, those below 1 have hundredths.
func (w FindingWriter) Figure(amount float64, unit rows.Unit, decimals int) string {
	m, isMeasured := findingMeasures[unit]
	switch {
	case decimals >= 0 && isMeasured && w.IsMetric:
		return w.Write(m, &amount)
	case decimals >= 0:
		return rows.US{}.Figure(amount, unit, decimals)
	case isMeasured:
		amount = w.Value(m, amount)
	}
	switch size := math.Abs(amount); {
	case size >= 100 || amount == math.Trunc(amount):
		return format.Minused(format.Fixed(&amount, 0))
	case size < 1:
		return format.Minused(format.Fixed(&amount, 2))
	}
	return format.Fixed(&amount, 1)
}

// UnitWord is the unit's word on the pages.
func (w FindingWriter) UnitWord(unit rows.Unit) string {
	word := rows.US{}.UnitWord(unit)
	if word == "F" {
		word = "°F"
	}
	return w.UnitWords(word)
}

// Local is the instant in the district's time zone.
func (w FindingWriter) Local(at time.Time) time.Time { return at.In(w.Zone) }
