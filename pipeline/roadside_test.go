package pipeline

import (
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/metar"
)

func openRoadside(t *testing.T) *testDistrict {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(filepath.Join(repoRoot, "testdata", "roadside"))))
	settings, err := district.ReadSettings(filepath.Join(dir, "district.toml"))
	require.NoError(t, err)
	reference, err := district.ReadReference(dir, settings)
	require.NoError(t, err)
	d := &testDistrict{t: t, dir: dir, settings: settings, ledger: openTestLedger(t)}
	require.NoError(t, district.LoadRun(t.Context(), d.ledger, settings))
	require.NoError(t, district.LoadReference(t.Context(), d.ledger, reference))
	return d
}

// TestRoadsideStations: C to F by 9/5 + 32, m/s to mph by 3600/1609.344, km and mm by the exact mile and inch (NIST SP 811). The lowest of
// the surface sensors that report: -0.5 of 1.5 and -0.5; -1 beside an empty one; none where both say 100.1, their word for missing.
func TestRoadsideStations(t *testing.T) {
	d := openRoadside(t)
	summary := d.night()
	assert.Empty(t, summary.Rejected)
	assert.Empty(t, summary.Unknown)
	assert.Equal(t, []string{
		"mast-1|2028-01-10 12:00:00+00|28.4|31.1|11.185|5.0|0.0|",
		"mast-1|2028-01-10 13:00:00+00|26.6|30.2|22.369|1.0|0.1|SN",
		"mast-1|2028-01-10 14:00:00+00|26.6|28.4|22.369|2.0|0.05|-SN",
		"mast-2|2028-01-10 13:00:00+00|26.6||22.369|1.0|0.1|-PL",
	}, d.rows("select station_id, observed_at, round(air_f, 3), round(surface_f, 3), round(wind_mph, 3), round(visibility_mi, 3), "+
		"round(precip_in, 4), present_wx from observations"))
	assert.Equal(t, []string{
		"b.csv|3|present_wx|not present weather",
		"b.csv|4|surface_f|not a number",
	}, d.rows(`select file, line, "column", reason from quarantine`))
}

// TestRoadsideWords: each of the 15 precipitation situations of NTCIP 1204 (objects essPrecipSituation; the names of the words from memory)
// is mapped, and to what decodes.
func TestRoadsideWords(t *testing.T) {
	words := openRoadside(t).settings.Feeds["weather"].Columns["present_wx"].Values
	assert.Len(t, words, 15)
	for word, groups := range words {
		_, err := metar.DecodePresentWeather(groups)
		assert.NoError(t, err, word)
	}
	for _, kind := range []string{"unidentified", "snow", "rain", "frozenPrecipitation"} {
		for _, strength := range []string{"Slight", "Moderate", "Heavy"} {
			assert.NotEmpty(t, words[kind+strength], kind+strength)
		}
	}
}

// TestSeveralSensors: faults of a mapping that names several headers.
func TestSeveralSensors(t *testing.T) {
	for text, want := range map[string]string{
		`surface_f = { from = [] }`:               "no header",
		`surface_f = { from = ["A", "A"] }`:       `"A" is not another header`,
		`surface_f = { from = ["A", 1] }`:         "1 is not another header",
		`present_wx = { from = ["A", "B"] }`:      "holds no number",
		`surface_f = { from = ["A"], value = 1 }`: "needs either from or value",
	} {
		path := filepath.Join(t.TempDir(), "district.toml")
		require.NoError(t, os.WriteFile(path, []byte("time_zone = \"UTC\"\n[feeds.weather.columns]\n"+text+"\n"), 0o644))
		_, err := district.ReadSettings(path)
		assert.ErrorContains(t, err, want, text)
	}
	promised, err := contract.LoadContract("feeds", "weather")
	require.NoError(t, err)
	mapping := contract.Mapping{Columns: map[string]contract.ColumnSource{"surface_f": {FromLowest: []string{"A", "B"}}}}
	_, fault := contract.NewRowParser(promised, mapping, nil, []string{"station_id", "observed_at", "A", "b"})
	require.NotNil(t, fault)
	assert.Contains(t, fault.Remedy(), `the header has no "B"`)
}
