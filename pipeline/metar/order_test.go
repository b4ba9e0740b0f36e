package metar

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const (
	whole  = " 27010KT 10SM CLR M01/M02"
	cutOff = " 27010KT 3/4SM RVRNO"
)

func decodeAll(t *testing.T, lines ...string) []Report {
	var reports []Report
	for _, line := range lines {
		r, err := Decode(line, january)
		require.NoError(t, err, line)
		reports = append(reports, r)
	}
	return reports
}

func TestStandings(t *testing.T) {
	const other = "METAR XAAA 011651Z" + whole
	for _, c := range []struct {
		name  string
		lines []string
		want  []Standing
	}{
		{"one a minute", []string{other, "METAR XAAA 011751Z" + whole}, []Standing{InForce, InForce}},
		{"the later of equals", []string{other, "METAR XAAA 011751Z" + whole, "METAR XAAA 011751Z" + whole}, []Standing{InForce, Superseded, InForce}},
		{"routine over special, whichever comes first", []string{"METAR XAAA 011751Z" + whole, "SPECI XAAA 011751Z" + whole, other,
			"SPECI XAAA 011651Z" + whole}, []Standing{InForce, Superseded, InForce, Superseded}},
		{"a corrected special over a routine report", []string{"SPECI XAAA 011751Z COR" + whole, "METAR XAAA 011751Z" + whole},
			[]Standing{InForce, Superseded}},
		{"the later correction", []string{"METAR XAAA 011751Z CCA" + whole, "METAR XAAA 011751Z CCB" + whole, "METAR XAAA 011751Z" + whole},
			[]Standing{Superseded, InForce, Superseded}},
		{"unstated is routine", []string{"SPECI XAAA 011751Z" + whole, "XAAA 011751Z" + whole}, []Standing{Superseded, InForce}},
		{"a whole special over a routine report cut off", []string{other, "SPECI XAAA 011751Z" + whole, "METAR XAAA 011751Z" + cutOff},
			[]Standing{InForce, InForce, Truncated}},
		{"a correction cut off corrects nothing", []string{other, "METAR XAAA 011751Z" + whole, "METAR XAAA 011751Z COR" + cutOff},
			[]Standing{InForce, InForce, Truncated}},
		{"a station that never reports a temperature", []string{"METAR XAAA 011651Z" + cutOff, "METAR XAAA 011751Z" + cutOff},
			[]Standing{InForce, InForce}},
		{"no observation", []string{other, "METAR XAAA 011751Z NIL="}, []Standing{InForce, InForce}}, // one of two: no group is usual
		{"none", nil, []Standing{}},
	} {
		assert.Equal(t, c.want, Standings(decodeAll(t, c.lines...)), c.name)
	}
}

func TestMissingGroups(t *testing.T) {
	reports := decodeAll(t, "METAR XAAA 011651Z"+whole, "METAR XAAA 011751Z"+whole, "METAR XAAA 011851Z"+cutOff, "METAR XAAA 011951Z NIL",
		"METAR XAAA 012051Z /////KT //// /////")
	usual := UsualGroups(reports)
	assert.Equal(t, Wind|Visibility|Temperature, usual)
	assert.Equal(t, "temperature", reports[2].Missing(usual).String())
	assert.Equal(t, "wind, visibility, temperature", reports[3].Missing(usual).String())
	assert.Zero(t, reports[4].Missing(usual), "a sensor that is out is no cut-off report")
}

// TestRealPairOfOneMinute: at 17:51Z on 18 January 2014 the special is whole, with snow, and the routine report is cut off after the
// visibility. The routine report would win by rank; but it is truncated, so the special stands and the snow is not lost.
func TestRealPairOfOneMinute(t *testing.T) {
	reports := airportReports(t)
	standings := Standings(reports)
	var pair []int
	truncated := 0
	for i := range reports {
		if reports[i].ObservedAt.Format("02 15:04") == "18 17:51" {
			pair = append(pair, i)
		}
		if standings[i] == Truncated {
			truncated++
		}
	}
	require.Len(t, pair, 2)
	assert.Equal(t, [2]Kind{Special, Routine}, [2]Kind{reports[pair[0]].Kind, reports[pair[1]].Kind})
	assert.Equal(t, [2]Standing{InForce, Truncated}, [2]Standing{standings[pair[0]], standings[pair[1]]})
	assert.Equal(t, "-SN", reports[pair[0]].PresentWx())
	assert.Equal(t, known(1), reports[pair[0]].SnowDepthIn)
	assert.Equal(t, Temperature, reports[pair[1]].Missing(UsualGroups(reports)))
	assert.Equal(t, 10, truncated, "as counted with grep: 11 lines without a temperature, one of which does not decode")
}
