package site

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestAPartWithoutSolidsHasNoFigure(t *testing.T) {
	none := Tally{}
	assert.Nil(t, none.rate())
	assert.Nil(t, none.bareShare(), "no reports are not a share of 0")
	assert.InDelta(t, 0, *Tally{NotBare: 2, RegainOpen: 1}.bareShare(), 1e-9)
	assert.InDelta(t, 0.75, *Tally{Bare: 3, NotBare: 1, RegainOpen: 4}.bareShare(), 1e-9)
}

func TestThirdsNeedThreeClosedStormsWithARate(t *testing.T) {
	data := madeDistrict()
	b, err := newBook(data)
	require.NoError(t, err)
	c := b.countClass("2030-31", acetate)
	require.NotNil(t, c.first)
	assert.EqualValues(t, 23, c.season.Storms, "the open storm is left out")
	assert.EqualValues(t, 7, c.first.Storms)
	assert.EqualValues(t, 7, c.latest.Storms)
	assert.Greater(t, *c.first.rate(), *c.latest.rate())
	data.Storms = data.Storms[:6]
	b, err = newBook(tallied(data))
	require.NoError(t, err)
	assert.Nil(t, b.countClass("2029-30", acetate).first)
}

// A row is found by what its part parts by, whatever else stands beside it.
func TestTalliesAreFoundByTheirPart(t *testing.T) {
	b, err := newBook(&Data{TimeZone: "UTC", Tallies: []Tally{
		{Part: "season", Season: "s", MaterialClass: acetate, Storms: 1},
		{Part: "season to date", Season: "s", MaterialClass: acetate, Storms: 2},
		{Part: "route", Season: "s", RouteID: "R1", MaterialClass: acetate, Storms: 3},
		{Part: "route to date", Season: "s", RouteID: "R1", MaterialClass: acetate, Storms: 4},
		{Part: "storm", Season: "s", StormID: "x", MaterialClass: acetate, Storms: 5},
		{Part: "storm and zone", Season: "s", StormID: "x", ZoneID: "A", MaterialClass: acetate, Storms: 6}}})
	require.NoError(t, err)
	assert.EqualValues(t, 1, b.tallyStretch("", stretch{season: "s"}, acetate).Storms)
	assert.EqualValues(t, 2, b.tallyStretch("", stretch{season: "s", isToDate: true}, acetate).Storms)
	assert.EqualValues(t, 3, b.tallyStretch("R1", stretch{season: "s"}, acetate).Storms)
	assert.EqualValues(t, 4, b.tallyStretch("R1", stretch{season: "s", isToDate: true}, acetate).Storms)
	assert.EqualValues(t, 5, b.stormTally("s", "x", acetate).Storms)
	assert.EqualValues(t, 6, b.zoneTally(Storm{Season: "s", StormID: "x", ZoneID: "A"}, acetate).Storms)
	assert.Zero(t, b.routeTally("R2", "s", acetate))
}
