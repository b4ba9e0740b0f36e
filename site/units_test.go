package site

import (
	"encoding/json"
	"fmt"
	"html"
	"math"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

var us, metric = format.Units{}, format.Units{IsMetric: true}

// The pound, the mile and the inch are exact by definition: NIST SP 811 (2008), Appendix B.8; a short ton is 2000 lb (NIST Handbook 44,
// Appendix C). From memory.
func TestConversionsAreTheDefinedOnes(t *testing.T) {
	assert.Equal(t, 0.45359237, rows.KgPerLb)
	assert.Equal(t, 1.609344, rows.KmPerMi)
	assert.Equal(t, 2.54, rows.CmPerIn)
	assert.InDelta(t, 0.90718474, format.TPerTon, 1e-15)
}

// Worked by hand: 300 x 0.45359237 / 1.609344 = 84.5548; (5 - 32) / 1.8 = -15; a difference of 9 °F is 5 °C; 100 / 0.90718474 = 110.2311;
// 10 / 1.609344 = 6.2137.
func TestFiguresInBothUnits(t *testing.T) {
	for _, c := range []struct {
		name, us, metric string
		write            func(format.Units, *float64) string
		x                float64
	}{
		{"pounds", "1,000", "454", format.Units.Pounds, 1000},
		{"rate", "300", "84.6", format.Units.Rate, 300},
		{"lane-miles", "10.0", "16.1", format.Units.LaneMiles, 10},
		{"freezing", "32.0", "0.0", format.Units.Degrees, 32},
		{"cold", "5.0", "−15.0", format.Units.Degrees, 5},
		{"as cold in both", "−40.0", "−40.0", format.Units.Degrees, -40},
		{"difference", "+9.0", "+5.0", format.Units.DegreesDifference, 9},
		{"no difference", "0.0", "0.0", format.Units.DegreesDifference, 0},
		{"the least water", "0.01", "0.03", format.Units.Inches, 0.01},
		{"snow", "6.0", "15.2", format.Units.Snow, 6},
		{"wind", "20", "32", format.Units.Mph, 20},
		{"few tons", "4.0", "3.6", format.Units.Tons, 8000},
		{"tons", "100", "91", format.Units.Tons, 200000},
		{"no ton", "0", "0", format.Units.Tons, 0},
		{"price of a ton", "100.00", "110.23", func(u format.Units, x *float64) string { return u.Write(format.TonPriceCents, x) }, 100},
		{"price of a lane-mile", "10.00", "6.21", func(u format.Units, x *float64) string { return u.Write(format.LaneMilePriceCents, x) },
			10},
	} {
		assert.Equal(t, c.us, c.write(us, &c.x), c.name)
		assert.Equal(t, c.metric, c.write(metric, &c.x), c.name)
		assert.Equal(t, format.Missing, c.write(us, nil), c.name)
		assert.Equal(t, format.Missing, c.write(metric, nil), c.name)
	}
	assert.InDelta(t, 84.5548, metric.Value(format.MassRate, 300), 5e-5)
}

func TestUnitWords(t *testing.T) {
	for usText, want := range map[string]string{
		"lb per lane-mile of route": "kg per lane-km of route", "Pounds per lane-mile": "Kilograms per lane-km", "lane-miles": "lane-km",
		"USD per ton":        "USD per t",
		"%s lb, lb and tons": "%s kg, kg and t", "in": "cm", "in per hour": "cm per hour", "in wind": "in wind",
		"°F, hourly mean": "°C, hourly mean", "mph": "km/h",
		"lb, a load": "kg, a load", "miles, to ": "km, to ", "on stone, in all": "on stone, in all", "applied_lb": "applied_lb",
	} {
		assert.Equal(t, want, metric.UnitWords(usText))
		assert.Equal(t, usText, us.UnitWords(usText))
	}
	assert.Equal(t, "Pound Ridge got 5 kg", metric.Sprintf("%s got %s lb", "Pound Ridge", "5"), "a delivered name stays as it is")
}

// (20 - 32) / 1.8 = -6.67; (15 - 32) / 1.8 = -9.44.
func TestBandWords(t *testing.T) {
	for _, c := range []struct {
		from, to   *float64
		us, metric string
	}{{new(20.0), new(28.0), "20 to 28 °F", "−6.7 to −2.2 °C"}, {new(32.0), nil, "above 32 °F", "above 0.0 °C"},
		{nil, new(15.0), "under 15 °F", "under −9.4 °C"},
		{nil, nil, "no report", "no report"}} {
		assert.Equal(t, c.us, words.Say(us, "band", c.from, c.to))
		assert.Equal(t, c.metric, words.Say(metric, "band", c.from, c.to))
	}
}

// (-4 - 32) / 1.8 = -20; a difference of 20 °F is 20 / 1.8 = 11.11 °C.
func TestWeatherDoubtsInBothUnits(t *testing.T) {
	jump := rows.Finding{Code: "jump_stands", Amount: new(-4.0), Unit: rows.DegreeF, Other: new(20.0), OtherUnit: rows.DifferenceDegreeF,
		Name: "air_f"}
	assert.Equal(t, "air_f changes by over 20 °F, to -4.0 °F; it stands, because a neighbour agrees with it",
		jump.Sentence(book.FindingWriter{Units: us}))
	assert.Equal(t, "air_f changes by over 11.1 °C, to −20.0 °C; it stands, because a neighbour agrees with it",
		jump.Sentence(book.FindingWriter{Units: metric}))
}

func TestFindingsAndMovedFiguresInMetric(t *testing.T) {
	lanes := rows.Finding{Code: "pass_lanes", Amount: new(1300.4), Unit: rows.PoundPerLaneMile, Name: "R1"}
	aside := rows.Finding{Code: "set_aside", Amount: new(1000.0), Unit: rows.Pound, Other: new(3.0), OtherUnit: rows.Count,
		Name: "unknown_truck"}
	// A cause of the gate that was accepted: 2000 x 0.45359237 = 907.
	fell := rows.Finding{Code: "gate_pounds_fell", Amount: new(2000.0), Unit: rows.Pound, Other: new(1000.0), OtherUnit: rows.Pound,
		Third: new(0.0), SharePct: new(50.0), Name: "2030-31"}
	open := rows.Finding{Code: "open_storm", Amount: new(9.52), Unit: rows.Hour}
	for want, f := range map[string]rows.Finding{"367 kg per lane-km on route R1: lanes or direction?": lanes,
		"454 kg in 3 rows not counted: unknown truck":                                                                  aside,
		"season 2030-31 fell from 907 to 454 kg, 50.0 %, of which corrections and changed reference rows explain 0 kg": fell,
		"9.5 hours so far; its figures may still change":                                                               open} {
		assert.Equal(t, want, f.Sentence(book.FindingWriter{Units: metric}))
	}
	assert.Equal(t, "1,300 lb per lane-mile on route R1: lanes or direction?", lanes.Sentence(book.FindingWriter{Units: us}))
	// 12.0 x 1.609344 = 19.3; 4700 x 0.45359237 = 2132.
	sheet := rows.Finding{Code: "sheet_lane_miles", Amount: new(12.0), Unit: rows.LaneMile, Other: new(10.0), OtherUnit: rows.LaneMile}
	assert.Equal(t, "lane-miles: sheet: 12.0 lane-miles; positions: 10.0", sheet.Sentence(book.FindingWriter{Units: us}))
	assert.Equal(t, "lane-km: sheet: 19.3 lane-km; positions: 16.1", sheet.Sentence(book.FindingWriter{Units: metric}))
	out := rows.Finding{Code: "sheet_nothing_out", Amount: new(4700.0), Unit: rows.Pound}
	assert.Equal(t, "kilograms: sheet: 2,132 kg; positions: nothing went out", out.Sentence(book.FindingWriter{Units: metric}))
	for column, want := range map[string][2]string{"applied_lb": {"applied, lb 1,000.00", "applied, kg 453.59"},
		"storm_lb_per_lane_mi": {"storm, lb per lane-mile 1,000.00", "storm, kg per lane-km 281.85"},
		"applications":         {"applications 1,000.00", "applications 1,000.00"},
		"regain_h":             {"regain h 1,000.00", "regain h 1,000.00"}} {
		for i, u := range []format.Units{us, metric} {
			label, before, after := table.ChangedColumn(u, column, new(1000.0), nil)
			assert.Equal(t, want[i], label+" "+before.Text)
			assert.Equal(t, table.Cell{Text: format.Missing}, after)
		}
	}
}

// metricPages are the made district's pages in metric units, built once.
var metricPages = sync.OnceValues(func() (map[string]string, error) {
	data, files := madeDistrict(), map[string]string{}
	data.Units = rows.Metric
	return files, Write(data, func(name string, content []byte) error {
		files[name] = string(content)
		return nil
	})
})

func madeMetric(t *testing.T) map[string]string {
	files, err := metricPages()
	require.NoError(t, err)
	return files
}

var (
	usUnit = regexp.MustCompile(`(?i)(^|[^\pL\d_])(lbs?|pounds?|lane-miles?|miles?|°F|mph|inch(es)?|tons?)($|[^\pL\d_])|\d in ` +
		`(of|per|24) |>in(</| per )`)
	metricUnit = regexp.MustCompile(`(?i)(^|[^\pL\d_])(kg|kilograms?|lane-km|km|°C|km/h|cm|centimeters?)($|[^\pL\d_])`)
	scriptText = regexp.MustCompile(`(?s)<script[^>]*>(.*?)</script>`)
	labelText  = regexp.MustCompile(`aria-label="([^"]*)"`)
	unitText   = regexp.MustCompile(`<span class="unit">(in|in per [^<]*)</span>`)
)

// readable is what a page says: its text, the labels of its pictures and the options of its charts.
func readable(page string) string {
	var parts []string
	for _, found := range labelText.FindAllStringSubmatch(page, -1) {
		parts = append(parts, found[1])
	}
	parts = append(parts, unitText.FindAllString(page, -1)...)
	for _, found := range scriptText.FindAllStringSubmatch(page, -1) {
		var option any
		if json.Unmarshal([]byte(found[1]), &option) == nil {
			parts = append(parts, fmt.Sprint(option))
		}
	}
	body := scriptText.ReplaceAllString(page, " ")
	return html.UnescapeString(strings.Join(parts, "\n") + "\n" + tagText.ReplaceAllString(body, "\n"))
}

func TestAMetricSiteHasNoUSUnit(t *testing.T) {
	pages := 0
	for name, page := range madeMetric(t) {
		if !strings.HasSuffix(name, ".html") || name == "methods.html" {
			continue
		}
		pages++
		text := readable(page)
		for _, found := range usUnit.FindAllStringIndex(text, -1) {
			t.Errorf("%s: %q", name, text[max(0, found[0]-60):min(len(text), found[1]+30)])
		}
	}
	assert.Greater(t, pages, 70)
}

func TestAUSSiteHasNoMetricUnit(t *testing.T) {
	for name, page := range made(t) {
		if strings.HasSuffix(name, ".html") && name != "methods.html" {
			assert.NotRegexp(t, metricUnit, readable(page), name)
		}
	}
}

var headText = regexp.MustCompile(`(?s)<table id="([^"]*)">.*?<thead><tr>(.*?)</tr></thead>`)

// headings are the columns of each table of a page, by its id.
func headings(page string) map[string][]string {
	heads := map[string][]string{}
	for _, table := range headText.FindAllStringSubmatch(page, -1) {
		for _, cell := range cellText.FindAllStringSubmatch(table[2], -1) {
			heads[table[1]] = append(heads[table[1]], strings.TrimSpace(html.UnescapeString(tagText.ReplaceAllString(cell[1], ""))))
		}
	}
	return heads
}

// columnMeasure is the kind of figure that a column of a US page holds, told by its heading alone.
func columnMeasure(heading string) (m format.Measure, found bool) {
	for _, c := range []struct {
		end string
		format.Measure
	}{{`lb per lane-mile`, format.MassRate}, {`USD per lane-mile`, format.LaneMilePrice}, {`Per lane-mile USD`, format.LaneMilePrice},
		{`USD per ton`, format.TonPrice}, {`Per ton USD`, format.TonPrice}, {` lb`, format.Mass}, {`lane-miles`, format.LaneLength},
		{`Lane-miles`, format.LaneLength}, {` miles`, format.LaneLength}, {`°F`, format.Temperature}, {`mph`, format.Speed},
		{` tons`, format.Heap}} {
		if regexp.MustCompile(regexp.QuoteMeta(c.end) + `($|[ ,])`).MatchString(heading) {
			return c.Measure, true
		}
	}
	return format.Water, strings.HasSuffix(heading, " in")
}

func parsedNumber(text string) (x, step float64, isNumber bool) {
	plain := strings.NewReplacer(",", "", "−", "-", "+", "").Replace(text)
	x, err := strconv.ParseFloat(plain, 64)
	_, decimals, _ := strings.Cut(plain, ".")
	return x, math.Pow(10, -float64(len(decimals))), err == nil
}

// Each cell of each table with a unit at its head is the US cell converted, within half of the last digit of either; each other cell is the
// same.
func TestEveryColumnIsConverted(t *testing.T) {
	converted := 0
	inMetric := madeMetric(t)
	for name, page := range made(t) {
		if !strings.HasSuffix(name, ".html") || name == "methods.html" {
			continue
		}
		for id, heads := range headings(page) {
			metricHeads := headings(inMetric[name])[id]
			usRows, rows := parsedTable(t, page, id), parsedTable(t, inMetric[name], id)
			require.Len(t, rows, len(usRows), "%s %s", name, id)
			require.Len(t, metricHeads, len(heads), "%s %s", name, id)
			for column, head := range heads {
				m, hasUnit := columnMeasure(head)
				if hasUnit {
					assert.NotEqual(t, head, metricHeads[column], "%s %s", name, id)
				}
				for i := range rows {
					before, step, isNumber := parsedNumber(usRows[i][column])
					after, metricStep, _ := parsedNumber(rows[i][column])
					switch {
					case hasUnit && isNumber:
						converted++
						assert.InDelta(t, (before-m.Zero)*m.Factor, after, step/2*m.Factor+metricStep/2+1e-9, "%s %s, %s, row %d", name,
							id, head, i)
					case isNumber && id != "measures-2030-31" && id != "measures-2029-30":
						assert.Equal(t, usRows[i][column], rows[i][column], "%s %s, %s, row %d", name, id, head, i)
					}
				}
			}
		}
	}
	assert.Greater(t, converted, 10000)
}
