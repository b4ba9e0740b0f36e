package verdicts

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// Margins of 15 % and 0.06. Not bare is a difference of shares.
func TestJudgeRoads(t *testing.T) {
	s := district.DefaultSettings()
	share := func(low, high float64) *stats.Estimate {
		return &stats.Estimate{Value: (low + high) / 2, Low: low, High: high}
	}
	for _, one := range []struct {
		name     string
		hours    *LearningEstimate
		notBare  *stats.Estimate
		reported bool
		want     string
	}{
		{"within both", logInterval(0.9, 1.1499), share(-0.02, 0.06), true, "no worse"},
		{"hours over the margin", logInterval(0.9, 1.16), share(-0.02, 0.05), true, "not known"},
		{"shares over the margin", logInterval(0.9, 1.1), share(-0.02, 0.061), true, "not known"},
		{"few reports", logInterval(0.9, 1.1), share(-0.02, 0.05), false, "not known"},
		{"later, though within the margin", logInterval(1.01, 1.1), share(-0.02, 0.05), true, "worse"},
		{"more often never bare", logInterval(0.9, 1.1), share(0.001, 0.05), true, "worse"},
		{"worse even with few reports", logInterval(1.01, 1.1), nil, false, "worse"},
		{"no hours", nil, share(-0.02, 0.05), true, "not known"},
		{"no shares", logInterval(0.9, 1.1), nil, true, "not known"},
	} {
		assert.Equal(t, one.want, judgeRoads(one.hours, one.notBare, one.reported, s), one.name)
	}
}

// Three storms; acetate 1 of 4, 0 of 4, 1 of 2; chloride 0 of 5, 1 of 5, 0 of 6. Smoothed 3/12 and 2/18: difference 5/36. Left out in
// turn: 2/8 - 2/13, 3/8 - 1/13, 2/10 - 2/12. Binomial: 3/12 x 9/12 / 12 + 2/18 x 16/18 / 18.
func TestNotBareDiffByHand(t *testing.T) {
	storms := []bareCounts{{[2]int{1, 0}, [2]int{4, 5}}, {[2]int{0, 1}, [2]int{4, 5}}, {[2]int{1, 0}, [2]int{2, 6}}}
	got := notBareDiff(storms)
	require.NotNil(t, got)
	assert.InDelta(t, 5.0/36, got.Value, 1e-12)
	left := []float64{2.0/8 - 2.0/13, 3.0/8 - 1.0/13, 2.0/10 - 2.0/12}
	mean := (left[0] + left[1] + left[2]) / 3
	squares := 0.0
	for _, value := range left {
		squares += (value - mean) * (value - mean)
	}
	se := math.Max(math.Sqrt(2.0/3*squares), math.Sqrt(3.0/12*9/12/12+2.0/18*16/18/18))
	assert.InDelta(t, 5.0/36+2.91998558*se, got.High, 1e-7, "t(0.95, 2) (R: qt)")
	assert.Nil(t, notBareDiff(storms[:1]), "one storm")
	assert.Nil(t, notBareDiff([]bareCounts{{[2]int{0, 1}, [2]int{0, 5}}, {[2]int{0, 1}, [2]int{0, 5}}}), "no acetate")
	// All bare: the jackknife sees no spread, the binomial error of the smoothed shares stands.
	bare := notBareDiff([]bareCounts{{[2]int{}, [2]int{10, 10}}, {[2]int{}, [2]int{10, 10}}})
	assert.InDelta(t, 6.31375151*math.Sqrt(2*(1.0/22*21/22/22)), bare.High, 1e-7, "t(0.95, 1)")
}

// TestBareCountsBeginWithAcetate: the winter before acetate counts nowhere; rows without reports count in the share reported alone.
func TestBareCountsBeginWithAcetate(t *testing.T) {
	row := func(season, storm string, day int, isAcetate bool, bare *bool) BesideSaltRow {
		return BesideSaltRow{Season: season, StormID: storm, IsAcetate: isAcetate, IsBareInCap: bare,
			StormDate: time.Date(2029, 1, day, 0, 0, 0, 0, time.UTC)}
	}
	hours := []BesideSaltRow{row("a", "s1", 1, false, new(false)), row("b", "s2", 2, false, new(false)), row("b", "s2", 2, true, new(true)),
		row("b", "s3", 3, true, nil), row("b", "s3", 3, false, new(true)), row("b", "s3", 3, true, new(false))}
	assert.Equal(t, []bareCounts{{[2]int{0, 1}, [2]int{1, 1}}, {[2]int{1, 0}, [2]int{1, 1}}}, countBare(hours))
	assert.Empty(t, countBare(hours[:2]))
	shares := reportedShares(hours, "b")
	assert.InDelta(t, 2.0/3, *shares[0], 1e-12)
	assert.Equal(t, 1.0, *shares[1])
	isReported := func(shares [2]*float64) bool {
		return rows.SeasonVerdicts{AcetateReportedShare: shares[0], ChlorideReportedShare: shares[1]}.IsReported()
	}
	assert.False(t, isReported(shares))
	assert.True(t, isReported([2]*float64{new(0.8), new(1.0)}))
	assert.False(t, isReported(reportedShares(hours, rows.NotYetKnown)))
}
