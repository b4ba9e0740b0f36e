package verdicts

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
)

// weighedAt copies rows with the rates that weighing gives: share of what was counted before storm number until, all after it.
func weighedAt(rows []LearningRow, share float64, until int64) []LearningRow {
	weighed := make([]LearningRow, len(rows))
	for i, row := range rows {
		weighed[i] = row
		if row.PriorStorms < until {
			weighed[i].Rate *= share
		}
	}
	return weighed
}

// TestVerdictIsHeldAgainstWeighedPounds: a verdict stands where weighed pounds say the same, with a caveat where too few were
// weighed, and not where they say otherwise.
func TestVerdictIsHeldAgainstWeighedPounds(t *testing.T) {
	level := givenRows(3, 12, 420, 0)
	// Counted as if rates fell by a fifth with each doubling of storms, though what was weighed did not.
	deceived := givenRows(3, 12, 420, 0)
	deceived.Corrected = deceived.Rows
	deceived.Rows = make([]LearningRow, len(level.Rows))
	for i, row := range level.Rows {
		deceived.Rows[i] = row
		deceived.Rows[i].Rate *= math.Pow(0.8, row.X)
	}
	same := givenRows(3, 12, 420, -0.1)
	same.Corrected = weighedAt(same.Rows, 0.95, math.MaxInt64)
	few := givenRows(3, 12, 420, -0.1)
	few.Corrected = few.Rows[:11]
	cases := []struct {
		name, verdict, reported, corrected string
		in                                 *LearningInput
	}{
		{"the same", "falling", rows.Falling, rows.Falling, same},
		{"11 of 72 rows weighed", "falling; " + rows.Unweighed, rows.Falling, rows.TooEarly, few},
		{"only the count falls", "depends on spreader settings", rows.Falling, "", deceived},
		{"too early", "too early", rows.TooEarly, rows.TooEarly, trimmed(givenRows(3, 12, 420, -0.1), 11)},
	}
	for _, one := range cases {
		t.Run(one.name, func(t *testing.T) {
			out := JudgeLearning(one.in)
			assert.Equal(t, one.verdict, out.Curve.Verdict.String())
			bases := learningBases(out)
			require.Len(t, bases, 2)
			assert.Equal(t, []string{basisCorrected, basisReported}, []string{bases[0].Basis, bases[1].Basis})
			assert.Equal(t, one.reported, bases[1].Verdict)
			if one.corrected != "" {
				assert.Equal(t, one.corrected, bases[0].Verdict)
			} else {
				assert.NotEqual(t, one.reported, bases[0].Verdict)
			}
		})
	}
}

// TestWeighedPoundsScaleTheCurve: where every load weighs 5 % less than counted the curve lies 5 % lower and changes as much.
func TestWeighedPoundsScaleTheCurve(t *testing.T) {
	in := givenRows(3, 12, 420, -0.1)
	in.Corrected = weighedAt(in.Rows, 0.95, math.MaxInt64)
	bases := learningBases(JudgeLearning(in))
	require.NotNil(t, bases[0].StartRate)
	assert.InEpsilon(t, 0.95**bases[1].StartRate, *bases[0].StartRate, 1e-6)
	assert.InDelta(t, *bases[1].ChangePct, *bases[0].ChangePct, 1e-4)
}
