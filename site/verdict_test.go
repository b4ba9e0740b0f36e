package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/words"
)

func statesOf(list []book.Claim) []string {
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
		edit func(*rows.Learning, *rows.Comparison)
		want []string
	}{
		{"all hold", func(*rows.Learning, *rows.Comparison) {},
			[]string{book.IsShown, book.IsShown, book.IsShown, book.IsShown, book.IsShown}},
		{"roads worse in the comparison", func(_ *rows.Learning, c *rows.Comparison) { c.RegainVerdict = "worse" },
			[]string{book.IsContradicted, book.IsShown, book.IsShown, book.IsShown, book.IsShown}},
		{"roads not known", func(_ *rows.Learning, c *rows.Comparison) { c.RegainVerdict = "not known" },
			[]string{book.IsNotShown, book.IsShown, book.IsShown, book.IsShown, book.IsShown}},
		{"start above", func(l *rows.Learning, _ *rows.Comparison) { l.StartVerdict = "above" },
			[]string{book.IsShown, book.IsContradicted, book.IsShown, book.IsShown, book.IsShown}},
		{"start not known", func(l *rows.Learning, _ *rows.Comparison) { l.StartVerdict = "not yet known" },
			[]string{book.IsShown, book.IsNotShown, book.IsShown, book.IsShown, book.IsShown}},
		{"rising", func(l *rows.Learning, _ *rows.Comparison) { l.Verdict = "rising; so far" },
			[]string{book.IsShown, book.IsShown, book.IsContradicted, book.IsShown, book.IsShown}},
		{"falling no more than salt", func(l *rows.Learning, _ *rows.Comparison) { l.ControlVerdict = "no more than salt" },
			[]string{book.IsShown, book.IsShown, book.IsNotShown, book.IsShown, book.IsShown}},
		{"an order", func(l *rows.Learning, _ *rows.Comparison) { l.Verdict = "cannot be told from an order; so far" },
			[]string{book.IsShown, book.IsNotShown, book.IsNotShown, book.IsShown, book.IsShown}},
		{"more applications", func(_ *rows.Learning, c *rows.Comparison) { c.ApplicationsVerdict = rows.More },
			[]string{book.IsShown, book.IsShown, book.IsShown, book.IsContradicted, book.IsShown}},
		{"as many applications", func(_ *rows.Learning, c *rows.Comparison) { c.ApplicationsVerdict = rows.AboutTheSame },
			[]string{book.IsShown, book.IsShown, book.IsShown, book.IsNotShown, book.IsShown}},
		{"fewer pounds", func(_ *rows.Learning, c *rows.Comparison) { c.Verdict = rows.Less },
			[]string{book.IsShown, book.IsShown, book.IsShown, book.IsShown, book.IsShown}},
		{"more pounds", func(_ *rows.Learning, c *rows.Comparison) { c.Verdict = rows.More },
			[]string{book.IsShown, book.IsShown, book.IsShown, book.IsShown, book.IsContradicted}},
		{"pounds not known", func(_ *rows.Learning, c *rows.Comparison) { c.Verdict = "not yet known" },
			[]string{book.IsShown, book.IsShown, book.IsShown, book.IsShown, book.IsNotShown}},
		{"too early to fit", func(l *rows.Learning, _ *rows.Comparison) { l.Verdict = "too early; so far" },
			[]string{book.IsShown, book.IsTooEarly, book.IsTooEarly, book.IsShown, book.IsShown}},
		{"too early to compare", func(_ *rows.Learning, c *rows.Comparison) {
			c.Verdict, c.ApplicationsVerdict = rows.TooEarly, rows.TooEarly
		}, []string{book.IsTooEarly, book.IsShown, book.IsShown, book.IsTooEarly, book.IsTooEarly}},
	} {
		l, season := fallingFit(), sameSeason()
		c.edit(l, season)
		assert.Equal(t, c.want, statesOf(words.Claims(us, l, season)), c.name)
	}
	assert.Equal(t, []string{book.IsTooEarly, book.IsTooEarly, book.IsTooEarly, book.IsTooEarly, book.IsTooEarly},
		statesOf(words.Claims(us, nil, nil)))
}

func TestASeasonClosesOnTheFirstOfJulyLocalTime(t *testing.T) {
	b, err := book.NewBook(&book.Data{TimeZone: "America/Chicago", AsOf: new(time.Date(2031, 7, 1, 4, 59, 0, 0, time.UTC))})
	require.NoError(t, err)
	assert.True(t, b.IsSeasonOpen("2030-31"))
	b.Data.AsOf = new(time.Date(2031, 7, 1, 5, 0, 0, 0, time.UTC))
	assert.False(t, b.IsSeasonOpen("2030-31"))
	assert.True(t, b.IsSeasonOpen("2031-32"))
}

func TestOrderFallsBetweenRatesOfACrew(t *testing.T) {
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	points := draw.RatePoints(b)
	require.Greater(t, len(points), 100)
	fewest, most, found := b.ExperienceAt(b.FittedOrders()[0], points)
	require.True(t, found)
	assert.LessOrEqual(t, fewest, most)
	from := b.LocalMidnight(b.FittedOrders()[0].FromDate)
	for _, p := range points {
		if p.Prior < fewest {
			assert.True(t, b.Began(p.StormID).Before(from), "a rate below the mark is from before the order")
		}
	}
	_, _, found = b.ExperienceAt(rows.Order{FromDate: time.Date(2040, 1, 1, 0, 0, 0, 0, time.UTC)}, points)
	assert.False(t, found)
	_, _, found = b.ExperienceAt(rows.Order{FromDate: time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC)}, points)
	assert.False(t, found, "an order before all rates marks nothing")
}
