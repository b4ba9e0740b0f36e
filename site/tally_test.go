package site

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
)

func TestAPartWithoutSolidsHasNoFigure(t *testing.T) {
	none := rows.Tally{}
	assert.Nil(t, none.NotBareShare(), "no reports are not a share of 0")
	assert.InDelta(t, 1, *rows.Tally{NotBare: 2, RegainOpen: 1}.NotBareShare(), 1e-9)
	assert.InDelta(t, 0.25, *rows.Tally{Bare: 3, NotBare: 1, RegainOpen: 4}.NotBareShare(), 1e-9)
}

func TestThirdsNeedThreeClosedStormsWithARate(t *testing.T) {
	data := madeDistrict()
	b, err := book.NewBook(data)
	require.NoError(t, err)
	c := b.CountClass("2030-31", rows.Acetate)
	require.NotNil(t, c.First)
	assert.EqualValues(t, 23, c.Season.Storms, "the open storm is left out")
	assert.EqualValues(t, 7, c.First.Storms)
	assert.EqualValues(t, 7, c.Latest.Storms)
	assert.Greater(t, *c.First.RateLbPerLaneMi, *c.Latest.RateLbPerLaneMi)
	data.Storms = data.Storms[:6]
	b, err = book.NewBook(tallied(data))
	require.NoError(t, err)
	assert.Nil(t, b.CountClass("2029-30", rows.Acetate).First)
}

// A row is found by what its part parts by, whatever else stands beside it.
func TestTalliesAreFoundByTheirPart(t *testing.T) {
	b, err := book.NewBook(&book.Data{TimeZone: "UTC", Tallies: []rows.Tally{
		{Part: "season", Season: "s", MaterialClass: rows.Acetate, Storms: 1},
		{Part: "season to date", Season: "s", MaterialClass: rows.Acetate, Storms: 2},
		{Part: "route", Season: "s", RouteID: "R1", MaterialClass: rows.Acetate, Storms: 3},
		{Part: "route to date", Season: "s", RouteID: "R1", MaterialClass: rows.Acetate, Storms: 4},
		{Part: "storm", Season: "s", StormID: "x", MaterialClass: rows.Acetate, Storms: 5},
		{Part: "storm and zone", Season: "s", StormID: "x", ZoneID: "A", MaterialClass: rows.Acetate, Storms: 6}}})
	require.NoError(t, err)
	assert.EqualValues(t, 1, b.TallyStretch("", book.Stretch{Season: "s"}, rows.Acetate).Storms)
	assert.EqualValues(t, 2, b.TallyStretch("", book.Stretch{Season: "s", IsToDate: true}, rows.Acetate).Storms)
	assert.EqualValues(t, 3, b.TallyStretch("R1", book.Stretch{Season: "s"}, rows.Acetate).Storms)
	assert.EqualValues(t, 4, b.TallyStretch("R1", book.Stretch{Season: "s", IsToDate: true}, rows.Acetate).Storms)
	assert.EqualValues(t, 5, b.StormTally("s", "x", rows.Acetate).Storms)
	assert.EqualValues(t, 6, b.ZoneTally(rows.Storm{Season: "s", StormID: "x", ZoneID: "A"}, rows.Acetate).Storms)
	assert.Zero(t, b.RouteTally("R2", "s", rows.Acetate))
}
