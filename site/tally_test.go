package site

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Two routes of 10 and 30 lane-miles:
//
//	pounds 6000 + 9000 = 15000, of them 500 not placed; measured 20 + 30 = 50: rate 14500 / 50 = 290
//	treated 20 + 30 = 50 over 40 lane-miles of route: 1.25 applications; 15000 / 40 = 375 lb per lane-mile of route
//	regain 2 h on 10, 4 h on 30 lane-miles: (20 + 120) / 40 = 3.5 h; air 20 and 28 F: (200 + 840) / 40 = 26 F
func TestTallyDividesSumsBySums(t *testing.T) {
	var sum tally
	sum.add(StormRoute{StormID: "s", RouteLaneMiles: ptr(10.0), TreatedLaneMiles: ptr(20.0), MeasuredLaneMiles: ptr(20.0), AppliedLb: ptr(6000.0), UnplacedLb: ptr(500.0),
		RegainState: "bare", RegainH: ptr(2.0)}, Storm{AirFMean: ptr(20.0), SurfaceFMin: ptr(12.0)})
	sum.add(StormRoute{StormID: "s", RouteLaneMiles: ptr(30.0), TreatedLaneMiles: ptr(30.0), MeasuredLaneMiles: ptr(30.0), AppliedLb: ptr(9000.0), UnplacedLb: ptr(0.0),
		RegainState: "bare", RegainH: ptr(4.0)}, Storm{AirFMean: ptr(28.0), SurfaceFMin: ptr(15.0)})
	assert.InDelta(t, 290, *sum.rate(), 1e-9)
	assert.InDelta(t, 1.25, *sum.applications(), 1e-9)
	assert.InDelta(t, 375, *sum.stormPounds(), 1e-9)
	assert.InDelta(t, 3.5, *sum.regainH(), 1e-9)
	assert.InDelta(t, 26, *sum.airF(), 1e-9)
	assert.InDelta(t, 12, *sum.surfaceFMin, 1e-9)
	assert.Equal(t, []string{"s"}, sum.storms)
}

// A route-storm without pounds and one that stays covered: no pounds is not 0 lb, and neither is in the mean of hours.
func TestTallyLeavesMissingValuesOut(t *testing.T) {
	var sum tally
	assert.Nil(t, sum.rate())
	sum.add(StormRoute{StormID: "a", RouteLaneMiles: ptr(10.0), TreatedLaneMiles: ptr(10.0), RegainState: "not bare"}, Storm{})
	assert.Nil(t, sum.rate())
	assert.Nil(t, sum.stormPounds())
	assert.Nil(t, sum.regainH())
	assert.InDelta(t, 0, *sum.bareShare(), 1e-9)
	sum.add(StormRoute{StormID: "b", RouteLaneMiles: ptr(10.0), TreatedLaneMiles: ptr(10.0), MeasuredLaneMiles: ptr(10.0), AppliedLb: ptr(3000.0), RegainState: "no reports"}, Storm{})
	assert.InDelta(t, 300, *sum.stormPounds(), 1e-9)
	assert.InDelta(t, 0, *sum.bareShare(), 1e-9)
}

func TestThirdsNeedThreeClosedStormsWithARate(t *testing.T) {
	data := madeDistrict()
	b, err := newBook(data)
	require.NoError(t, err)
	c := b.countClass("2030-31", acetate)
	require.NotNil(t, c.first)
	assert.Len(t, c.season.storms, 23, "the open storm is left out")
	assert.Len(t, c.first.storms, 7)
	assert.Len(t, c.latest.storms, 7)
	assert.Greater(t, *c.first.rate(), *c.latest.rate())
	data.Storms = data.Storms[:6]
	b, err = newBook(data)
	require.NoError(t, err)
	assert.Nil(t, b.countClass("2029-30", acetate).first)
}
