package metar

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

var january = Month{2029, time.January}

func TestTimeOfReport(t *testing.T) {
	for _, c := range []struct {
		line, want string
		ref        Month
	}{
		{"2029-01-18T17:51Z METAR XAAA 181751Z", "2029-01-18T17:51Z", Month{}},
		{"2029-02-01T00:02Z SPECI XAAA 312358Z", "2029-01-31T23:58Z", Month{}},
		{"2028-12-31T23:59Z METAR XAAA 010000Z", "2029-01-01T00:00Z", Month{}},
		{"2029-01-01T00:01Z XAAA 312351Z", "2028-12-31T23:51Z", Month{}},
		{"2028-03-01T00:01Z XAAA 292351Z", "2028-02-29T23:51Z", january},
		{"METAR COR XAAA 311200Z", "2029-01-31T12:00Z", january},
		{"X1AA 281200Z", "2029-02-28T12:00Z", Month{2029, time.February}},
	} {
		r, err := Decode(c.line, c.ref)
		require.NoError(t, err, c.line)
		assert.Equal(t, c.want, r.ObservedAt.Format("2006-01-02T15:04Z"), c.line)
	}
}

func TestReportsThatDoNotDecode(t *testing.T) {
	for _, c := range []struct{ line, group string }{
		{"", ""}, {"   ", ""}, {"METAR", ""}, {"METAR XAAA", ""}, {"METAR XAAA 1817Z", "1817Z"}, {"METAR xaaa 181751Z", "xaaa"},
		{"METAR 1AAA 181751Z", "1AAA"}, {"TAF XAAA 181751Z", "TAF"}, {"METAR XAAA 181760Z", "181760Z"}, {"METAR XAAA 182451Z", "182451Z"},
		{"METAR XAAA 321200Z", "321200Z"}, {"METAR XAAA 001200Z", "001200Z"}, {"2029-01-18T17:51Z METAR XAAA 211751Z", "211751Z"},
		{"2029-02-30T17:51Z METAR XAAA 211751Z", "2029-02-30T17:51Z"}, {"METAR XAAA 181751Z KT", "KT"},
		{"METAR XAAA 181751Z 27O10KT", "27O10KT"},
		{"METAR XAAA 181751Z 37010KT", "37010KT"}, {"METAR XAAA 181751Z 27010G", "27010G"}, {"METAR XAAA 181751Z 27010GKT", "27010GKT"},
		{"METAR XAAA 181751Z 1 10SM", "10SM"}, {"METAR XAAA 181751Z 1 -SN", "-SN"}, {"METAR XAAA 181751Z 1", "1"},
		{"METAR XAAA 181751Z 11/2SM", "11/2SM"}, {"METAR XAAA 181751Z 1/0SM", "1/0SM"}, {"METAR XAAA 181751Z M8/M12", "M8/M12"},
		{"METAR XAAA 181751Z M08/M1", "M08/M1"}, {"METAR XAAA 181751Z SNX", "SNX"}, {"METAR XAAA 181751Z OVC0", "OVC0"},
		{"METAR XAAA 181751Z A29", "A29"}, {"METAR XAAA 181751Z 10SM PLEASE CALL", "PLEASE"}, {"METAR XAAA 181751Z 500V100", "500V100"},
		{"METAR XAAA 181751Z RESNX", "RESNX"}, {"METAR XAAA 181751Z PSM", "PSM"}, {"METAR XAAA 181751Z 10SM=SN", "10SM=SN"},
	} {
		r, err := Decode(c.line, january)
		var fault *GroupError
		require.ErrorAs(t, err, &fault, c.line)
		assert.Equal(t, c.group, fault.Group, c.line)
		assert.Equal(t, Report{}, r)
	}
	_, err := Decode("METAR XAAA 181751Z", Month{})
	require.ErrorContains(t, err, "YYYY-MM")
	_, err = Decode("METAR XAAA 311751Z", Month{2029, time.February})
	require.ErrorContains(t, err, "2029-02")
}

func TestWind(t *testing.T) {
	const knot, metre = 1.150779448, 2.2369362920544 // mph; From memory: 3600/1609.344 for metres a second
	for _, c := range []struct {
		word           string
		deg, mph, gust float64 // -1: not known
		isVariable     bool
	}{
		{"27010KT", 270, 10 * knot, -1, false}, {"36015G25KT", 360, 15 * knot, 25 * knot, false}, {"00000KT", -1, 0, -1, false},
		{"VRB04KT", -1, 4 * knot, -1, true}, {"VRB04G15KT", -1, 4 * knot, 15 * knot, true}, {"/////KT", -1, -1, -1, false},
		{"///05KT", -1, 5 * knot, -1, false}, {"240110G135KT", 240, 110 * knot, 135 * knot, false}, {"12006MPS", 120, 6 * metre, -1, false},
		{"12006G12MPS", 120, 6 * metre, 12 * metre, false}, {"240P99KT", 240, 99 * knot, -1, false},
		{"27010G//KT", 270, 10 * knot, -1, false},
	} {
		r := inBody(t, c.word)
		assert.InDelta(t, c.deg, or(r.WindDeg, -1), 0, c.word)
		assert.InDelta(t, c.mph, or(r.WindMph, -1), 1e-9, c.word)
		assert.InDelta(t, c.gust, or(r.GustMph, -1), 1e-9, c.word)
		assert.Equal(t, c.isVariable, r.IsWindVariable, c.word)
		assert.Equal(t, Wind, r.Carries, c.word)
	}
	r := inBody(t, "27010KT 240V300")
	assert.Equal(t, [2]Reading{known(240), known(300)}, [2]Reading{r.WindFromDeg, r.WindToDeg})
}

func or(r Reading, missing float64) float64 {
	if r.Known {
		return r.Value
	}
	return missing
}

func TestVisibility(t *testing.T) {
	for _, c := range []struct {
		words               string
		mi                  float64
		isBelow, isBeyond   bool
		isPresent, hasValue bool
	}{
		{"10SM", 10, false, false, true, true}, {"3SM", 3, false, false, true, true}, {"1/2SM", 0.5, false, false, true, true},
		{"1 1/2SM", 1.5, false, false, true, true}, {"1 5/8SM", 1.625, false, false, true, true}, {"M1/4SM", 0.25, true, false, true, true},
		{"P6SM", 6, false, true, true, true}, {"0SM", 0, false, false, true, true}, {"////SM", 0, false, false, true, false},
		{"////", 0, false, false, true, false}, {"9999", 10000 / 1609.344, false, true, true, true}, {"0000", 0, true, false, true, true},
		{"3000", 3000 / 1609.344, false, false, true, true}, {"3000 1200SE", 3000 / 1609.344, false, false, true, true},
		{"8000NDV", 8000 / 1609.344, false, false, true, true}, {"CAVOK", 10000 / 1609.344, false, true, true, true},
		{"CLR", 0, false, false, false, false},
	} {
		r := inBody(t, c.words)
		assert.Equal(t, Reading{c.mi, c.hasValue}, r.VisibilityMi, c.words)
		assert.Equal(t, [2]bool{c.isBelow, c.isBeyond}, [2]bool{r.IsVisibilityBelow, r.IsVisibilityBeyond}, c.words)
		assert.Equal(t, c.isPresent, r.Carries == Visibility, c.words)
	}
}

// The exact conversion F = C x 9/5 + 32: -40 is the same on both scales, 0 C is 32 F, 37 C is 98.6 F, 100 C is 212 F.
func TestTemperature(t *testing.T) {
	for _, c := range []struct {
		words    string
		air, dew Reading
	}{
		{"M40/M40", known(-40), known(-40)}, {"00/M00", known(32), known(32)}, {"37/10", known(98.6), known(50)},
		{"M35/", known(-31), Reading{}},
		{"M35///", known(-31), Reading{}}, {"///M10", Reading{}, known(14)}, {"/////", Reading{}, Reading{}},
		{"M08/M12 RMK T10781117", known(17.96), known(10.94)}, {"M08/M12 RMK T1078", known(17.96), known(10.4)},
		{"M08/M12 RMK T1078////", known(17.96), known(10.4)}, {"M08/M12 RMK T9078 T107 TOWER", known(17.6), known(10.4)},
	} {
		r := inBody(t, c.words)
		assert.Equal(t, [2]Reading{c.air, c.dew}, [2]Reading{r.AirF, r.DewF}, c.words)
		assert.Equal(t, Temperature, r.Carries, c.words)
	}
}

func TestSignsOfAReport(t *testing.T) {
	r := inBody(t, "AUTO 27010KT 10SM R10L/1200VP6000FT -SN CLR M08/M12 A2977 RMK AO2 FZRANO PWINO PNO RVRNO $=")
	assert.True(t, r.IsAuto && r.IsFreezingOut && r.IsWeatherOut && r.IsGaugeOut && r.IsServiceNeeded)
	assert.Equal(t, Routine, r.Kind)
	assert.Equal(t, "-SN", r.PresentWx())
	assert.Equal(t, Wind|Visibility|Temperature, r.Carries)
	for _, words := range []string{"COR 27010KT", "CCA 27010KT", "27010KT COR"} {
		assert.True(t, inBody(t, words).IsCorrection, words)
	}
	assert.True(t, inBody(t, "NIL=").IsNil)
	r = inBody(t, "27010KT 9999 -SN OVC010 M01/M02 Q1013 RESHSN R24/490542 TEMPO 0400 +SN BKN002 RMK P0003")
	assert.Equal(t, "-SN", r.PresentWx(), "a forecast is no observation")
	assert.Equal(t, []Group{{Moderate, Showers, [3]Phenomenon{Snow}}}, r.RecentWeather)
	assert.Equal(t, Amount{3, false, true}, r.HourPrecip)
	assert.Equal(t, Report{StationID: "XAAA", ObservedAt: r.ObservedAt, Kind: Routine},
		inBody(t, "RMK PRESENT WX DRSN SNE TORNADO B13 6 NE"),
		"plain language says nothing")
}

func TestEventsAroundTheHourAndTheDay(t *testing.T) {
	for _, c := range []struct{ at, word, want string }{
		{"010017", "SNB53", "31 23:53"}, {"010017", "SNB17", "01 00:17"}, {"010017", "SNE2341", "31 23:41"},
		{"011851", "SNE1756B45", "01 17:56"},
	} {
		r := inRemarks(t, c.at, c.word)
		require.NotEmpty(t, r.Events, c.word)
		assert.Equal(t, c.want, r.Events[0].At.Format("02 15:04"), c.word)
	}
	assert.Equal(t, "01 18:45", inRemarks(t, "011851", "SNE1756B45").Events[1].At.Format("02 15:04"))
	for _, word := range []string{"SNB60", "SNB2400", "SNBE", "SN3SF1SC3SC1", "SNB05X", "BE12", "B1234", "SNB123", "SNB12345", "RAESN"} {
		assert.Empty(t, inRemarks(t, "011851", word).Events, word)
	}
}

// TestWrittenReportsAreReadBack draws values, writes the report by the rules of the code, and reads it.
func TestWrittenReportsAreReadBack(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		at := time.Date(2029, time.January, 1, 0, rapid.IntRange(0, 44639).Draw(t, "minute"), 0, 0, time.UTC)
		deg, kt := 10*rapid.IntRange(1, 36).Draw(t, "deg"), rapid.IntRange(1, 99).Draw(t, "kt")
		tenths, dew := rapid.IntRange(-600, 500).Draw(t, "tenths"), rapid.IntRange(-600, 500).Draw(t, "dew")
		hundredths := rapid.IntRange(0, 999).Draw(t, "hundredths")
		group := drawGroup(t)
		line := at.Format("2006-01-02T15:04Z ") + "METAR XAAA " + at.Format("021504Z ") + pad(deg, 3) + pad(kt, 2) + "KT 3SM " +
			group.String() +
			" OVC010 RMK AO2 P" + pad(hundredths, 4) + " T" + coded(tenths) + coded(dew)
		r, err := Decode(line, Month{})
		require.NoError(t, err)
		assert.Equal(t, at, r.ObservedAt)
		assert.Equal(t, known(float64(deg)), r.WindDeg)
		assert.InDelta(t, float64(kt)*1852/1609.344, r.WindMph.Value, 1e-6)
		assert.InDelta(t, float64(tenths)/10, (r.AirF.Value-32)*5/9, 1e-9)
		assert.InDelta(t, float64(dew)/10, (r.DewF.Value-32)*5/9, 1e-9)
		assert.Equal(t, []Group{group}, r.Weather.Groups)
		assert.Equal(t, Amount{hundredths, hundredths == 0, true}, r.HourPrecip)
	})
}

func coded(tenths int) string {
	if tenths < 0 {
		return "1" + pad(-tenths, 3)
	}
	return "0" + pad(tenths, 3)
}

func pad(value, width int) string {
	text := ""
	for ; width > 0; width-- {
		text = string(rune('0'+value%10)) + text
		value /= 10
	}
	return text
}

func FuzzDecode(f *testing.F) {
	for _, line := range benchmarkLines {
		f.Add(line)
	}
	for _, line := range []string{"METAR XAAA 010000Z ///// //// RMK SNINCR / 4/", "XAAA 311751Z 1 1/2SM=",
		"METAR XAAA 010000Z RMK RAESNB42 SNB", "="} {
		f.Add(line)
	}
	f.Fuzz(func(t *testing.T, line string) {
		r, err := Decode(line, january)
		if err != nil {
			var fault *GroupError
			require.ErrorAs(t, err, &fault)
			require.Contains(t, line, fault.Group)
			return
		}
		assertConsistent(t, r.Weather)
		for _, reading := range []Reading{r.WindDeg, r.WindMph, r.GustMph, r.VisibilityMi, r.AirF, r.DewF, r.SnowDepthIn, r.SnowRiseIn} {
			require.False(t, math.IsNaN(reading.Value) || math.IsInf(reading.Value, 0))
			require.True(t, reading.Known || reading.Value == 0, "a value that is not known")
		}
		for _, e := range r.Events {
			require.False(t, e.At.After(r.ObservedAt))
			require.Less(t, r.ObservedAt.Sub(e.At), 24*time.Hour)
		}
		again, err := Decode(line, january)
		require.NoError(t, err)
		require.Equal(t, r, again)
	})
}
