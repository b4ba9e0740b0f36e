package district

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
)

func TestReadSettings(t *testing.T) {
	path := filepath.Join(t.TempDir(), "district.toml")
	text := `
name = "Three Forks"
time_zone = "America/Denver"
storm_gap_h = 8
learning_min_rows = 20
pounds_basis = "reported"
last_storm_date = "05-01"

[publish]
crew_labels = true
units = "metric"

[feeds.passes]
stale_h = 72
time_format = "MM/DD/YYYY hh:mm[:ss]"
[feeds.passes.columns]
began_at = "Start Time"
material_id = { value = "nacl" }
lanes = { value = 2 }
dispensed_lb = { from = "Kg out", unit = "kg" }

[budget."2028-29"]
acetate_usd = 250000
chloride_usd = 400000.5
[budget."2099-00"]
abrasive_usd = 0

[[damage_costs]]
name = "Bridges"
usd_per_ton = 600
material_class = "chloride"
source = "our engineer, 2028"

[feeds.weather.columns]
precip_in = { from = "rain", values = { "1e-04" = "T", "M" = "" } }
`
	require.NoError(t, os.WriteFile(path, []byte(text), 0o644))
	s, err := ReadSettings(path)
	require.NoError(t, err)
	assert.Equal(t, "Three Forks", s.Name)
	assert.Equal(t, "America/Denver", s.Location.String())
	assert.Equal(t, 8.0, s.StormGapH)
	assert.Equal(t, 20, s.LearningMinRows)
	assert.Equal(t, 12.0, s.PretreatH, "a key that is not given has its default")
	assert.Equal(t, "05-01", s.LastStormDate)
	assert.True(t, s.Publish.CrewLabels)
	assert.Equal(t, "reported", s.PoundsBasis)
	assert.Equal(t, UnitsMetric, s.Publish.Units)
	assert.Equal(t, []Budget{{"2028-29", "acetate", 250000}, {"2028-29", "chloride", 400000.5}, {"2099-00", "abrasive", 0}}, s.Budgets)
	assert.Equal(t, []DamageCost{{"Bridges", 600, "chloride", "our engineer, 2028"}}, s.DamageCosts)
	nacl, two := "nacl", "2"
	assert.Equal(t, map[string]contract.Mapping{
		"passes": {TimeFormat: "MM/DD/YYYY hh:mm[:ss]", Columns: map[string]contract.ColumnSource{
			"began_at": {From: "Start Time"}, "material_id": {Value: &nacl}, "lanes": {Value: &two},
			"dispensed_lb": {From: "Kg out", Unit: "kg"},
		}},
		"weather": {Columns: map[string]contract.ColumnSource{"precip_in": {From: "rain",
			Values: map[string]string{"1e-04": "T", "M": ""}}}},
	}, s.Feeds)
	assert.Equal(t, []FeedLimit{{"passes", 72}}, s.FeedLimits)
}

// The defaults of definitions, one by one.
func TestDefaultSettings(t *testing.T) {
	s, err := parseSettings("district.toml", DefaultDistrictTOML(`Say "so"`), usualClasses)
	require.NoError(t, err)
	assert.Equal(t, `Say "so"`, s.Name)
	assert.Empty(t, s.Feeds)
	assert.Equal(t, Publish{CrewPages: "own", Units: "us"}, s.Publish,
		"nothing about crews leaves the district by itself")
	assert.Equal(t, UnitsUS, s.Publish.Units)
	want := map[string]any{
		"time_zone": "UTC", "storm_gap_h": 6.0, "pretreat_h": 12.0, "pretreat_liquid_h": 48.0, "cleanup_h": 12.0, "cleanup_plow_h": 36.0,
		"round_gap_min": 120.0, "pass_gap_min": 10.0, "spread_gap_s": 60.0, "match_min": 0.6, "noise_m": 12.0, "off_network_m": 60.0,
		"wind_caution_mph": 20.0, "early_min": 60.0,
		"regain_cap_h": 48.0, "learning_min_lane_mi": 1.0, "learning_min_rows": 12.0,
		"learning_min_storms": 5.0, "season_storms": 25.0, "plan_storms": 40.0, "plan_margin": 0.1,
		"compare": "acetate", "beside": "chloride", "mixed_share": 0.1,
		"unmeasured_share": 0.1, "same_margin": 0.15,
		"compare_min_storms": 5.0, "bare_cap_h": 24.0, "service_margin_pct": 15.0, "not_bare_margin": 0.06,
		"pounds_basis": "weighed", "reconcile_weeks": 4.0, "reconcile_tolerance": 0.1, "density_min_tickets": 5.0,
		"calibration_days": 365.0, "outlook_draws": 10000.0, "last_storm_date": "04-15", "lead_days": 14.0, "stale_h": 36.0,
		"stuck_h":       12.0,
		"keep_releases": 14.0, "keep_logs": 90.0, "gate_drop_pct": 5.0, "gate_quarantine_pct": 20.0, "gate_rows_pct": 5.0,
		"quarantine_listed": 1000.0,
	}
	got := map[string]any{}
	for i, column := range RunColumns() {
		got[column] = s.RunValues()[i]
	}
	assert.Equal(t, want, got)
	onlyZone, err := parseSettings("district.toml", "time_zone = 'UTC'\n", usualClasses)
	require.NoError(t, err)
	onlyZone.Name = s.Name
	assert.Equal(t, s, onlyZone, "a written default is the default")
}

func TestSettingsFaults(t *testing.T) {
	cases := []struct{ text, want string }{
		{"time_zone = 'UTC'\n[budget.'2028-30']\nacetate_usd = 1\n",
			`district.toml:2: budget.2028-30: "2028-30" is not a season; write [budget."2028-29"] for 1 July 2028 to 30 June 2029`},
		{"time_zone = 'UTC'\n[budget.'2028-29']\nacetat_usd = 1\n",
			`district.toml:3: budget.2028-29.acetat_usd: "acetat_usd" is not a known key; did you mean "acetate_usd"?`},
		{"time_zone = 'UTC'\n[budget.'2028-29']\nacetate_usd = -1\n",
			`district.toml:3: budget.2028-29.acetate_usd: -1 is out of range; write a number from 0 to 1e+09 (US dollars)`},
		{"time_zone = 'UTC'\nbudget = 5\n", `district.toml:2: budget: 5 is not a table; write [budget] on a line of its own`},
		{"time_zone = 'UTC'\ndamage_costs = 5\n",
			`district.toml:2: damage_costs: 5 is not a list of tables; write [[damage_costs]] on a line of its own`},
		{"time_zone = 'UTC'\n[[damage_costs]]\nname = 'x'\nusd_per_ton = 1\nmaterial_class = 'chloride'\n",
			`district.toml:2: damage_costs: number 1 has no source; write it: a damage cost stands with its name, its amount, its ` +
				`class and its source`},
		{"time_zone = 'UTC'\n[[damage_costs]]\nname = 'x'\nusd_per_ton = 1\nmaterial_class = 'salt'\nsource = 'y'\n",
			`district.toml:5: damage_costs.material_class: "salt" is not a class; write one of acetate, chloride, abrasive`},
		{"time_zone = 'UTC'\n[[damage_costs]]\nname = 'x'\nusd_per_ton = 1\nmaterial_class = 'chloride'\nsource = ' '\n",
			`district.toml:6: damage_costs.source: " " is not a text; write it in quotes`},
		{"time_zone = 'UTC'\n[feeds.stock]\nstale_h = 0\n",
			`district.toml:3: feeds.stock.stale_h: 0 is out of range; write a number from 1 to 8760 (hours after which data or site ` +
				`are stale)`},
		{"time_zone = 'UTC'\nstorm_gap = 6\n", `district.toml:2: storm_gap: "storm_gap" is not a known key; did you mean "storm_gap_h"?`},
		{"time_zone = 'UTC'\n\nstorm_gap_h = 'six'\n",
			`district.toml:3: storm_gap_h: "six" is not a number; write a number from 0.5 to 48 (hours without wintry weather that end a ` +
				`storm)`},
		{"time_zone = 'UTC'\nstorm_gap_h = 480\n",
			`district.toml:2: storm_gap_h: 480 is out of range; write a number from 0.5 to 48 (hours without wintry weather that end a ` +
				`storm)`},
		{"time_zone = 'UTC'\nlead_days = nan\n",
			`district.toml:2: lead_days: NaN is not a number; write a number from 0 to 365 (days from an order of material to its ` +
				`delivery)`},
		{"time_zone = 'UTC'\nkeep_releases = 2.5\n", `district.toml:2: keep_releases: 2.5 is not a whole number; write one`},
		{"time_zone = 'UTC'\nname = 7\n", `district.toml:2: name: 7 is not a text; write it in quotes`},
		{"time_zone = 'UTC'\nlast_storm_date = '02-29'\n",
			`district.toml:2: last_storm_date: "02-29" is not a month and day; write MM-DD such as "04-15"`},
		{"time_zone = 'Mars/Olympus'\n",
			`district.toml:1: time_zone: "Mars/Olympus" is not a time zone of the tz database; write one such as "America/Denver"`},
		{"time_zone = 'Local'\n",
			`district.toml:1: time_zone: "Local" is not a time zone of the tz database; write one such as "America/Denver"`},
		{"name = 'A'\n", `district.toml: time_zone: no time zone; write one of the tz database such as time_zone = "America/Denver"`},
		{"time_zone = 'UTC'\n[publish]\ncrew_label = true\n",
			`district.toml:3: publish.crew_label: "crew_label" is not a known key; did you mean "crew_labels"?`},
		{"time_zone = 'UTC'\n[publish]\ncrew_pages = 'some'\n",
			`district.toml:3: publish.crew_pages: "some" is no choice of crew pages; write "own", "all" or "none"`},
		{"time_zone = 'UTC'\n[publish]\nraw_lines = 1\n",
			`district.toml:3: publish.raw_lines: 1 is neither true nor false; write true or false without quotes`},
		{"time_zone = 'UTC'\n[publish]\ncrew_labels = 'yes'\n",
			`district.toml:3: publish.crew_labels: "yes" is neither true nor false; write true or false without quotes`},
		{"time_zone = 'UTC'\npounds_basis = 'corrected'\n",
			`district.toml:2: pounds_basis: "corrected" is no choice of pounds; write "weighed" or "reported"`},
		{"time_zone = 'UTC'\npounds_basis = 1\n",
			`district.toml:2: pounds_basis: 1 is no choice of pounds; write "weighed" or "reported"`},
		{"time_zone = 'UTC'\n[publish]\nunits = 'si'\n",
			`district.toml:3: publish.units: "si" is no choice of units; write "us" or "metric"`},
		{"time_zone = 'UTC'\n[publish]\nraw_line = true\n",
			`district.toml:3: publish.raw_line: "raw_line" is not a known key; did you mean "raw_lines"?`},
		{"time_zone = 'UTC'\npublish = true\n", `district.toml:2: publish: true is not a table; write [publish] on a line of its own`},
		{"time_zone = 'UTC'\n[feeds.pases]\n", `district.toml:2: feeds.pases: "pases" is not a known key; did you mean "passes"?`},
		{"time_zone = 'UTC'\n[feeds.passes]\ntimeformat = 'hh'\n",
			`district.toml:3: feeds.passes.timeformat: "timeformat" is not a known key; did you mean "time_format"?`},
		{"time_zone = 'UTC'\n[feeds.passes]\ntime_format = '%Y'\n",
			`district.toml:3: feeds.passes.time_format: "%Y" is not a form of a time: "Y" is no part of a time; use YYYY MM DD hh mm ss, ` +
				`and AM, MMM or Z where needed; write one such as "MM/DD/YYYY hh:mm"`},
		{"time_zone = 'UTC'\n[feeds.passes.columns]\nbegan = 'Start'\n",
			`district.toml:3: feeds.passes.columns.began: "began" is not a known key; did you mean "began_at"?`},
		{"time_zone = 'UTC'\n[feeds.passes.columns]\nbegan_at = 5\n",
			`district.toml:3: feeds.passes.columns.began_at: 5 is neither a header nor a table; write "Header", { value = "..." } or { ` +
				`from = "Header", unit = "kg" }`},
		{"time_zone = 'UTC'\n[feeds.passes.columns]\nbegan_at = { }\n",
			`district.toml:3: feeds.passes.columns.began_at: a column needs either from or value; write { from = "Header" } or { value = ` +
				`"..." }`},
		{"time_zone = 'UTC'\n[feeds.passes.columns]\ndispensed_lb = { from = 'Kg', unit = 'km' }\n",
			`district.toml:3: feeds.passes.columns.dispensed_lb.unit: "km" is not a unit for this column (pound); write one of kg, lb, ` +
				`short ton, t`},
		{"time_zone = 'UTC'\n[feeds.passes.columns.note]\nfrm = 'Note'\nvalue = ''\n",
			`district.toml:3: feeds.passes.columns.note.frm: "frm" is not a known key; did you mean "from"?`},
		{"time_zone = 'UTC'\n\"feeds\".'weather'.columns.\"air_x\" = 'T'\n",
			`district.toml:2: feeds.weather.columns.air_x: "air_x" is not a known key; did you mean "air_f"?`},
	}
	for _, c := range cases {
		_, err := parseSettings("district.toml", c.text, usualClasses)
		var fault *SettingsFault
		require.ErrorAs(t, err, &fault, c.text)
		assert.Equal(t, c.want, fault.Error())
	}
}

func TestSettingsFaultsComeAllAtOnce(t *testing.T) {
	_, err := parseSettings("district.toml", "storm_gap_h = 0\nfoo = 1\n[publish]\nx = 1\n", usualClasses)
	var fault *SettingsFault
	require.ErrorAs(t, err, &fault)
	require.Len(t, fault.Faults, 4)
	assert.Equal(t, []int{0, 1, 2, 4}, []int{fault.Faults[0].Line, fault.Faults[1].Line, fault.Faults[2].Line, fault.Faults[3].Line})
}

func TestSettingsThatAreNoTOMLOrNotThere(t *testing.T) {
	_, err := parseSettings("district.toml", "time_zone = 'UTC'\nstorm_gap_h = = 6\n", usualClasses)
	var fault *SettingsFault
	require.ErrorAs(t, err, &fault)
	require.Len(t, fault.Faults, 1)
	assert.Equal(t, 2, fault.Faults[0].Line)
	_, err = ReadSettings(filepath.Join(t.TempDir(), "district.toml"))
	require.ErrorAs(t, err, &fault)
	assert.Contains(t, err.Error(), "lanetally new")
}

func TestNearest(t *testing.T) {
	assert.Equal(t, "kitten", contract.Nearest("sitting", []string{"kitten", "mitigate"}))
	assert.Equal(t, 3, contract.EditDistance("kitten", "sitting")) // textbook example: two letters replaced, one inserted
	assert.Equal(t, 4, contract.EditDistance("", "abcd"))
	assert.Empty(t, contract.Nearest("x", nil))
}

// Whatever the text, reading it ends with settings or with faults, each of them with words.
func FuzzSettings(f *testing.F) {
	f.Add(DefaultDistrictTOML("x"))
	f.Add("time_zone = 'UTC'\n[feeds.passes.columns]\nnote = { from = 'a', values = { b = 'c' } }\n")
	f.Add("[[feeds]]\na.b = 1\n\"\" = 2\n[feeds.'']\n")
	f.Fuzz(func(t *testing.T, text string) {
		s, err := parseSettings("district.toml", text, usualClasses)
		if err == nil {
			require.NotNil(t, s.Location)
			return
		}
		for _, line := range strings.Split(err.Error(), "\n") {
			require.NotEmpty(t, line)
		}
		var fault *SettingsFault
		require.ErrorAs(t, err, &fault)
		require.NotEmpty(t, fault.Faults)
	})
}
