package metar

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// flagsOf writes the flags that are set as letters: A any temperature, C cold frozen, L cold precipitation, P precipitation, S snow,
// E sleet, F freezing, R rain, B blowing snow.
func flagsOf(w PresentWeather) string {
	var b strings.Builder
	for i, is := range []bool{w.IsFrozenAnyTemp, w.IsFrozenCold, w.IsColdPrecip, w.HasPrecip, w.HasSnow, w.HasSleet, w.HasFreezing,
		w.HasRain, w.HasBlowingSnow} {
		if is {
			b.WriteByte("ACLPSEFRB"[i])
		}
	}
	return b.String()
}

// Expectations worked by hand from the rules of the methods page, "Is an observation wintry?".
func TestFlagsOfPresentWeather(t *testing.T) {
	for _, c := range []struct{ text, flags string }{
		{"", ""}, {"  ", ""}, {"NSW", ""}, {"//", ""},
		// Rule 1: snow without rain in its group, at any temperature.
		{"SN", "APS"}, {"-SN", "APS"}, {"+SN", "APS"}, {"-SHSN", "APS"}, {"TSSN", "APS"}, {"+TSSN FG", "APS"}, {"SN FZFG", "APS"},
		{"-SN BR", "APS"}, {"-SN BLSN", "APSB"}, {"SNPL", "ACPSE"}, {"SNSG", "ACPS"}, {"-SNDZ", "ALPSR"}, {"SNIC", "APS"},
		// Rule 1: frozen at 40 F and below.
		{"SG", "CPS"}, {"PL", "CPE"}, {"PE", "CPE"}, {"GS", "CPS"}, {"SHPL", "CPE"}, {"-SHGS", "CPS"}, {"RASN", "CLPSR"},
		{"-SNRA", "CLPSR"}, {"SHRASN", "CLPSR"}, {"RAPL", "CLPER"}, {"PLRA", "CLPER"}, {"RASNPL", "CLPSER"},
		// Group by group: rain and snow in two groups are snow without rain, and rain.
		{"-RA SN", "ALPSR"}, {"SN RASN", "ACLPSR"}, {"PL SN", "ACPSE"},
		// Rule 1: freezing rain and drizzle, at any temperature; all liquid of the group freezes.
		{"FZRA", "APF"}, {"-FZDZ", "APF"}, {"+FZRA BR", "APF"}, {"FZRADZ", "APF"}, {"FZRASN", "ACPSF"}, {"FZRAPLSN", "ACPSEF"},
		{"-FZDZSN", "APSF"}, {"FZRA RA", "ALPFR"},
		// Rule 2: wintry at 32 F and below.
		{"RA", "LPR"}, {"-DZ", "LPR"}, {"RADZ", "LPR"}, {"GR", "LP"}, {"UP", "LP"}, {"TSRA", "LPR"}, {"TSGR", "LP"}, {"+TSRAGR", "LPR"},
		{"FZUP", "LP"}, {"SHRA", "LPR"}, {"UPSN", "ALPS"},
		// Rule 3 is for no precipitation group at all; ice crystals are one, and nothing else.
		{"IC", "P"}, {"IC BLSN", "PB"},
		// Blown and drifting snow is no precipitation; only blowing snow keeps a storm open.
		{"BLSN", "B"}, {"+BLSN", "B"}, {"DRSN", ""}, {"BLDU", ""}, {"BLPY", ""}, {"-SN DRSN", "APS"},
		// In the vicinity nothing counts.
		{"VCSH", ""}, {"VCTS", ""}, {"VCBLSN", ""}, {"VCFG", ""}, {"VCSN", ""}, {"VCFZRA", ""}, {"-RA VCSH", "LPR"},
		// Obscurations and others.
		{"BR", ""}, {"FZFG", ""}, {"MIFG", ""}, {"PRFG", ""}, {"BCFG", ""}, {"HZ", ""}, {"FU", ""}, {"VA", ""}, {"DU", ""}, {"SA", ""},
		{"PO", ""}, {"SQ", ""}, {"FC", ""}, {"+FC", ""}, {"SS", ""}, {"+DS", ""}, {"TS", ""},
	} {
		w, err := DecodePresentWeather(c.text)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.flags, flagsOf(w), c.text)
	}
}

func TestGroupsOfPresentWeather(t *testing.T) {
	w, err := DecodePresentWeather(" -FZRAPLSN  VCSH\tBLSN // ")
	require.NoError(t, err)
	assert.Equal(t, []Group{
		{Light, Freezing, [3]Phenomenon{Rain, IcePellets, Snow}},
		{Vicinity, Showers, [3]Phenomenon{}},
		{Moderate, Blowing, [3]Phenomenon{Snow}},
	}, w.Groups)
	assert.Equal(t, "-FZRAPLSN VCSH BLSN", w.String())
}

func TestPresentWeatherThatDoesNotDecode(t *testing.T) {
	for _, c := range []struct{ text, group string }{
		{"-SN snow", "snow"}, {"SNX", "SNX"}, {"XX", "XX"}, {"SN-", "SN-"}, {"-", "-"}, {"+", "+"}, {"VC", "VC"}, {"-VCSH", "-VCSH"},
		{"--SN", "--SN"}, {"SNSN", "SNSN"}, {"RASNPLSG", "RASNPLSG"}, {"FZ", "FZ"}, {"BL SN", "BL"}, {"SH", "SH"}, {"SNFZ", "SNFZ"},
		{"FZTSRA", "FZTSRA"}, {"sn", "sn"}, {"SN,RA", "SN,RA"}, {"RESN", "RESN"}, {"/", "/"}, {"VCVCSH", "VCVCSH"}, {"é", "é"},
		{"0", "0"}, {"SN 10SM", "10SM"}, {"-SN BR FOG", "FOG"},
	} {
		w, err := DecodePresentWeather(c.text)
		var fault *GroupError
		require.ErrorAs(t, err, &fault, c.text)
		assert.Equal(t, c.group, fault.Group, c.text)
		assert.Contains(t, err.Error(), c.group)
		assert.Equal(t, PresentWeather{}, w, c.text)
	}
}

// drawGroup draws any group that can be written.
func drawGroup(t *rapid.T) Group {
	g := Group{
		Intensity:  Intensity(rapid.IntRange(0, int(Vicinity)).Draw(t, "intensity")),
		Descriptor: Descriptor(rapid.IntRange(0, int(Freezing)).Draw(t, "descriptor")),
	}
	phenomena := rapid.SliceOfNDistinct(rapid.IntRange(int(Drizzle), int(Duststorm)), 1, maxPhenomena, rapid.ID[int]).Draw(t, "phenomena")
	for i, p := range phenomena {
		g.Phenomena[i] = Phenomenon(p)
	}
	return g
}

func TestPresentWeatherProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		groups := rapid.SliceOfN(rapid.Custom(drawGroup), 1, 4).Draw(t, "groups")
		w, err := DecodePresentWeather(PresentWeather{Groups: groups}.String())
		require.NoError(t, err)
		assert.Equal(t, groups, w.Groups, "what is written is read back")

		var flags [9]bool
		for _, g := range groups {
			one, err := DecodePresentWeather(g.String())
			require.NoError(t, err)
			for i, letter := range "ACLPSEFRB" {
				flags[i] = flags[i] || strings.ContainsRune(flagsOf(one), letter)
			}
			if g.Intensity == Vicinity {
				assert.Empty(t, flagsOf(one), "vicinity")
			}
			if g.Descriptor == Blowing || g.Descriptor == LowDrifting {
				assert.False(t, one.HasPrecip, "blown")
			}
		}
		for i, letter := range "ACLPSEFRB" {
			assert.Equal(t, flags[i], strings.ContainsRune(flagsOf(w), letter), "a flag is set when one of the groups sets it")
		}
		assertConsistent(t, w)
	})
}

// assertConsistent holds what must be true of any decoded weather.
func assertConsistent(t assert.TestingT, w PresentWeather) {
	isAny := w.IsFrozenAnyTemp || w.IsFrozenCold || w.IsColdPrecip || w.HasSnow || w.HasSleet || w.HasFreezing || w.HasRain
	assert.True(t, w.HasPrecip || !isAny, "a kind of precipitation without precipitation")
	assert.True(t, !w.HasSnow && !w.HasSleet && !w.HasFreezing || w.IsFrozenAnyTemp || w.IsFrozenCold, "frozen kind, not frozen")
	assert.True(t, !w.HasRain || w.IsColdPrecip, "rain that is not cold precipitation")
}

func FuzzDecodePresentWeather(f *testing.F) {
	for _, text := range []string{"-SN BR", "FZRAPLSN", "VCSH //", "NSW", "PE", "+TSRAGR BLSN", "SNSN", "\x00", "é SN"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		w, err := DecodePresentWeather(text)
		if err != nil {
			var fault *GroupError
			require.ErrorAs(t, err, &fault)
			require.Contains(t, text, fault.Group)
			return
		}
		assertConsistent(t, w)
		again, err := DecodePresentWeather(w.String())
		require.NoError(t, err)
		require.Equal(t, w, again)
	})
}
