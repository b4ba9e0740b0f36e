package rows

import (
	"regexp"
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
		"1 row not counted: {name} stays": {Code: "set_aside_unread", Other: ptr(1.0), OtherUnit: Count, Name: "{name} stays"},
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
	require.Greater(t, len(table), 40)
	for i, w := range table {
		assert.False(t, codes[w.code], w.code)
		assert.Regexp(t, `^[a-z_]+$`, w.code)
		assert.NotEmpty(t, w.kind, w.code)
		if i == 0 || table[i-1].kind != w.kind {
			assert.False(t, kinds[w.kind], "%s: %s stands elsewhere too", w.code, w.kind)
		}
		codes[w.code], kinds[w.kind] = true, true
		full := Finding{w.code, ptr(2.0), Pound, ptr(3.0), Count, ptr(5.0), "a name", "another", &at, &at, &at, &at}
		sentence := full.Sentence(US{})
		assert.NotEmpty(t, sentence, w.code)
		assert.NotRegexp(t, regexp.MustCompile(`[{}|–]`), sentence, w.code)
	}
	assert.Less(t, KindPlace("set aside"), KindPlace("open storm"))
	assert.Equal(t, len(table), KindPlace("of another version"))
}
