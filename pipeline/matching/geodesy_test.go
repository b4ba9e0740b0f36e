package matching

import (
	"bufio"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/paulmach/orb"
	"github.com/paulmach/orb/geo"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const geodesicFolder = "../../testdata/matching"

// legsPerLine is how many rows of lines.txt make a line.
const legsPerLine = 8

func readGeodesics(t *testing.T) (lines []orb.LineString) {
	t.Helper()
	file, err := os.Open(filepath.Join(geodesicFolder, "lines.txt"))
	require.NoError(t, err)
	defer file.Close()
	scanner := bufio.NewScanner(file)
	for row := 0; scanner.Scan(); row++ {
		var lat1, lon1, lat2, lon2 float64
		_, err := fmt.Sscan(scanner.Text(), &lat1, &lon1, &lat2, &lon2)
		require.NoError(t, err)
		if row%legsPerLine == 0 {
			lines = append(lines, orb.LineString{{lon1, lat1}})
		}
		last := len(lines) - 1
		lines[last] = append(lines[last], orb.Point{lon2, lat2})
	}
	require.NoError(t, scanner.Err())
	require.Len(t, lines, 10)
	return lines
}

func parseLengths(t *testing.T, text string) []float64 {
	t.Helper()
	var lengths []float64
	for _, field := range strings.Fields(text) {
		length, err := strconv.ParseFloat(field, 64)
		require.NoError(t, err)
		lengths = append(lengths, length)
	}
	require.Len(t, lengths, 10*legsPerLine)
	return lengths
}

// TestLengths: geodesic lengths of GeographicLib 2.1.2 (Karney 2013, "Algorithms for geodesics"), to 1 part in a million; the
// position and the mile at each leg's end likewise.
func TestLengths(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(geodesicFolder, "lengths.txt"))
	require.NoError(t, err)
	lengths := parseLengths(t, string(text))
	for i, line := range readGeodesics(t) {
		n, err := NewNetwork([]Route{{ID: "line", FromMi: 7, ToMi: 27, Line: line}}, DefaultSettings())
		require.NoError(t, err)
		whole := 0.0
		for leg := range legsPerLine {
			whole += lengths[i*legsPerLine+leg]
		}
		assert.InEpsilon(t, whole, n.LengthM(0), 1e-6, "line %d", i+1)
		so := 0.0
		for leg := range legsPerLine {
			so += lengths[i*legsPerLine+leg]
			at := position(n, 0, so)
			assert.InDelta(t, line[leg+1][0], at[0], 1e-6)
			assert.InDelta(t, line[leg+1][1], at[1], 1e-6)
			place := match(n, []Fix{{AtMS: 1, Lon: line[leg+1][0], Lat: line[leg+1][1]}})[0]
			assert.InDelta(t, 7+20*so/whole, n.Mile(place.Route, place.AlongM), 2e-5, "line %d, leg %d", i+1, leg+1)
		}
	}
}

// TestLengthsLive runs the programs of GeographicLib and PROJ where they are installed.
func TestLengthsLive(t *testing.T) {
	for _, c := range []struct {
		program, debian string
		args            []string
	}{
		{"GeodSolve", "geographiclib-tools", []string{"-i", "-p", "6"}},
		{"geod", "proj-bin", []string{"+ellps=WGS84", "-I", "-F", "%.6f"}},
	} {
		t.Run(c.program, func(t *testing.T) {
			if _, err := exec.LookPath(c.program); err != nil {
				t.Skipf("%s (Debian package %s) is not installed", c.program, c.debian)
			}
			compareLive(t, c.program, c.args)
		})
	}
}

func compareLive(t *testing.T, program string, args []string) {
	t.Helper()
	lines, err := os.Open(filepath.Join(geodesicFolder, "lines.txt"))
	require.NoError(t, err)
	defer lines.Close()
	command := exec.Command(program, args...)
	command.Stdin = lines
	out, err := command.Output()
	require.NoError(t, err)
	var third []string
	for _, row := range strings.Split(strings.TrimSpace(string(out)), "\n") {
		third = append(third, strings.Fields(row)[2])
	}
	text, err := os.ReadFile(filepath.Join(geodesicFolder, "lengths.txt"))
	require.NoError(t, err)
	committed := parseLengths(t, string(text))
	for i, length := range parseLengths(t, strings.Join(third, "\n")) {
		assert.InDelta(t, committed[i], length, 1e-5, "leg %d", i+1)
	}
}

// TestSphereIsLong holds the package comment to what it says of the sphere: the library's radius against the mean radius of the
// GRS 80 ellipsoid (Moritz 2000: 6,371,008.7714 m), and its length of a line north from 45 degrees against ours.
func TestSphereIsLong(t *testing.T) {
	assert.InDelta(t, 0.0011, orb.EarthRadius/6371008.7714-1, 0.00003)
	line := orb.LineString{plane(0, 0), plane(0, 5000)}
	n, err := NewNetwork([]Route{{ID: "line", Line: line}}, DefaultSettings())
	require.NoError(t, err)
	assert.Greater(t, math.Abs(geo.LengthHaversine(line)/n.LengthM(0)-1), 1e-3)
}
