package metar

import (
	"bufio"
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// referenceFolder holds the reference decoder's script (npm metar-taf-parser, MIT), our invented reports and what it made of them.
var referenceFolder = filepath.Join("..", "..", "testdata", "metar")

// expected is one line of the reference's output. A nil is what it did not find.
type expected struct {
	Line       string   `json:"line"`
	Error      string   `json:"error"`
	Station    string   `json:"station"`
	Time       [3]int   `json:"time"` // day, hour, minute
	Auto       bool     `json:"auto"`
	Wind       []any    `json:"wind"` // degrees or VRB, speed, gust or nil, unit
	WindRange  []any    `json:"wind_range"`
	Visibility []any    `json:"visibility"` // P, M or empty; value; unit
	Weather    []string `json:"weather"`
	BodyAirC   *float64 `json:"body_air_c"`
	BodyDewC   *float64 `json:"body_dew_c"`
	AirC       *float64 `json:"air_c"`
	DewC       *float64 `json:"dew_c"`
	HourIn     *float64 `json:"hour_in"`
	SixIn      *float64 `json:"six_in"`
	DayIn      *float64 `json:"day_in"`
	DepthIn    *float64 `json:"depth_in"`
	RiseIn     *float64 `json:"rise_in"`
	RiseDepth  *float64 `json:"rise_depth_in"`
	Events     []string `json:"events"`
}

// differences lists where we differ from the reference and why: the field, a pattern of the lines it holds for, the reason.
var differences = []struct {
	field      string
	pattern    *regexp.Regexp
	isOnlyReal bool // stands in the real reports alone
	reason     string
}{
	{field: "visibility", pattern: regexp.MustCompile(`[ 0-9][1357]/(8|16)SM`),
		reason: "the reference rounds miles to hundredths (0.13 for 1/8); we keep the fraction"},
	{field: "weather", pattern: regexp.MustCompile(` NSW `),
		reason: "the reference lists 'no significant weather' as a phenomenon; we list none"},
	{field: "events", pattern: regexp.MustCompile(`[A-Z]{2}([BE](\d{4}|\d\d)){3}|E(\d{4}|\d\d)B\d\d`),
		reason: "the reference reads a begin and an end at most, in this order, for one phenomenon; we read all (SNE1756B45)"},
	{field: "events", pattern: regexp.MustCompile(` RAESNB\d\d `),
		reason: "the reference needs a time behind each letter; an end and a begin may share one (AC 00-45H 3.1.5.13.11)"},
	{field: "events", pattern: regexp.MustCompile(`SHRASNB\d{4}`), isOnlyReal: true,
		reason: "the reference reads one phenomenon before a time; we read groups such as SHRASN"},
	{field: "air", pattern: regexp.MustCompile(` M?\d\d/ `),
		reason: "the reference drops the air temperature where the dew point is missing"},
	{field: "weather", pattern: regexp.MustCompile(` PE `), reason: "the reference does not know PE, the code of ice pellets until 1998"},
}

func readExpected(t *testing.T, output []byte) []expected {
	var all []expected
	scanner := bufio.NewScanner(bytes.NewReader(output))
	for scanner.Scan() {
		var one expected
		require.NoError(t, json.Unmarshal(scanner.Bytes(), &one))
		all = append(all, one)
	}
	require.NoError(t, scanner.Err())
	return all
}

func number(value *float64) Reading {
	if value == nil {
		return Reading{}
	}
	return known(*value)
}

func first(values ...*float64) Reading {
	for _, value := range values {
		if value != nil {
			return known(*value)
		}
	}
	return Reading{}
}

func inF(c Reading) Reading {
	c.Value = c.Value*9/5 + 32
	return Reading{c.Value, c.Known}
}

// isSame compares two readings to nine digits; the value of what is not known is not looked at.
func isSame(a, b Reading) bool {
	if !a.Known || !b.Known {
		return a.Known == b.Known
	}
	return math.Abs(a.Value-b.Value) <= 1e-9*math.Max(1, math.Abs(a.Value))
}

func isSameAmount(a Amount, b Reading) bool { return isSame(Reading{a.In(), a.Known}, b) }

// isSameWind compares direction, speed and gust; the reference gives the direction of calm as 0.
func isSameWind(r Report, wind []any) bool {
	if wind == nil {
		return !r.WindMph.Known
	}
	mph := map[any]float64{"KT": 1.150779448, "MPS": 2.2369362920544, "km/h": 0.62137119223733}[wind[3]]
	isVariable := wind[0] == "VRB"
	deg, _ := wind[0].(float64)
	gust, hasGust := wind[2].(float64)
	return isVariable == r.IsWindVariable && isSame(r.WindDeg, Reading{deg, deg > 0}) &&
		isSame(r.WindMph, known(wind[1].(float64)*mph)) && isSame(r.GustMph, Reading{gust * mph, hasGust})
}

// isSameVisibility compares the value and whether it is a bound; the reference leaves 9999 as it stands, with the sign for more.
func isSameVisibility(r Report, visibility []any) bool {
	if visibility == nil {
		return !r.VisibilityMi.Known
	}
	mi := visibility[1].(float64)
	if visibility[2] == "m" {
		if mi == 9999 {
			mi = 10000
		}
		mi /= 1609.344
	}
	return isSame(r.VisibilityMi, known(mi)) && (visibility[0] == "P") == r.IsVisibilityBeyond &&
		(visibility[0] == "M") == r.IsVisibilityBelow
}

func isSameEvents(r Report, events []string) bool {
	if len(r.Events) != len(events) {
		return false
	}
	for i, e := range r.Events {
		letter := "E"
		if e.IsBegin {
			letter = "B"
		}
		text := e.Weather.String() + letter
		if events[i] != text+e.At.Format("04") && events[i] != text+e.At.Format("1504") {
			return false
		}
	}
	return true
}

// differing gives the fields in which a report is not what the reference found.
func differing(r Report, want expected) []string {
	var fields []string
	differs := func(field string, isSame bool) {
		if !isSame {
			fields = append(fields, field)
		}
	}
	var weather []string
	for _, g := range r.Weather.Groups {
		weather = append(weather, g.String())
	}
	at := [3]int{r.ObservedAt.Day(), r.ObservedAt.Hour(), r.ObservedAt.Minute()}
	differs("station", r.StationID == want.Station && at == want.Time && r.IsAuto == want.Auto)
	differs("wind", isSameWind(r, want.Wind))
	differs("wind range", r.WindFromDeg.Known == (want.WindRange != nil) &&
		(want.WindRange == nil || want.WindRange[0] == r.WindFromDeg.Value && want.WindRange[1] == r.WindToDeg.Value))
	differs("visibility", isSameVisibility(r, want.Visibility))
	differs("weather", slices.Equal(weather, want.Weather))
	differs("air", isSame(r.AirF, inF(first(want.AirC, want.BodyAirC))))
	differs("dew", isSame(r.DewF, inF(first(want.DewC, want.BodyDewC))))
	differs("hour", isSameAmount(r.HourPrecip, number(want.HourIn)))
	differs("six", isSameAmount(r.SixPrecip, number(want.SixIn)))
	differs("day", isSameAmount(r.DayPrecip, number(want.DayIn)))
	differs("depth", isSame(r.SnowDepthIn, first(want.DepthIn, want.RiseDepth)))
	differs("rise", isSame(r.SnowRiseIn, number(want.RiseIn)))
	differs("events", isSameEvents(r, want.Events))
	return fields
}

// compare holds each report against the reference; it tells which of the listed differences were met.
func compare(t *testing.T, all []expected) (met []bool) {
	met = make([]bool, len(differences))
	for _, want := range all {
		r, err := Decode(want.Line, Month{2029, time.January})
		if err != nil {
			assert.NotEmpty(t, undecodableReason(want.Line), "%s: %v", want.Line, err)
			continue
		}
		for _, field := range differing(r, want) {
			isListed := false
			for i, d := range differences {
				if d.field == field && d.pattern.MatchString(want.Line) {
					isListed, met[i] = true, true
				}
			}
			assert.True(t, isListed, "%s differs: %s\nthe reference: %+v\nours: %+v", field, want.Line, want, r)
		}
	}
	return met
}

func TestInventedReportsAgainstTheReference(t *testing.T) {
	output, err := os.ReadFile(filepath.Join(referenceFolder, "invented.expected.jsonl"))
	require.NoError(t, err)
	all := readExpected(t, output)
	require.GreaterOrEqual(t, len(all), 60)
	for i, isMet := range compare(t, all) {
		assert.True(t, isMet || differences[i].isOnlyReal, "this difference is no longer met: %s", differences[i].reason)
	}
}

// runReference decodes a file with the reference; the test is skipped, by name, where it is not installed.
func runReference(t *testing.T, file string) []expected {
	if _, err := os.Stat(filepath.Join(referenceFolder, "node_modules")); err != nil {
		t.Skipf("%s: the reference decoder is not installed (npm ci in testdata/metar)", t.Name())
	}
	node, err := exec.LookPath("node")
	if err != nil {
		t.Skipf("%s: node is not installed", t.Name())
	}
	file, err = filepath.Abs(file)
	require.NoError(t, err)
	command := exec.Command(node, "reference.mjs", file)
	command.Dir = referenceFolder
	output, err := command.Output()
	require.NoError(t, err)
	return readExpected(t, output)
}

func TestExpectedOfInventedReportsIsCurrent(t *testing.T) {
	committed, err := os.ReadFile(filepath.Join(referenceFolder, "invented.expected.jsonl"))
	require.NoError(t, err)
	assert.Equal(t, readExpected(t, committed), runReference(t, filepath.Join(referenceFolder, "invented.metar")))
}

func TestRealReportsAgainstTheReference(t *testing.T) {
	met := make([]bool, len(differences))
	for _, name := range []string{"airport-2014-01.metar", "winter-reports.metar"} {
		lines := realLines(t, name)
		all := runReference(t, filepath.Join(dataFolder(), name))
		require.Len(t, all, len(lines))
		for i, isMet := range compare(t, all) {
			met[i] = met[i] || isMet
		}
	}
	for i, d := range differences {
		assert.True(t, met[i] || !d.isOnlyReal, "this difference is no longer met: %s", d.reason)
	}
}
