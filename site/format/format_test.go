package format

import (
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestFixedGroupsRoundsAndNeverInventsAZero(t *testing.T) {
	for _, c := range []struct {
		x        *float64
		decimals int
		want     string
	}{
		{nil, 0, Missing},
		{new(math.NaN()), 1, Missing},
		{new(math.Inf(1)), 1, Missing},
		{new(0.0), 0, "0"},
		{new(-0.04), 1, "0.0"},
		{new(-0.05), 1, "-0.1"},
		{new(1234567.0), 0, "1,234,567"},
		{new(1234.5), 1, "1,234.5"},
		{new(2.0), 2, "2.00"},
		{new(0.125), 2, "0.13"},
		{new(-12.0), 0, "-12"},
	} {
		assert.Equal(t, c.want, Fixed(c.x, c.decimals))
	}
}

func TestCountedHasAWordForNoneAndOne(t *testing.T) {
	assert.Equal(t, "no storms", Counted(0, "storm", "storms"))
	assert.Equal(t, "1 storm", Counted(1, "storm", "storms"))
	assert.Equal(t, "1,204 storms", Counted(1204, "storm", "storms"))
}

func TestCapitalTakesAWholeLetter(t *testing.T) {
	for given, want := range map[string]string{"": "", "north": "North", "östra": "Östra", "Östra": "Östra", "7 mile": "7 mile",
		Isolated("שלום"): Isolated("שלום")} {
		assert.Equal(t, want, Capital(given))
	}
}

func TestNamedDoesNotSayTheKindTwice(t *testing.T) {
	for given, want := range map[string]string{"North": "zone North", "Zone 3": "Zone 3", "ZONE": "ZONE",
		"zones of the lake": "zone zones of the lake", "": "zone "} {
		assert.Equal(t, want, Named("zone", given))
	}
	assert.Equal(t, "Route 5", Capital(Named("route", "route 5")))
}

func TestPercent(t *testing.T) {
	assert.Equal(t, Missing, Percent(nil))
	assert.Equal(t, "93", Percent(new(0.926)))
	assert.Equal(t, "100", Percent(new(1.0)))
}

// The clock was set back on 3 November 2030 at 02:00 and forward on 9 March 2031 at 02:00 (tz database, America/Chicago).
func TestTimesStandInTheDistrictsZone(t *testing.T) {
	zone, err := time.LoadLocation("America/Chicago")
	require.NoError(t, err)
	c := Clock{zone}
	assert.Equal(t, "3 Nov 2030, 01:30", c.Moment(time.Date(2030, 11, 3, 6, 30, 0, 0, time.UTC)))
	assert.Equal(t, "3 Nov 2030, 01:30", c.Moment(time.Date(2030, 11, 3, 7, 30, 0, 0, time.UTC)))
	assert.Equal(t, "9 Mar 2031, 03:00", c.Moment(time.Date(2031, 3, 9, 8, 0, 0, 0, time.UTC)))
	assert.Equal(t, Missing, c.MomentOf(nil))
	assert.Equal(t, "1 Jan 2031", Date(time.Date(2031, 1, 1, 0, 0, 0, 0, time.UTC)))
}

func TestShortenedCountsCharactersNotBytes(t *testing.T) {
	assert.Equal(t, "größer", Shortened("größer", 6))
	assert.Equal(t, "größ…", Shortened("größer!", 5))
}
