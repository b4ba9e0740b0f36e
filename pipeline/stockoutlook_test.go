package pipeline

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/verdicts"
)

func day(t *testing.T, text string) time.Time {
	t.Helper()
	at, err := time.Parse(time.DateOnly, text)
	require.NoError(t, err)
	return at
}

// TestUsesAt: the smallest use that a share of the draws does not exceed, by hand.
func TestUsesAt(t *testing.T) {
	ten := make([]verdicts.WeightedUse, 10)
	for i := range ten {
		ten[i] = verdicts.WeightedUse{UseULb: int64(10 - i), Weight: 1} // 10, 9, ... 1
	}
	assert.Equal(t, []int64{1, 5, 9}, verdicts.UsesAt(ten, 0.1, 0.5, 0.9))
	assert.Equal(t, []int64{2, 6, 10}, verdicts.UsesAt(ten, 0.11, 0.51, 0.91))
	// 30 of 100 draws are 7, 70 are 40; a path that no draw took counts nowhere.
	assert.Equal(t, []int64{7, 40, 40}, verdicts.UsesAt([]verdicts.WeightedUse{{UseULb: 40, Weight: 70}, {UseULb: 1, Weight: 0},
		{UseULb: 7, Weight: 30}}, 0.3, 0.31, 0.9))
	assert.Equal(t, []int64{0, 0, 0}, verdicts.UsesAt([]verdicts.WeightedUse{{UseULb: 0, Weight: 5}}, 0.1, 0.5, 0.9))
}

// certain is a district whose three past seasons all went the same way, so that every draw does: 100 lb on day 10, 300 lb on day 30.
func certain(t *testing.T, onHandLb float64) *verdicts.OutlookInput {
	onHand := int64(onHandLb * 1e6)
	uses := []verdicts.DayUse{{Day: 10, UseULb: 100_000_000}, {Day: 30, UseULb: 300_000_000}}
	return &verdicts.OutlookInput{MaterialID: "salt", AsOf: day(t, "2029-01-10"), LastStorm: day(t, "2029-04-15"),
		SeasonEnd: day(t, "2029-06-30"),
		Opened:    day(t, "2028-11-01"), Seasons: [][]verdicts.DayUse{uses, uses, uses}, OnHandULb: &onHand, Draws: 1000, LeadDays: 14}
}

// TestOrderByDate works the day out by hand. A delivery takes 14 days: ordered on day d it serves use after d + 14, so the use in (d, d +
// 14]
// must be covered by what is left after day d.
func TestOrderByDate(t *testing.T) {
	cases := []struct {
		name     string
		onHandLb float64
		orderDay int
	}{
		{"exactly enough", 400, -1},   // day 16: the 300 lb of day 30 come into the lead time; 400 - 100 = 300 are left, not exceeded
		{"a pound short", 399, 16},    // 300 > 299 from day 16 on; on day 15 the lead time ends on day 29
		{"enough for neither", 99, 0}, // on day 0 the lead time holds day 10: 100 > 99
		{"the first use is covered", 100, 16},
		{"nothing on hand", 0, 0},
	}
	for _, one := range cases {
		t.Run(one.name, func(t *testing.T) {
			out := verdicts.DrawOutlook(certain(t, one.onHandLb))
			assert.Equal(t, one.orderDay, out.OrderDay)
			assert.Equal(t, [3]int64{400_000_000, 400_000_000, 400_000_000}, out.NeedULb)
			assert.Equal(t, "3 past seasons", out.Basis)
		})
	}
	uncounted := certain(t, 0)
	uncounted.OnHandULb = nil
	out := verdicts.DrawOutlook(uncounted)
	assert.Equal(t, -1, out.OrderDay)
	row := out.Row(uncounted)
	assert.Nil(t, row.OnHandLb)
	assert.Nil(t, row.OrderByDate)
	assert.Empty(t, out.FanRows(uncounted))
	require.NotNil(t, row.NeedP50Lb)
	assert.Equal(t, 400.0, *row.NeedP50Lb)
}

// TestFanFallsFromTheStock: the chart begins with what is on hand, ends with the season, falls, and nine draws in ten leave more than its
// low edge.
func TestFanFallsFromTheStock(t *testing.T) {
	in := certain(t, 1000)
	in.Seasons[1], in.Seasons[2] = []verdicts.DayUse{{Day: 5, UseULb: 50_000_000}}, []verdicts.DayUse{{Day: 100, UseULb: 700_000_000}}
	out := verdicts.DrawOutlook(in)
	list := out.FanRows(in)
	require.Greater(t, len(list), 20)
	all := 1000.0
	assert.Equal(t, rows.StockFan{MaterialID: "salt", Date: in.AsOf, LeftP10Lb: &all, LeftP50Lb: &all, LeftP90Lb: &all}, list[0])
	last := list[len(list)-1]
	assert.Equal(t, in.SeasonEnd, last.Date)
	assert.Equal(t, []float64{300, 600, 950}, []float64{*last.LeftP10Lb, *last.LeftP50Lb, *last.LeftP90Lb})
	for i, row := range list {
		assert.LessOrEqual(t, *row.LeftP10Lb, *row.LeftP50Lb)
		assert.LessOrEqual(t, *row.LeftP50Lb, *row.LeftP90Lb)
		if i > 0 {
			assert.LessOrEqual(t, *row.LeftP10Lb, *list[i-1].LeftP10Lb)
			assert.True(t, row.Date.After(list[i-1].Date))
		}
	}
}

// stormy is a district in its second season: storms of 100 lb each, so that a draw's need counts its storms.
func stormy(t *testing.T) *verdicts.OutlookInput {
	onHand := int64(1_500_000_000)
	return &verdicts.OutlookInput{MaterialID: "salt", AsOf: day(t, "2029-01-10"), LastStorm: day(t, "2029-04-18"),
		SeasonEnd: day(t, "2029-06-30"), Opened: day(t, "2028-11-01"),
		StormsSoFar: 10, StormUses: []int64{100_000_000, 100_000_000, 100_000_000, 100_000_000, 100_000_000}, StormYears: 2,
		OnHandULb: &onHand, Draws: 20000, LeadDays: 14}
}

// TestStormsAreNegativeBinomial: 10 storms in 10 weeks and 14 weeks to come. A Poisson number whose mean is 14 x gamma(10.5, 10) is
// negative binomial with mean 14.7 and variance 14.7 + 14.7^2 / 10.5; its quantiles are summed here from its probabilities, by their
// recurrence.
func TestStormsAreNegativeBinomial(t *testing.T) {
	const shape, mean = 10.5, 14 * 10.5 / 10
	p := math.Pow(shape/(shape+mean), shape)
	below, quantiles := p, map[float64]int64{}
	for n := int64(0); len(quantiles) < 3; n++ {
		for _, share := range []float64{0.1, 0.5, 0.9} {
			if _, known := quantiles[share]; !known && below >= share {
				quantiles[share] = n
			}
		}
		p *= (shape + float64(n)) / float64(n+1) * mean / (shape + mean)
		below += p
	}
	in := stormy(t)
	out := verdicts.DrawOutlook(in)
	assert.Equal(t, "5 storms of 2 seasons", out.Basis)
	for i, share := range []float64{0.1, 0.5, 0.9} {
		assert.InDelta(t, float64(quantiles[share]), float64(out.NeedULb[i])/1e8, 1, share)
	}
	assert.Greater(t, out.OrderDay, -1, "1500 lb do not last through the higher draws")
}

// TestOutlookEdges goes through what cannot be drawn, and seasons that are over or have not begun.
func TestOutlookEdges(t *testing.T) {
	few := stormy(t)
	few.StormUses = few.StormUses[:4]
	out := verdicts.DrawOutlook(few)
	assert.Equal(t, rows.TooEarly, out.Basis)
	row := out.Row(few)
	assert.Nil(t, row.NeedP10Lb)
	assert.Nil(t, row.OrderByDate)
	assert.NotEmpty(t, row.Seed)
	assert.Empty(t, out.FanRows(few))

	two := stormy(t)
	two.Seasons = [][]verdicts.DayUse{{}, {}}
	assert.Equal(t, "5 storms of 2 seasons", verdicts.DrawOutlook(two).Basis, "two past seasons are too few to draw from")

	over := stormy(t)
	over.AsOf = day(t, "2029-05-02")
	assert.Equal(t, [3]int64{}, verdicts.DrawOutlook(over).NeedULb, "no storm is expected after last_storm_date")

	summer := stormy(t)
	summer.AsOf, summer.StormsSoFar = day(t, "2028-08-01"), 0
	for _, path := range verdicts.DrawStorms(summer, seededRandom()) {
		for _, use := range path.Uses {
			require.GreaterOrEqual(t, use.Day, 92, "no storm before the winter opens on 1 November")
			require.LessOrEqual(t, use.Day, verdicts.DaysBetween(summer.AsOf, summer.LastStorm))
		}
	}
}

// TestOutlookSeed: the same data give the same draws; another day or material gives others.
func TestOutlookSeed(t *testing.T) {
	a, b := verdicts.DrawOutlook(stormy(t)), verdicts.DrawOutlook(stormy(t))
	assert.Equal(t, a, b)
	assert.Equal(t, verdicts.OutlookSeed("salt", day(t, "2029-01-10")), a.Seed)
	assert.NotEqual(t, verdicts.OutlookSeed("cma", day(t, "2029-01-10")), a.Seed)
	assert.NotEqual(t, verdicts.OutlookSeed("salt", day(t, "2029-01-11")), a.Seed)
}
