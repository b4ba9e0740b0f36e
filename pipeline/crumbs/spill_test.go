package crumbs

import (
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/require"

	"lanetally/pipeline/trace"
)

// anyRow is a row with a few values of each kind, so that rows repeat some of the row before.
func anyRow(random *rand.Rand) Row {
	number := func() float64 {
		return [...]float64{0, math.Copysign(0, -1), math.NaN(), 43.219575, -96.883676, math.MaxFloat64}[random.IntN(6)]
	}
	name := func() int32 { return [...]int32{0, 1, 200, math.MaxInt32, -1}[random.IntN(5)] }
	return Row{Truck: name(), Content: name(), Line: [...]int64{0, 2, math.MaxInt64, math.MinInt64}[random.IntN(4)], Point: trace.Point{
		AtMS: [...]int64{firstMS, firstMS + 10_000, math.MinInt64, math.MaxInt64}[random.IntN(4)], Lon: number(), Lat: number(),
		SpeedMPH:        number(),
		RateLbPerLaneMi: number(), TotalLb: number(), Lanes: number(), Material: name(), Crew: name(),
		Spreading: trace.Tri(random.IntN(3)), PlowDown: trace.Tri(random.IntN(3)),
	}}
}

// bitsOf makes rows with missing numbers comparable.
func bitsOf(row Row) any {
	var bits [6]uint64
	for i, number := range numbersOf(&row) {
		bits[i], *number = math.Float64bits(*number), 0
	}
	return [2]any{bits, row}
}

func TestSpilledRowsComeBackAsTheyWere(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	var text []byte
	var rows []Row
	var spans []daySpan
	for range 3 {
		span, before := daySpan{first: len(rows), at: int64(len(text))}, Row{}
		for range 3000 {
			row := anyRow(random)
			began := len(text)
			text = appendRow(text, &row, &before)
			require.LessOrEqual(t, len(text)-began, rowBytes)
			rows, before = append(rows, row), row
		}
		span.bytes = int64(len(text)) - span.at
		spans = append(spans, span)
	}
	path := filepath.Join(t.TempDir(), "spill")
	require.NoError(t, os.WriteFile(path, text, 0o600))
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	for _, k := range []int{2, 0, 1} { // each can be read alone
		from := newSpillReader(file, spans[k])
		for i := range 3000 {
			require.NoError(t, from.next())
			require.Equal(t, bitsOf(rows[spans[k].first+i]), bitsOf(from.row))
		}
	}
	require.NoError(t, os.Truncate(path, int64(len(text)-1)))
	from := newSpillReader(file, spans[2])
	for range 3000 {
		if err = from.next(); err != nil {
			break
		}
	}
	require.Error(t, err, "a spill that was cut")
}
