package site

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"lanetally/pipeline/rows"
)

// tPerTon is the metric tons in a short ton.
const tPerTon = rows.LbPerTon * rows.KgPerLb / 1000

// Metric is the value of Data.Units for pages in metric units; any other means US units.
const Metric = "metric"

// units are those that the pages show. Rows, field names and files stay in US units: a figure becomes metric here, where it is written, and nowhere
// else. With them go the words for the classes of material. The zero value shows US units and the usual classes.
type units struct {
	isMetric bool
	classes
}

// measure is a kind of figure. Its number in US units becomes metric as (x - zero) * factor; either is written with its decimals.
type measure struct {
	factor, zero               float64
	usDecimals, metricDecimals int
}

var (
	mass                  = measure{rows.KgPerLb, 0, 0, 0}                                          // lb; kg
	massRate              = measure{rows.KgPerLb / rows.KmPerMi, 0, 0, 1}                           // lb per lane-mile; kg per lane-km
	laneLength            = measure{rows.KmPerMi, 0, 1, 1}                                          // lane-mile; lane-km
	sight                 = measure{rows.KmPerMi, 0, 0, 0}                                          // mile; km
	temperature           = measure{rows.CelsiusSteps / rows.FahrenheitSteps, rows.FreezingF, 1, 1} // °F; °C
	temperatureDifference = measure{rows.CelsiusSteps / rows.FahrenheitSteps, 0, 1, 1}              // °F; °C, without the offset
	speed                 = measure{rows.KmPerMi, 0, 0, 0}                                          // mph; km/h
	water                 = measure{rows.CmPerIn, 0, 2, 2}                                          // in; cm: 0.01 in shows as 0.03 cm
	snowDepth             = measure{rows.CmPerIn, 0, 1, 1}                                          // in; cm
	heap                  = measure{tPerTon, 0, 0, 0}                                               // ton; t
	tonPrice              = measure{1 / tPerTon, 0, 0, 0}                                           // USD per ton; USD per t
	tonPriceCents         = measure{1 / tPerTon, 0, 2, 2}                                           // the same to a cent
	laneMilePrice         = measure{1 / rows.KmPerMi, 0, 0, 0}                                      // USD per lane-mile; USD per lane-km
	laneMilePriceCents    = measure{1 / rows.KmPerMi, 0, 2, 2}                                      // the same to a cent
)

// value is a number in US units as the pages show it.
func (u units) value(m measure, x float64) float64 {
	if !u.isMetric {
		return x
	}
	return (x - m.zero) * m.factor
}

// valueOf is value for a number that may be missing.
func (u units) valueOf(m measure, x *float64) *float64 {
	if x == nil {
		return nil
	}
	return new(u.value(m, *x))
}

// each is valueOf for every number of a list.
func (u units) each(m measure, list []*float64) []*float64 {
	shown := make([]*float64, len(list))
	for i, x := range list {
		shown[i] = u.valueOf(m, x)
	}
	return shown
}

func (u units) write(m measure, x *float64) string {
	return minused(fixed(u.valueOf(m, x), u.decimals(m)))
}

// signed writes with a sign on either side of 0.
func (u units) signed(m measure, x *float64) string { return signed(u.valueOf(m, x), u.decimals(m)) }

func (u units) decimals(m measure) int {
	if u.isMetric {
		return m.metricDecimals
	}
	return m.usDecimals
}

// pounds writes a mass.
func (u units) pounds(lb *float64) string { return u.write(mass, lb) }

// rate writes pounds per lane-mile.
func (u units) rate(lbPerLaneMile *float64) string { return u.write(massRate, lbPerLaneMile) }

// laneMiles writes lane-miles to a tenth.
func (u units) laneMiles(x *float64) string { return u.write(laneLength, x) }

// degrees writes a temperature to a tenth.
func (u units) degrees(f *float64) string { return u.write(temperature, f) }

// degreesDifference writes a signed difference of temperatures.
func (u units) degreesDifference(f *float64) string { return u.signed(temperatureDifference, f) }

// inches writes a depth of water.
func (u units) inches(in *float64) string { return u.write(water, in) }

// snow writes a depth of snow.
func (u units) snow(in *float64) string { return u.write(snowDepth, in) }

// mph writes a speed.
func (u units) mph(x *float64) string { return u.write(speed, x) }

// tons writes pounds as tons of 2000 pounds or metric tons: whole from 10 on, else to a tenth.
func (u units) tons(lb *float64) string {
	if lb == nil {
		return missing
	}
	t := u.value(heap, *lb/rows.LbPerTon)
	switch {
	case t == 0:
		return "0"
	case math.Abs(t) >= 10:
		return fixed(&t, 0)
	}
	return fixed(&t, 1)
}

// inch is the unit of water and snow: unitWords leaves the word `in` alone, which is more often no unit.
func (u units) inch() string {
	if u.isMetric {
		return "cm"
	}
	return "in"
}

// metricWords are the units' words in metric; longer ones stand before those that begin them.
var metricWords = [][2]string{{"pounds", "kilograms"}, {"Pounds", "Kilograms"}, {"pound", "kilogram"}, {"lb", "kg"}, {"lane-miles", "lane-km"}, {"Lane-miles", "Lane-km"},
	{"lane-mile", "lane-km"}, {"miles", "km"}, {"mile", "km"}, {"°F", "°C"}, {"mph", "km/h"}, {"tons", "t"}, {"ton", "t"}, {"inches", "centimeters"}, {"inch", "centimeter"}}

var usWord = func() *regexp.Regexp {
	var list []string
	for _, w := range metricWords {
		list = append(list, w[0])
	}
	return regexp.MustCompile(`(^|[^\pL\d_-])(` + strings.Join(list, "|") + `)($|[^\pL\d_])`)
}()

// unitWords puts the units' words into a fixed text of ours that names US units, and the classes' names where it writes {acetate}. Numbers with a unit do not belong in such a text: they are formatted
// on their own. Nothing delivered ever goes through here.
func (u units) unitWords(text string) string {
	text = u.classWords(text)
	if !u.isMetric {
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

// eachWords is unitWords for a list of texts.
func (u units) eachWords(texts []string) []string {
	list := make([]string, len(texts))
	for i, text := range texts {
		list[i] = u.unitWords(text)
	}
	return list
}

// sprintf is fmt.Sprintf with unitWords put over the format alone, so that delivered names stay as they are.
func (u units) sprintf(format string, args ...any) string {
	return fmt.Sprintf(u.unitWords(format), args...)
}

// writtenFigure is a mass in a text that the gate wrote, or the first of two: "from 2000 to 1000 lb".
var writtenFigure = regexp.MustCompile(`(?:(-?\d+(?:\.\d+)?) to )?(-?\d+(?:\.\d+)?) lb\b`)

// written converts the masses of a text that the gate wrote in US units and a person accepted, which is kept as it was written.
func (u units) written(text string) string {
	return writtenFigure.ReplaceAllStringFunc(text, func(found string) string {
		parts, text := writtenFigure.FindStringSubmatch(found), ""
		if parts[1] != "" {
			text = u.rewritten(mass, parts[1]) + " to "
		}
		return text + u.rewritten(mass, parts[2]) + " " + u.unitWords("lb")
	})
}

// rewritten converts a number as it stands in a text; in US units it stays as written.
func (u units) rewritten(m measure, text string) string {
	x, err := strconv.ParseFloat(text, 64)
	if err != nil || !u.isMetric {
		return text
	}
	return u.write(m, &x)
}

// besideUnits are the units of definitions and settings that stay in US units, the metric value beside them.
var besideUnits = map[string]struct {
	measure
	word string
}{"degree Fahrenheit": {temperature, "°C"}, "difference of degree Fahrenheit": {temperatureDifference, "°C"}, "mile per hour": {speed, "km/h"}, "mph": {speed, "km/h"},
	"inch": {water, "cm"}, "inch in 24 h": {snowDepth, "cm"}, "lane_mi": {laneLength, "lane-km"}}

// beside writes a number of a definition, which stays in its US unit, and on metric pages the metric value in brackets.
func (u units) beside(unit string, x *float64) string {
	metric, found := besideUnits[unit]
	if !found || x == nil || !u.isMetric {
		return plain(x)
	}
	return plain(x) + " (" + u.write(metric.measure, x) + " " + metric.word + ")"
}

// columnUnits are the ends of the names of exported columns that carry a unit which the pages convert, the longest first.
var columnUnits = []struct {
	end, word string
	measure
}{{"_lb_per_lane_mi", "lb per lane-mile", massRate}, {"_lane_miles", "lane-miles", laneLength}, {"_lb", "lb", mass}, {"_f_mean", "°F mean", temperature},
	{"_f_min", "°F min", temperature}, {"_mph_max", "mph max", speed}, {"_in", "in", water}}

// column names an exported column with its unit in words and writes two of its figures to a hundredth.
func (u units) column(name string, before, after *float64) (label string, was, now Cell) {
	label, m := strings.ReplaceAll(name, "_", " "), measure{factor: 1}
	for _, c := range columnUnits {
		if rest, found := strings.CutSuffix(name, c.end); found {
			label, m = strings.ReplaceAll(rest, "_", " ")+", "+u.unitWords(c.word), c.measure
			break
		}
	}
	return label, hundredthCell(u.valueOf(m, before)), hundredthCell(u.valueOf(m, after))
}

// hundredthCell writes a number to a hundredth.
func hundredthCell(x *float64) Cell {
	text := fixed(x, 2)
	return Cell{Text: text, key: numberKey(x, 2).beside(text)}
}
