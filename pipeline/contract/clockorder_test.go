package contract

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// clockRow is one pass: local begin and end as delivered, and what they mean in UTC, worked out by hand.
type clockRow struct{ truck, began, ended, beganUTC, endedUTC string }

func checkPassClocks(t *testing.T, zone, day string, rows []clockRow) {
	t.Helper()
	p := parserOf(t, "passes", Mapping{}, zone, passCells)
	for i, row := range rows {
		began, ended := day+" "+row.began, day+" "+row.ended
		if len(row.began) > 8 {
			began = row.began
		}
		values, fault := p.Parse([]string{row.truck, "C1", "R1", began, ended})
		require.Nil(t, fault, "row %d", i)
		gotBegan := time.UnixMicro(valueOf(t, p, values, "began_at").Micros).UTC().Format("02 15:04")
		gotEnded := time.UnixMicro(valueOf(t, p, values, "ended_at").Micros).UTC().Format("02 15:04")
		assert.Equal(t, row.beganUTC, gotBegan, "row %d began", i)
		assert.Equal(t, row.endedUTC, gotEnded, "row %d ended", i)
	}
}

// On 3 November 2030 clocks in Chicago go from 02:00 (-05:00) back to 01:00 (-06:00): tz database, rule US since 2007.
func TestRepeatedHourInChicago(t *testing.T) {
	checkPassClocks(t, "America/Chicago", "2030-11-03", []clockRow{
		{"T1", "00:50", "01:20", "03 05:50", "03 06:20"},                  // before the hour; its end takes the first reading
		{"T1", "01:20", "01:50", "03 06:20", "03 06:50"},                  // begins as the row before it ends: still the first
		{"T1", "01:10", "01:40", "03 07:10", "03 07:40"},                  // not later than its predecessor: the second
		{"T1", "01:20", "01:50", "03 07:20", "03 07:50"},                  // later on the clock than 01:10, but that was the second already
		{"T2", "01:05", "01:15", "03 06:05", "03 06:15"},                  // another truck has a clock of its own
		{"T2", "01:05", "01:15", "03 07:05", "03 07:15"},                  // the same time again is not later
		{"T3", "01:40", "01:10", "03 06:40", "03 07:10"},                  // an end before its begin takes the second
		{"T3", "01:30", "02:10", "03 07:30", "03 08:10"},                  // after the hour the clock is plain again
		{"T4", "2030-11-03T01:30-06:00", "01:40", "03 07:30", "03 07:40"}, // an offset settles the begin; the end follows it
		{"T5", "00:10", "01:50", "03 05:10", "03 06:50"},
		{"T5", "01:20", "01:45", "03 07:20", "03 07:45"}, // before the end of the truck's row before it
	})
}

func TestRepeatedHalfHourOnLordHowe(t *testing.T) {
	// 7 April 2030, 02:00 (+11:00) back to 01:30 (+10:30): tz database, australasia.
	checkPassClocks(t, "Australia/Lord_Howe", "2030-04-07", []clockRow{
		{"T1", "01:20", "01:40", "06 14:20", "06 14:40"},
		{"T1", "01:45", "01:35", "06 14:45", "06 15:05"},
		{"T1", "01:40", "01:59", "06 15:10", "06 15:29"},
	})
}

func TestRepeatedHourOfAStation(t *testing.T) {
	p := parserOf(t, "weather", Mapping{}, "America/Chicago", "station_id|observed_at")
	rows := []struct{ station, at, utc string }{
		{"S1", "00:53", "05:53"}, {"S2", "01:10", "06:10"}, {"S1", "01:53", "06:53"}, {"S2", "01:30", "06:30"},
		{"S1", "01:53", "07:53"}, {"S2", "01:10", "07:10"}, {"S1", "02:53", "08:53"}, {"S2", "01:30", "07:30"},
	}
	for i, row := range rows {
		values, fault := p.Parse([]string{row.station, "2030-11-03 " + row.at})
		require.Nil(t, fault)
		assert.Equal(t, row.utc, time.UnixMicro(values[1].Micros).UTC().Format("15:04"), "row %d", i)
	}
}

// A year later the hour repeats anew: what was read then must not reach over.
func TestRepeatedHourOfAnotherYear(t *testing.T) {
	p := parserOf(t, "weather", Mapping{}, "America/Chicago", "station_id|observed_at")
	for _, row := range [][2]string{{"2030-11-03 01:30", "2030-11-03T06:30:00Z"}, {"2030-11-03 01:30", "2030-11-03T07:30:00Z"},
		{"2031-11-02 01:10", "2031-11-02T06:10:00Z"}} {
		values, fault := p.Parse([]string{"S1", row[0]})
		require.Nil(t, fault)
		assert.Equal(t, row[1], time.UnixMicro(values[1].Micros).UTC().Format(time.RFC3339))
	}
}

// A row that is set aside for another column still tells where its truck's clock stands.
func TestRepeatedHourAfterAFaultyRow(t *testing.T) {
	p := parserOf(t, "weather", Mapping{}, "America/Chicago", "station_id|observed_at|air_f")
	_, fault := p.Parse([]string{"S1", "2030-11-03 01:30", "cold"})
	require.NotNil(t, fault)
	values, fault := p.Parse([]string{"S1", "2030-11-03 01:20", "30"})
	require.Nil(t, fault)
	assert.Equal(t, "07:20", time.UnixMicro(values[1].Micros).UTC().Format("15:04"))
}

// Clocks skip an hour in Chicago on 10 March 2030, half an hour on Lord Howe Island on 6 October 2030.
func TestSkippedHour(t *testing.T) {
	cases := []struct{ zone, at, utc string }{
		{"America/Chicago", "2030-03-10 01:59", "2030-03-10T07:59:00Z"},
		{"America/Chicago", "2030-03-10 02:00", ""},
		{"America/Chicago", "2030-03-10 02:59", ""},
		{"America/Chicago", "2030-03-10 03:00", "2030-03-10T08:00:00Z"},
		{"America/Chicago", "2030-03-10T02:30-06:00", "2030-03-10T08:30:00Z"},
		{"Australia/Lord_Howe", "2030-10-06 02:29", ""},
		{"Australia/Lord_Howe", "2030-10-06 02:30", "2030-10-05T15:30:00Z"},
		{"Pacific/Apia", "2011-12-30 12:00", ""}, // Samoa skipped the whole day: tz database, australasia
	}
	for _, c := range cases {
		p := parserOf(t, "weather", Mapping{}, c.zone, "station_id|observed_at")
		values, fault := p.Parse([]string{"S1", c.at})
		if c.utc == "" {
			require.NotNil(t, fault, c.at)
			assert.Equal(t, ReasonSkippedHour, fault.Code)
			continue
		}
		require.Nil(t, fault, c.at)
		assert.Equal(t, c.utc, time.UnixMicro(values[1].Micros).UTC().Format(time.RFC3339))
	}
}
