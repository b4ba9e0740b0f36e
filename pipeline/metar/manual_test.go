package metar

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// inBody decodes a report at 17:55 with these words before RMK.
func inBody(t *testing.T, words string) Report {
	r, err := Decode("METAR XAAA 011755Z "+words, Month{2029, time.January})
	require.NoError(t, err, words)
	return r
}

func inRemarks(t *testing.T, at, words string) Report {
	r, err := Decode("METAR XAAA "+at+"Z 27010KT 10SM CLR M01/M02 A2992 RMK AO2 "+words, Month{2029, time.January})
	require.NoError(t, err, words)
	return r
}

// Coding examples of the published manual, as facts: Aviation Weather Services, AC 00-45H (FAA, 2016), section 3.1.5.8 (seen), which
// follows
// FMH-1 section 12.6.8 (From memory: the number).
func TestPresentWeatherExamplesOfTheManual(t *testing.T) {
	for _, c := range []struct {
		text   string
		groups []Group
		flags  string
	}{
		{"-DZ", []Group{{Light, NoDescriptor, [3]Phenomenon{Drizzle}}}, "LPR"},                                   // 3.1.5.8.6
		{"-RASN", []Group{{Light, NoDescriptor, [3]Phenomenon{Rain, Snow}}}, "CLPSR"},                            // 3.1.5.8.6
		{"SN BR", []Group{{Phenomena: [3]Phenomenon{Snow}}, {Phenomena: [3]Phenomenon{Mist}}}, "APS"},            // 3.1.5.8.6
		{"-FZRA FG", []Group{{Light, Freezing, [3]Phenomenon{Rain}}, {Phenomena: [3]Phenomenon{Fog}}}, "APF"},    // 3.1.5.8.6
		{"SHRA", []Group{{Moderate, Showers, [3]Phenomenon{Rain}}}, "LPR"},                                       // 3.1.5.8.6
		{"VCBLSA", []Group{{Vicinity, Blowing, [3]Phenomenon{Sand}}}, ""},                                        // 3.1.5.8.6
		{"TS", []Group{{Moderate, Thunderstorm, [3]Phenomenon{}}}, ""},                                           // 3.1.5.8.6
		{"+TSRA", []Group{{Heavy, Thunderstorm, [3]Phenomenon{Rain}}}, "LPR"},                                    // 3.1.5.8.6
		{"-FZRAPL", []Group{{Light, Freezing, [3]Phenomenon{Rain, IcePellets}}}, "ACPEF"},                        // 3.1.5.8.1
		{"VCFG", []Group{{Vicinity, NoDescriptor, [3]Phenomenon{Fog}}}, ""},                                      // 3.1.5.8.2
		{"VCSH", []Group{{Vicinity, Showers, [3]Phenomenon{}}}, ""},                                              // 3.1.5.8.2
		{"SN BLSN", []Group{{Phenomena: [3]Phenomenon{Snow}}, {Moderate, Blowing, [3]Phenomenon{Snow}}}, "APSB"}, // 3.1.5.8.3
		{"TSSNGS", []Group{{Moderate, Thunderstorm, [3]Phenomenon{Snow, SmallHail}}}, "ACPS"},                    // 3.1.5.8.3
		{"+FC TSRAGR BR", []Group{{Heavy, NoDescriptor, [3]Phenomenon{FunnelCloud}},
			{Moderate, Thunderstorm, [3]Phenomenon{Rain, Hail}}, {Phenomena: [3]Phenomenon{Mist}}}, "LPR"}, // 3.1.5.8.6
	} {
		w := inBody(t, "27010KT 3SM "+c.text+" OVC010 M01/M02").Weather
		assert.Equal(t, c.groups, w.Groups, c.text)
		assert.Equal(t, c.flags, flagsOf(w), c.text)
	}
}

// AC 00-45H (seen), sections 3.1.5.7, 3.1.5.9, 3.1.5.10; FMH-1 12.6.7, 12.6.9 and 12.6.10 (From memory: the numbers).
func TestBodyExamplesOfTheManual(t *testing.T) {
	for _, words := range []string{"R01L/0800FT", "R01L/0600V1000FT", "R01L/M0600FT", "R27/P6000FT", "SKC", "CLR", "FEW004", "SCT023TCU",
		"BKN100", "OVC250", "VV001", "FEW012 SCT046", "SCT018 OVC032CB", "FEW012 SCT030 BKN050", "A2992"} {
		inBody(t, words)
	}
	r := inBody(t, "04/M02")
	assert.Equal(t, known(39.2), r.AirF)
	assert.Equal(t, known(28.4), r.DewF)
	r = inBody(t, "02/")
	assert.Equal(t, known(35.6), r.AirF)
	assert.False(t, r.DewF.Known)
}

// AC 00-45H (seen), 3.1.5.13.11, 3.1.5.13.12 and 3.1.5.13.31; FMH-1 12.7.1 and 12.7.2 (From memory: the numbers).
func TestRemarkExamplesOfTheManual(t *testing.T) {
	rain, snow := Group{Phenomena: [3]Phenomenon{Rain}}, Group{Phenomena: [3]Phenomenon{Snow}}
	at := func(hour, minute int) time.Time {
		return time.Date(2029, time.January, 1, hour, minute, 0, 0, time.UTC)
	}
	r := inRemarks(t, "010055", "RAB05E30SNB20E55")
	assert.Equal(t, []Event{{rain, true, at(0, 5)}, {rain, false, at(0, 30)}, {snow, true, at(0, 20)}, {snow, false, at(0, 55)}}, r.Events)
	rain.Descriptor, snow.Descriptor = Showers, Showers
	r = inRemarks(t, "010055", "SHRAB05E30SHSNB20E55")
	assert.Equal(t, []Event{{rain, true, at(0, 5)}, {rain, false, at(0, 30)}, {snow, true, at(0, 20)}, {snow, false, at(0, 55)}}, r.Events)
	rain.Descriptor, snow.Descriptor = NoDescriptor, NoDescriptor
	r = inRemarks(t, "010055", "RAESNB42")
	assert.Equal(t, []Event{{rain, false, at(0, 42)}, {snow, true, at(0, 42)}}, r.Events)
	storm := Group{Descriptor: Thunderstorm}
	r = inRemarks(t, "010255", "TSB0159E30")
	assert.Equal(t, []Event{{storm, true, at(1, 59)}, {storm, false, at(2, 30)}}, r.Events)

	r = inRemarks(t, "010055", "T00261015")
	assert.Equal(t, known(36.68), r.AirF) // 2.6 C
	assert.Equal(t, known(29.3), r.DewF)  // -1.5 C
}

// Values seen in real reports or in AFMAN 15-111 (2019): P0012, P0000, SNINCR 2/10, 60200, 70500, 4/020, I1nnn. From memory: the ice and
// amounts of FMH-1 12.7.2 as such.
func TestAmountsOfTheManual(t *testing.T) {
	assert.Equal(t, Amount{12, false, true}, inRemarks(t, "011751", "P0012").HourPrecip)
	assert.Equal(t, Amount{0, true, true}, inRemarks(t, "011751", "P0000").HourPrecip)
	assert.Equal(t, 0.12, inRemarks(t, "011751", "P0012").HourPrecip.In())
	r := inRemarks(t, "011751", "SNINCR 2/10")
	assert.Equal(t, [2]Reading{known(2), known(10)}, [2]Reading{r.SnowRiseIn, r.SnowDepthIn})
	assert.Equal(t, known(20), inRemarks(t, "011751", "SNINCR 2/10 4/020").SnowDepthIn)
	assert.Equal(t, known(20), inRemarks(t, "011751", "4/020 SNINCR 2/10").SnowDepthIn)
	for at, hours := range map[string]int{"010251": 3, "010851": 3, "011451": 3, "012051": 3, "012351": 6, "010551": 6, "011151": 6,
		"011751": 6,
		"010351": 0, "010300": 3, "010600": 6} {
		r := inRemarks(t, at, "60200 70500")
		assert.Equal(t, Amount{200, false, true}, r.SixPrecip)
		assert.Equal(t, hours, r.SixPrecipH, at)
		assert.Equal(t, Amount{500, false, true}, r.DayPrecip)
	}
	r = inRemarks(t, "011751", "I1000 I3012 I6025")
	assert.Equal(t, [3]Amount{{0, true, true}, {12, false, true}, {25, false, true}},
		[3]Amount{r.IceOneHour, r.IceThreeHours, r.IceSixHours})
	r = inRemarks(t, "011751", "P//// 6//// 7//// 4//// I1/// I6///")
	assert.Equal(t, [5]Amount{}, [5]Amount{r.HourPrecip, r.SixPrecip, r.DayPrecip, r.IceOneHour, r.IceSixHours})
	assert.False(t, r.SnowDepthIn.Known)
	assert.Zero(t, r.SixPrecipH)
}

// Two temperatures seen in real reports: T00061011 is 0.6 and -1.1 C, T11171150 is -11.7 and -15.0 C.
func TestTenthsOfRealReports(t *testing.T) {
	r := inRemarks(t, "011751", "T00061011")
	assert.Equal(t, [2]Reading{known(33.08), known(30.02)}, [2]Reading{r.AirF, r.DewF})
	r = inRemarks(t, "011751", "T11171150")
	assert.Equal(t, [2]Reading{known(10.94), known(5)}, [2]Reading{r.AirF, r.DewF})
}
