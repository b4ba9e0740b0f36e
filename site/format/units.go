package format

import (
	"cmp"
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"lanetally/pipeline/rows"
)

// TPerTon is the metric tons in a short ton.
const TPerTon = rows.LbPerTon * rows.KgPerLb / 1000

// Units are those that the pages show. Rows, field names and files stay in US units: a figure becomes metric here, where it is written, and
// nowhere else. With them go the words for the classes of material and the cap of hours to bare lane. The zero value shows US units, the
// usual classes and the usual cap.
type Units struct {
	IsMetric bool
	Classes
	BareCapH float64 // 0 is UsualBareCapH
}

// UsualBareCapH is the cap of hours to bare lane unless the district sets another.
const UsualBareCapH = 24

// ClassWords is that of Classes, and puts the cap of hours to bare lane where a fixed text of ours writes {cap}.
func (u Units) ClassWords(text string) string {
	return strings.ReplaceAll(u.Classes.ClassWords(text), "{cap}", Tick(cmp.Or(u.BareCapH, UsualBareCapH))+" h")
}

// Measure is a kind of figure. Its number in US units becomes metric as (x - zero) * factor; either is written with its decimals.
type Measure struct {
	Factor, Zero               float64
	UsDecimals, MetricDecimals int
}

var (
	Mass                  = Measure{rows.KgPerLb, 0, 0, 0}                                          // lb; kg
	MassRate              = Measure{rows.KgPerLb / rows.KmPerMi, 0, 0, 1}                           // lb per lane-mile; kg per lane-km
	LaneLength            = Measure{rows.KmPerMi, 0, 1, 1}                                          // lane-mile; lane-km
	Sight                 = Measure{rows.KmPerMi, 0, 0, 0}                                          // mile; km
	Temperature           = Measure{rows.CelsiusSteps / rows.FahrenheitSteps, rows.FreezingF, 1, 1} // °F; °C
	TemperatureDifference = Measure{rows.CelsiusSteps / rows.FahrenheitSteps, 0, 1, 1}              // °F; °C, without the offset
	Speed                 = Measure{rows.KmPerMi, 0, 0, 0}                                          // mph; km/h
	Water                 = Measure{rows.CmPerIn, 0, 2, 2}                                          // in; cm: 0.01 in shows as 0.03 cm
	snowDepth             = Measure{rows.CmPerIn, 0, 1, 1}                                          // in; cm
	Heap                  = Measure{TPerTon, 0, 0, 0}                                               // ton; t
	TonPrice              = Measure{1 / TPerTon, 0, 0, 0}                                           // USD per ton; USD per t
	TonPriceCents         = Measure{1 / TPerTon, 0, 2, 2}                                           // the same to a cent
	LaneMilePrice         = Measure{1 / rows.KmPerMi, 0, 0, 0}                                      // USD per lane-mile; USD per lane-km
	LaneMilePriceCents    = Measure{1 / rows.KmPerMi, 0, 2, 2}                                      // the same to a cent
)

// Value is a number in US units as the pages show it.
func (u Units) Value(m Measure, x float64) float64 {
	if !u.IsMetric {
		return x
	}
	return (x - m.Zero) * m.Factor
}

// ValueOf is Value for a number that may be missing.
func (u Units) ValueOf(m Measure, x *float64) *float64 {
	if x == nil {
		return nil
	}
	return new(u.Value(m, *x))
}

// Each is ValueOf for every number of a list.
func (u Units) Each(m Measure, list []*float64) []*float64 {
	shown := make([]*float64, len(list))
	for i, x := range list {
		shown[i] = u.ValueOf(m, x)
	}
	return shown
}

// Write writes a number in US units as the pages show it; nil gives the missing sign.
func (u Units) Write(m Measure, x *float64) string {
	return Minused(Fixed(u.ValueOf(m, x), u.Decimals(m)))
}

// Signed writes with a sign on either side of 0.
func (u Units) Signed(m Measure, x *float64) string { return Signed(u.ValueOf(m, x), u.Decimals(m)) }

// Decimals is how many decimals the pages give a measure.
func (u Units) Decimals(m Measure) int {
	if u.IsMetric {
		return m.MetricDecimals
	}
	return m.UsDecimals
}

// Pounds writes a mass.
func (u Units) Pounds(lb *float64) string { return u.Write(Mass, lb) }

// Rate writes pounds per lane-mile.
func (u Units) Rate(lbPerLaneMile *float64) string { return u.Write(MassRate, lbPerLaneMile) }

// LaneMiles writes lane-miles to a tenth.
func (u Units) LaneMiles(x *float64) string { return u.Write(LaneLength, x) }

// Degrees writes a temperature to a tenth.
func (u Units) Degrees(f *float64) string { return u.Write(Temperature, f) }

// DegreesDifference writes a signed difference of temperatures.
func (u Units) DegreesDifference(f *float64) string { return u.Signed(TemperatureDifference, f) }

// Inches writes a depth of water.
func (u Units) Inches(in *float64) string { return u.Write(Water, in) }

// Snow writes a depth of snow.
func (u Units) Snow(in *float64) string { return u.Write(snowDepth, in) }

// Mph writes a speed.
func (u Units) Mph(x *float64) string { return u.Write(Speed, x) }

// Tons writes pounds as tons of 2000 pounds or metric tons: whole from 10 on, else to a tenth.
func (u Units) Tons(lb *float64) string {
	if lb == nil {
		return Missing
	}
	t := u.Value(Heap, *lb/rows.LbPerTon)
	switch {
	case t == 0:
		return "0"
	case math.Abs(t) >= 10:
		return Fixed(&t, 0)
	}
	return Fixed(&t, 1)
}

// Inch is the unit of water and snow: UnitWords leaves the word `in` alone, which is more often no unit.
func (u Units) Inch() string {
	if u.IsMetric {
		return "cm"
	}
	return "in"
}

// metricWords are the units' words in metric; longer ones stand before those that begin them.
var metricWords = [][2]string{{"pounds", "kilograms"}, {"Pounds", "Kilograms"}, {"pound", "kilogram"}, {"lb", "kg"},
	{"lane-miles", "lane-km"}, {"Lane-miles", "Lane-km"},
	{"lane-mile", "lane-km"}, {"miles", "km"}, {"mile", "km"}, {"°F", "°C"}, {"mph", "km/h"}, {"tons", "t"}, {"ton", "t"},
	{"inches", "centimeters"}, {"inch", "centimeter"}}

var usWord = func() *regexp.Regexp {
	var list []string
	for _, w := range metricWords {
		list = append(list, w[0])
	}
	return regexp.MustCompile(`(^|[^\pL\d_-])(` + strings.Join(list, "|") + `)($|[^\pL\d_])`)
}()

// UnitWords puts the units' words into a fixed text of ours that names US units, what ClassWords puts in. Numbers
// with a unit do not belong in such a text: they are formatted
// on their own. Nothing delivered ever goes through here.
func (u Units) UnitWords(text string) string {
	text = u.ClassWords(text)
	if !u.IsMetric {
		return text
	}
	if rest, found := strings.CutPrefix(text, "in"); found && (rest == "" || strings.HasPrefix(rest, " per ")) {
		return "cm" + rest
	}
	for { // a word's right end may be the next one's left
		next := usWord.ReplaceAllStringFunc(text, func(found string) string {
			parts := usWord.FindStringSubmatch(found)
			for _, w := range metricWords {
				if w[0] == parts[2] {
					return parts[1] + w[1] + parts[3]
				}
			}
			return found
		})
		if next == text {
			return next
		}
		text = next
	}
}

// EachWords is UnitWords for a list of texts.
func (u Units) EachWords(texts []string) []string {
	list := make([]string, len(texts))
	for i, text := range texts {
		list[i] = u.UnitWords(text)
	}
	return list
}

// Sprintf is fmt.Sprintf with UnitWords put over the format alone, so that delivered names stay as they are.
func (u Units) Sprintf(format string, args ...any) string {
	return fmt.Sprintf(u.UnitWords(format), args...)
}

// Rewritten converts a number as it stands in a text; in US units it stays as written.
func (u Units) Rewritten(m Measure, text string) string {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || !u.IsMetric {
		return text
	}
	return u.Write(m, &x)
}

// besideUnits are the units of definitions and settings that stay in US units, the metric value beside them.
var besideUnits = map[string]struct {
	Measure
	word string
}{"degree Fahrenheit": {Temperature, "°C"}, "difference of degree Fahrenheit": {TemperatureDifference, "°C"},
	"mile per hour": {Speed, "km/h"}, "mph": {Speed, "km/h"},
	"inch": {Water, "cm"}, "inch in 24 h": {snowDepth, "cm"}, "lane_mi": {LaneLength, "lane-km"}}

// Beside writes a number of a definition, which stays in its US unit, and on metric pages the metric value in brackets.
func (u Units) Beside(unit string, x *float64) string {
	metric, found := besideUnits[unit]
	if !found || x == nil || !u.IsMetric {
		return plain(x)
	}
	return plain(x) + " (" + u.Write(metric.Measure, x) + " " + metric.word + ")"
}

// plain writes a number without needless decimals.
func plain(x *float64) string {
	if x == nil {
		return Missing
	}
	return Tick(*x)
}
