package fleet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func small() Size {
	return Size{Trucks: 7, StormDays: 4, PointsADay: 20_000, SheetTrucks: 5, PassesADay: 60, Stations: 8, WeatherHours: 30 * 24, Seed: 11}
}

func crumbsOf(t *testing.T, f *Fleet, day int) ([]byte, int) {
	t.Helper()
	var text bytes.Buffer
	rows, err := f.WriteCrumbs(&text, day)
	require.NoError(t, err)
	return text.Bytes(), rows
}

func TestSameSeedSameBytes(t *testing.T) {
	first, again := New(small()), New(small())
	_, _ = crumbsOf(t, first, 0) // a day that the other never writes
	want, rows := crumbsOf(t, first, 2)
	got, _ := crumbsOf(t, again, 2)
	assert.True(t, bytes.Equal(want, got))
	other := small()
	other.Seed++
	different, _ := crumbsOf(t, New(other), 2)
	assert.False(t, bytes.Equal(want, different))
	assert.Equal(t, rows+1, bytes.Count(want, []byte("\n")))
}

// The points asked for, and those delivered twice beside them; every truck's in time order, ten seconds apart on the road.
func TestCrumbs(t *testing.T) {
	f := New(small())
	text, rows := crumbsOf(t, f, 1)
	assert.InDelta(t, 20_000, rows, 20)
	reader := csv.NewReader(bytes.NewReader(text))
	header, err := reader.Read()
	require.NoError(t, err)
	require.Equal(t, "truck_id", header[0])
	var truck string
	var before time.Time
	trucks, doubles, steps, worked := 0, 0, 0, 0.0
	for {
		row, err := reader.Read()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		at, err := time.Parse(time.RFC3339, row[1])
		require.NoError(t, err)
		total, err := strconv.ParseFloat(row[7], 64)
		require.NoError(t, err)
		worked = max(worked, total)
		if row[0] != truck {
			truck = row[0]
			trucks++
		} else if at.Equal(before) {
			doubles++
		} else {
			require.True(t, at.After(before), row)
			if at.Sub(before) == pointS*time.Second {
				steps++
			}
		}
		before = at
	}
	assert.Equal(t, 7, trucks)
	assert.Equal(t, rows-20_000, doubles)
	assert.Equal(t, 20_000-2*7, steps, "one silence a truck, between its shifts")
	assert.Greater(t, worked, 1000.0)
}

func TestSheetsAndWeather(t *testing.T) {
	f := New(small())
	var sheets, weather bytes.Buffer
	rows, err := f.WriteSheets(&sheets, 3)
	require.NoError(t, err)
	assert.Equal(t, 60, rows)
	assert.Equal(t, 61, bytes.Count(sheets.Bytes(), []byte("\n")))
	rows, err = f.WriteWeather(&weather)
	require.NoError(t, err)
	assert.Equal(t, 8*30*24, rows)
	assert.Equal(t, rows+1, bytes.Count(weather.Bytes(), []byte("\n")))
	assert.Contains(t, weather.String(), "-SN")
}

func BenchmarkWriteCrumbs(b *testing.B) {
	f := New(District())
	rows := 0
	for range b.N {
		n, err := f.WriteCrumbs(io.Discard, 3)
		require.NoError(b, err)
		rows += n
	}
	b.ReportMetric(float64(rows)/b.Elapsed().Seconds()/1e6, "Mrows/s")
}
