package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
)

func statesOf(list []claim) []string {
	var states []string
	for _, c := range list {
		states = append(states, c.State)
	}
	return states
}

// Roads stand first; the order is roads, start, rates, applications, pounds.
func TestClaimStates(t *testing.T) {
	for _, c := range []struct {
		name string
		edit func(*Learning, *Comparison)
		want []string
	}{
		{"all hold", func(*Learning, *Comparison) {}, []string{isShown, isShown, isShown, isShown, isShown}},
		{"roads worse in the comparison", func(_ *Learning, c *Comparison) { c.RegainVerdict = "worse" }, []string{isContradicted, isShown, isShown, isShown, isShown}},
		{"service slower", func(l *Learning, _ *Comparison) { l.ServiceVerdict = "slower" }, []string{isContradicted, isShown, isShown, isShown, isShown}},
		{"service not shown", func(l *Learning, _ *Comparison) { l.ServiceVerdict = "not shown" }, []string{isNotShown, isShown, isShown, isShown, isShown}},
		{"start above", func(l *Learning, _ *Comparison) { l.StartVerdict = "above" }, []string{isShown, isContradicted, isShown, isShown, isShown}},
		{"start not known", func(l *Learning, _ *Comparison) { l.StartVerdict = "not yet known" }, []string{isShown, isNotShown, isShown, isShown, isShown}},
		{"rising", func(l *Learning, _ *Comparison) { l.Verdict = "rising; so far" }, []string{isShown, isShown, isContradicted, isShown, isShown}},
		{"falling no more than salt", func(l *Learning, _ *Comparison) { l.ControlVerdict = "no more than salt" }, []string{isShown, isShown, isNotShown, isShown, isShown}},
		{"an order", func(l *Learning, _ *Comparison) { l.Verdict = "cannot be told from an order; so far" }, []string{isShown, isNotShown, isNotShown, isShown, isShown}},
		{"more applications", func(_ *Learning, c *Comparison) { c.ApplicationsVerdict = rows.More }, []string{isShown, isShown, isShown, isContradicted, isShown}},
		{"as many applications", func(_ *Learning, c *Comparison) { c.ApplicationsVerdict = rows.AboutTheSame }, []string{isShown, isShown, isShown, isNotShown, isShown}},
		{"fewer pounds", func(_ *Learning, c *Comparison) { c.Verdict = rows.Less }, []string{isShown, isShown, isShown, isShown, isShown}},
		{"more pounds", func(_ *Learning, c *Comparison) { c.Verdict = rows.More }, []string{isShown, isShown, isShown, isShown, isContradicted}},
		{"pounds not known", func(_ *Learning, c *Comparison) { c.Verdict = "not yet known" }, []string{isShown, isShown, isShown, isShown, isNotShown}},
		{"too early to fit", func(l *Learning, _ *Comparison) { l.Verdict = "too early; so far" }, []string{isShown, isTooEarly, isTooEarly, isShown, isShown}},
		{"too early to compare", func(_ *Learning, c *Comparison) { c.Verdict, c.ApplicationsVerdict = rows.TooEarly, rows.TooEarly }, []string{isTooEarly, isShown, isShown, isTooEarly, isTooEarly}},
	} {
		l, season := fallingFit(), sameSeason()
		c.edit(l, season)
		assert.Equal(t, c.want, statesOf(claims(us, l, season)), c.name)
	}
	assert.Equal(t, []string{isTooEarly, isTooEarly, isTooEarly, isTooEarly, isTooEarly}, statesOf(claims(us, nil, nil)))
}

func TestASeasonClosesOnTheFirstOfJulyLocalTime(t *testing.T) {
	b, err := newBook(&Data{TimeZone: "America/Chicago", AsOf: new(time.Date(2031, 7, 1, 4, 59, 0, 0, time.UTC))})
	require.NoError(t, err)
	assert.True(t, b.isSeasonOpen("2030-31"))
	b.data.AsOf = new(time.Date(2031, 7, 1, 5, 0, 0, 0, time.UTC))
	assert.False(t, b.isSeasonOpen("2030-31"))
	assert.True(t, b.isSeasonOpen("2031-32"))
}

func TestOrderFallsBetweenRatesOfACrew(t *testing.T) {
	b, err := newBook(madeDistrict())
	require.NoError(t, err)
	points := b.ratePoints()
	require.Greater(t, len(points), 100)
	fewest, most, found := b.experienceAt(b.fittedOrders()[0], points)
	require.True(t, found)
	assert.LessOrEqual(t, fewest, most)
	from := b.localMidnight(b.fittedOrders()[0].FromDate)
	for _, p := range points {
		if p.prior < fewest {
			assert.True(t, b.began(p.stormID).Before(from), "a rate below the mark is from before the order")
		}
	}
	_, _, found = b.experienceAt(Order{FromDate: time.Date(2040, 1, 1, 0, 0, 0, 0, time.UTC)}, points)
	assert.False(t, found)
	_, _, found = b.experienceAt(Order{FromDate: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)}, points)
	assert.False(t, found, "an order before all rates marks nothing")
}
