package district

import (
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
)

// writeLargeReference writes every table with so many rows: keys are n0, n1 ...; other names begin with pointsTo.
func writeLargeReference(t *testing.T, rows int, pointsTo string) string {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "reference"), 0o755))
	for _, name := range contract.ReferenceNames {
		if IsDrawing(name) {
			continue
		}
		c, err := contract.LoadContract("reference", name)
		require.NoError(t, err)
		text := strings.Builder{}
		text.WriteString(strings.Join(fieldNames(c), ",") + "\n")
		for row := range rows {
			for i := range c.Fields {
				if i > 0 {
					text.WriteByte(',')
				}
				text.WriteString(largeCell(c, &c.Fields[i], row, pointsTo))
			}
			text.WriteByte('\n')
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, "reference", name+".csv"), []byte(text.String()), 0o644))
	}
	return dir
}

func largeCell(c *contract.Contract, field *contract.Field, row int, pointsTo string) string {
	switch {
	case len(field.Constraints.Enum) > 0:
		return field.Constraints.Enum[0]
	case field.Type == "number" || field.Type == "integer":
		return "1"
	case field.Type == "boolean":
		return "yes"
	case field.Type == "date":
		return "2028-01-01"
	case field.Type == "datetime":
		return "2028-01-01 00:00"
	case len(c.PrimaryKey) > 0 && c.PrimaryKey[0] == field.Name:
		return "n" + strconv.Itoa(row)
	}
	return pointsTo + strconv.Itoa(row)
}

// TestTimeOfLargeReference: the time that tables take grows with their rows, whatever names they point to, and a file beyond all districts
// is refused before its rows are read.
func TestTimeOfLargeReference(t *testing.T) {
	for _, pointsTo := range []string{"n", "unknown"} {
		began := time.Now()
		_, err := ReadReference(writeLargeReference(t, 20_000, pointsTo), &Settings{Location: time.UTC})
		require.Error(t, err)
		assert.Less(t, time.Since(began), 20*time.Second, pointsTo)
		assert.Less(t, strings.Count(err.Error(), "\n"), maxTableFaults*len(contract.ReferenceNames))
	}
	began := time.Now()
	_, err := ReadReference(writeLargeReference(t, 300_000, "n"), &Settings{Location: time.UTC})
	require.ErrorContains(t, err, "reference/trucks.csv: the file has 300001 lines, over 100000")
	assert.Less(t, time.Since(began), 20*time.Second)
}

// TestRouteLinesBeyondAllDistricts: too many positions, too many features and too large a file are refused before points are
// made of them; lines within the bounds, however many, know where they stand.
func TestRouteLinesBeyondAllDistricts(t *testing.T) {
	const begin, end = `{"type":"Feature","properties":{"route_id":"r"},"geometry":{"type":"LineString","coordinates":[[1,1]`, `]}}`
	for text, wanted := range map[string]string{
		begin + strings.Repeat(",[1,1]", 5_000_000) + end:                 "over 1000000 positions in the file",
		strings.Repeat(begin+end+",\n", 100_000) + begin + end:            "has 100001 features, over 100000",
		begin + strings.Repeat(",[1.00,1.0]", 3_100_000) + end:            "bytes, over 33554432",
		strings.Repeat(begin+",[1,2]"+end+",\n", 99_999) + begin + "]]}}": "geojson:100000: ",
	} {
		dir := t.TempDir()
		require.NoError(t, os.MkdirAll(filepath.Join(dir, "reference"), 0o755))
		require.NoError(t, os.WriteFile(filepath.Join(dir, "reference", "route_lines.geojson"),
			[]byte(`{"type":"FeatureCollection","features":[`+text+"]}"), 0o644))
		began := time.Now()
		_, err := ReadReference(dir, &Settings{Location: time.UTC})
		assert.ErrorContains(t, err, wanted)
		assert.Less(t, time.Since(began), 10*time.Second, wanted)
	}
}
