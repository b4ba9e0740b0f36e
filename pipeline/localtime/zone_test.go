package localtime

import (
	"fmt"
	"slices"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The oracle walks forward: it lets the instants around every change of the tz database pass by, writes down what the
// wall clock shows at each, and so learns every wall clock's instants without any arithmetic on offsets.
func TestReadingsAgainstTzDatabase(t *testing.T) {
	zones := []string{"America/Chicago", "America/St_Johns", "Australia/Lord_Howe", "Europe/Dublin", "Asia/Kathmandu", "Pacific/Apia",
		"America/Sao_Paulo", "Africa/Casablanca", "Antarctica/Troll", "UTC"}
	changes := 0
	for _, name := range zones {
		location, err := time.LoadLocation(name)
		require.NoError(t, err, name)
		zone := NewZone(location)
		for _, change := range changesOf(location, 2010, 2032) {
			changes++
			compareAround(t, zone, location, change)
		}
	}
	require.Greater(t, changes, 150)
}

func changesOf(location *time.Location, fromYear, toYear int) []time.Time {
	var changes []time.Time
	at := time.Date(fromYear, 1, 1, 0, 0, 0, 0, time.UTC).In(location)
	for {
		_, end := at.ZoneBounds()
		if end.IsZero() || end.Year() > toYear {
			return changes
		}
		changes = append(changes, end)
		at = end
	}
}

func compareAround(t *testing.T, zone *Zone, location *time.Location, change time.Time) {
	const step = 5 * time.Minute
	shown := map[Civil][]int64{}
	for at := change.Add(-54 * time.Hour); at.Before(change.Add(54 * time.Hour)); at = at.Add(step) {
		wall := wallOf(at.In(location))
		shown[wall] = append(shown[wall], at.UnixMicro())
	}
	middle := wallOf(change.In(location))
	for wall := middle - Civil(26*time.Hour/time.Microsecond); wall < middle+
		Civil(26*time.Hour/time.Microsecond); wall += Civil(step / time.Microsecond) {
		want := shown[wall]
		slices.Sort(want)
		got := zone.Readings(wall)
		place := fmt.Sprintf("%s %s", location, time.UnixMicro(int64(wall)).UTC().Format("2006-01-02 15:04"))
		require.Equal(t, len(want), got.Count, place)
		if got.Count > 0 {
			require.Equal(t, want[0], got.First, place)
		}
		if got.Count == 2 {
			require.Equal(t, want[1], got.Second, place)
			require.Equal(t, change.UnixMicro(), got.ChangeAt, place)
		}
	}
}

// wallOf writes a clock's face as microseconds, by its fields alone.
func wallOf(at time.Time) Civil {
	face := time.Date(at.Year(), at.Month(), at.Day(), at.Hour(), at.Minute(), at.Second(), at.Nanosecond(), time.UTC)
	return Civil(face.UnixMicro())
}

// Readings asked out of order agree with those asked of a fresh Zone: what the Zone remembers changes nothing.
func TestReadingsDoNotDependOnOrder(t *testing.T) {
	location, err := time.LoadLocation("Australia/Lord_Howe")
	require.NoError(t, err)
	zone := NewZone(location)
	for _, text := range []string{"2030-04-07 01:45", "2030-10-06 02:15", "2030-01-05 12:00", "2030-04-07 01:30", "2030-04-07 01:29",
		"2030-04-07 02:00", "2031-07-01 00:00"} {
		stamp, err := Parse(text)
		require.NoError(t, err)
		assert.Equal(t, NewZone(location).Readings(stamp.Wall), zone.Readings(stamp.Wall), text)
	}
}

// Half an hour repeats on Lord Howe Island: 01:30 to 02:00 on the first Sunday of April (tz database, australasia).
func TestReadingsOfAHalfHourChange(t *testing.T) {
	location, err := time.LoadLocation("Australia/Lord_Howe")
	require.NoError(t, err)
	counts := map[string]int{"2030-04-07 01:29": 1, "2030-04-07 01:30": 2, "2030-04-07 01:59": 2, "2030-04-07 02:00": 1,
		"2030-10-06 02:00": 0, "2030-10-06 02:29": 0, "2030-10-06 02:30": 1}
	for text, want := range counts {
		stamp, err := Parse(text)
		require.NoError(t, err)
		got := NewZone(location).Readings(stamp.Wall)
		assert.Equal(t, want, got.Count, text)
		if want == 2 {
			assert.Equal(t, int64(30*time.Minute/time.Microsecond), got.Second-got.First, text)
		}
	}
}

// Every reading of a wall clock shows that wall clock, and no instant near it that shows it is missing. The offsets tried are those that
// the zone had within thirty hours, hour by hour.
func FuzzReadings(f *testing.F) {
	zones := []string{"America/Denver", "America/St_Johns", "Australia/Lord_Howe", "Pacific/Apia", "Africa/Casablanca", "UTC"}
	f.Add(uint8(0), int64(1919986200)) // in the repeated hour of 3 November 2030
	f.Add(uint8(0), int64(1899426600)) // in the hour of 10 March 2030 that is skipped
	f.Add(uint8(2), int64(1901842200))
	f.Add(uint8(3), int64(1325203200)) // the day that Apia left out
	var asked []*Zone
	for _, name := range zones {
		location, err := time.LoadLocation(name)
		require.NoError(f, err)
		asked = append(asked, NewZone(location))
	}
	f.Fuzz(func(t *testing.T, index uint8, second int64) {
		if second < -2208988800 || second > 7258118400 {
			return // outside FirstYear to LastYear
		}
		zone, wall := asked[int(index)%len(asked)], Civil(second*microsPerSecond)
		wanted := map[int64]bool{}
		for hour := int64(-30); hour <= 30; hour++ {
			_, offset := time.Unix(second+hour*3600, 0).In(zone.location).Zone()
			if at := time.Unix(second-int64(offset), 0); wallOf(at.In(zone.location)) == wall {
				wanted[at.UnixMicro()] = true
			}
		}
		got := zone.Readings(wall)
		require.Equal(t, len(wanted), got.Count)
		require.Equal(t, NewZone(zone.location).Readings(wall), got, "what a Zone remembers changes nothing")
		if got.Count > 0 {
			require.True(t, wanted[got.First])
		}
		if got.Count == 2 {
			require.True(t, wanted[got.Second])
			require.Less(t, got.First, got.ChangeAt)
			require.LessOrEqual(t, got.ChangeAt, got.Second)
		}
	})
}
