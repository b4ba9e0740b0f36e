package crumbs

import (
	"fmt"
	"math"
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/require"

	"lanetally/pipeline/trace"
)

// Rows of three row groups, with what is missing now here, now there, now in a whole group, come back as they were.
func TestRowsOfADayComeBackAsTheyWere(t *testing.T) {
	random, names := rand.New(rand.NewPCG(7, 1)), NewNames()
	store, err := Open(Dir{Path: t.TempDir()}, names, trace.DefaultSettings())
	require.NoError(t, err)
	rows := make([]Row, 2*batchRows+readRows+17)
	for i := range rows {
		isBare := i >= batchRows && i < 2*batchRows
		number := func() float64 {
			if isBare || random.IntN(3) == 0 {
				return math.NaN()
			}
			return float64(random.IntN(5000)) / 8
		}
		tri := func() trace.Tri {
			if isBare {
				return trace.Unknown
			}
			return trace.Tri(random.IntN(3))
		}
		name := func(kind string, of int) int32 { return names.Number(fmt.Sprint(kind, random.IntN(of))) }
		rows[i] = Row{Truck: name("truck", 40), Content: name("content", 900), Line: random.Int64N(1 << 40), Point: trace.Point{
			AtMS: firstMS + random.Int64N(dayMS), Lat: random.Float64() * 90, Lon: random.Float64() * -180, SpeedMPH: number(),
			RateLbPerLaneMi: number(),
			TotalLb:         number(), Lanes: number(), Material: random.Int32N(2) * name("material", 3), Crew: name("crew", 9),
			Spreading: tri(),
			PlowDown:  tri(),
		}}
	}
	encoder := newEncoder(names)
	defer encoder.close()
	writer, err := newRowWriter(store, encoder, DayOf(firstMS))
	require.NoError(t, err)
	for i := range rows {
		require.NoError(t, writer.add(&rows[i]))
	}
	writer.end()
	require.NoError(t, writer.finish())
	require.NoError(t, store.dir.rename(DayOf(firstMS).path()))
	store.checked[DayOf(firstMS).path()] = true // no list of digests vouches for the file

	got, err := openRows(store, DayOf(firstMS))
	require.NoError(t, err)
	for i := range rows {
		require.NotNil(t, got.head(), i)
		require.Equal(t, bitsOf(rows[i]), bitsOf(*got.head()), i)
		require.NoError(t, got.step())
	}
	require.Nil(t, got.head())
	require.NoError(t, got.close())

	left, err := openRows(store, DayOf(firstMS)) // whoever needs no more rows may close
	require.NoError(t, err)
	require.NoError(t, left.close())
}
