package rows

import (
	"encoding/json"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func ptr[T any](x T) *T { return &x }

func TestSentencesInUSUnits(t *testing.T) {
	at := time.Date(2031, 2, 10, 6, 5, 0, 0, time.UTC)
	for want, f := range map[string]Finding{
		"24 lb per lane-mile on route R1: lanes or direction?": {Code: "pass_lanes", Amount: ptr(24.0), Unit: PoundPerLaneMile, Name: "R1"},
		"1 application in 2 rounds of chloride solid: lanes or direction?": {Code: "route_lanes", Amount: ptr(1.0), Unit: Count,
			Other: ptr(2.0), OtherUnit: Count,
			Name: "chloride", OtherName: "solid"},
		"1 row not counted: unknown truck": {Code: "set_aside_unread", Other: ptr(1.0), OtherUnit: Count,
			Name: "unknown_truck"},
		"no calibration with {name} on record: check and calibrate": {Code: "never_calibrated", Name: "{name}"},
		"air_f changes by over 20 F, to -4.0 F; it stands, because a neighbour agrees with it": {Code: "jump_stands", Amount: ptr(-4.0),
			Unit:  DegreeF,
			Other: ptr(20.0), OtherUnit: DifferenceDegreeF, Name: "air_f"},
		"2 reports lie over 1 h after everything else that was delivered (2031-02-10T06:05Z); the station's clock is wrong, or the " +
			"other deliveries are late": {
			Code: "clock_ahead", Amount: ptr(2.0), Unit: Count, FromAt: &at},
		"time: sheet: 06:05 to 06:05; positions: 06:05 to 06:05 on route R1: both count": {Code: "sheet_time", Name: "R1", FromAt: &at,
			ToAt:        &at,
			OtherFromAt: &at, OtherToAt: &at},
		"– lb of – at the lowest by the book: check tickets, deliveries and the last count": {Code: "negative_stock", Unit: Pound},
		"": {Code: "of another version"},
	} {
		assert.Equal(t, want, f.Sentence(US{}))
	}
}

// Every code has words of its own, every place of the words has a name that is filled, and kinds of one name stand together.
func TestTheTableOfFindings(t *testing.T) {
	at := time.Date(2031, 2, 10, 6, 5, 0, 0, time.UTC)
	codes, kinds := map[string]bool{}, map[string]bool{}
	require.Greater(t, len(table), 110)
	for i, w := range table {
		assert.False(t, codes[w.code], w.code)
		assert.Regexp(t, `^[a-z_0-9]+(\.[a-z_]+)?$`, w.code)
		assert.NotEmpty(t, w.kind, w.code)
		if i == 0 || table[i-1].kind != w.kind {
			assert.False(t, kinds[w.kind], "%s: %s stands elsewhere too", w.code, w.kind)
		}
		codes[w.code], kinds[w.kind] = true, true
		assert.NotRegexp(t, `crew \{(other_)?name\}`, w.text, "%s: a crew is marked as one", w.code)
		sentence := Fault{"a column", w.code, "a cell", "a rule"}.Text()
		if !regexp.MustCompile(`\{(found|wanted|column)`).MatchString(w.kind + w.text) {
			sentence = Finding{w.code, ptr(2.0), Pound, ptr(3.0), Count, ptr(4.0), ptr(5.0), "unknown_truck", "another", &at, &at, &at,
				&at}.Sentence(US{}) + w.remedy
		}
		assert.NotEqual(t, strings.HasPrefix(w.code, "weak_") && w.code != "weak_passes", sentence != "", w.code)
		assert.NotRegexp(t, `[{}|–]`, sentence, w.code)
	}
	assert.Less(t, KindPlace("set aside"), KindPlace("open storm"))
	assert.Equal(t, len(table), KindPlace("of another version"))
}

func TestFindingsWithoutCrews(t *testing.T) {
	f := Finding{Code: "sheet_crew", Name: "c1", OtherName: "c2;c3"}
	assert.Equal(t, "crew: sheet: crew c1; positions: c2;c3", f.Sentence(US{}))
	assert.Equal(t, "crew: sheet: crew –; positions: –", f.WithoutCrews().Sentence(US{}))
	route := Finding{Code: "sheet_route", Name: "R1", OtherName: "R2"}
	assert.Equal(t, route, route.WithoutCrews())
}

// What is published of a fault has no place for what was delivered.
func TestPublishedWordsHaveNoPlaceForCells(t *testing.T) {
	byCode := map[string]CodeWords{}
	for _, w := range AllCodeWords() {
		assert.NotContains(t, w.PublicReason+w.PublicRemedy, "{found", w.Code)
		byCode[w.Code] = w
	}
	assert.Equal(t, CodeWords{"outside_route", "outside the route",
		"{column} {found} is over 0.5 mi outside {wanted}; correct the row, or the route in reference/routes.csv", "outside the route",
		"{column} of the row is over 0.5 mi outside its route; correct the row, or the route in reference/routes.csv"},
		byCode["outside_route"])
	f := Fault{"from_mi", "outside_route", "{wanted}", "route R1 (0 to 10)"}
	assert.Equal(t, "outside the route; from_mi {wanted} is over 0.5 mi outside route R1 (0 to 10); correct the row, or the route in "+
		"reference/routes.csv", f.Text())
}

// A cause is known again by the words that a version before remembered it by: printf 'pounds fell|2027-28 1000.0' | sha256sum.
func TestCausesOfTheGate(t *testing.T) {
	c := GateCause{Subject: "2027-28 1000.0", Finding: Finding{Code: "gate_pounds_fell", Amount: ptr(1000.0), Unit: Pound,
		Other: ptr(100.0), OtherUnit: Pound, Third: ptr(500.0), SharePct: ptr(90.0), Name: "2027-28"}}.Worded()
	assert.Equal(t, "pounds fell", c.Kind)
	assert.Equal(t, "6d83bd414380", c.Hash)
	assert.Equal(t, "season 2027-28 fell from 1000 to 100 lb, 90.0 %, of which corrections and changed reference rows explain 500 lb",
		c.Found)
	assert.Equal(t, "look for a pass delivery that was replaced by a shorter one, and for its column mapping in district.toml", c.Remedy)
	line, err := json.Marshal(Acceptance{Reason: "mended", GateCause: c})
	require.NoError(t, err)
	var back Acceptance
	require.NoError(t, json.Unmarshal(line, &back))
	assert.Equal(t, c.Found, back.FoundIn(US{}))
	back = Acceptance{}
	require.NoError(t, json.Unmarshal([]byte(`{"hash":"ab","kind":"pounds fell","found":"as written"}`), &back))
	assert.Equal(t, "as written", back.FoundIn(US{}))
}
