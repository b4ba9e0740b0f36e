package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
)

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
