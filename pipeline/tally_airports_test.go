package pipeline

import (
	"context"
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// airportsFolder is a district whose weather comes from outside, through a column mapping.
const airportsFolder = "../testdata/airports"

// airportReports reads the reports themselves, as they were published; the test is skipped where they are absent.
func airportReports(t *testing.T) (path string, reports [][]string) {
	t.Helper()
	folder := os.Getenv("LANETALLY_DATA")
	if folder == "" {
		folder = filepath.Join("..", "..", "shared", "data")
	}
	path = filepath.Join(folder, "three-airports-2022-01.csv")
	file, err := os.Open(path)
	if os.IsNotExist(err) {
		t.Skipf("%s: three-airports-2022-01.csv is not in the data folder (LANETALLY_DATA)", t.Name())
	}
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	require.Equal(t, 1+3*31*24, len(rows), "a header and 31 days of hourly reports of three stations")
	return path, rows[1:]
}

// openAirports loads the airports' district with the reports at path and tallies it.
func openAirports(ctx context.Context, t *testing.T, path string) *Ledger {
	t.Helper()
	dir := t.TempDir()
	require.NoError(t, os.CopyFS(dir, os.DirFS(airportsFolder)))
	reports, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "inbox", "weather"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "inbox", "weather", "2022-01.csv"), reports, 0o644))
	return tallyFolder(ctx, t, dir)
}

type airportStorm struct {
	StormID  string    `db:"storm_id"`
	ZoneID   string    `db:"zone_id"`
	BeganAt  time.Time `db:"began_at"`
	EndedAt  time.Time `db:"ended_at"`
	Kind     string    `db:"kind"`
	PrecipIn *float64  `db:"precip_in"`
}

// TestBlizzardOfJanuary2022: the storm of 28 and 29 January stands in all three zones, with the water that the reports add up to,
// and no storm touches a day on which no station reported precipitation.
func TestBlizzardOfJanuary2022(t *testing.T) {
	path, reports := airportReports(t)
	l := openAirports(t.Context(), t, path)
	storms, err := readTable[airportStorm](t.Context(), l, "select storm_id, zone_id, began_at, ended_at, kind, precip_in from storms")
	require.NoError(t, err)
	station := map[string]string{"zone-west": "KEWR", "zone-south": "KJFK", "zone-north": "KLGA"}
	blizzard := map[string]bool{}
	for _, s := range storms {
		if s.StormID != "coast-20220128" {
			continue
		}
		blizzard[s.ZoneID] = true
		assert.NotEqual(t, "dry", s.Kind)
		assert.Equal(t, "2022-01-28", s.BeganAt.Format(time.DateOnly), s.ZoneID)
		assert.True(t, s.EndedAt.After(time.Date(2022, 1, 29, 18, 0, 0, 0, time.UTC)), s.EndedAt)
		assert.True(t, s.EndedAt.Before(time.Date(2022, 1, 30, 6, 0, 0, 0, time.UTC)), s.EndedAt)
		require.NotNil(t, s.PrecipIn)
		assert.InDelta(t, waterBetween(t, reports, station[s.ZoneID], s.BeganAt, s.EndedAt), *s.PrecipIn, 1e-9)
		assert.Greater(t, *s.PrecipIn, 0.25, s.ZoneID)
	}
	require.Len(t, blizzard, 3)
	assertNoStormOnDryDays(t, reports, storms)
	assertAirportRoutes(t, l)
}

// waterBetween sums a station's inches as published; 1e-04 stands for a trace and adds nothing.
func waterBetween(t *testing.T, reports [][]string, station string, from, to time.Time) float64 {
	t.Helper()
	hundredths := 0
	for _, r := range reports {
		at, err := time.Parse("2006-01-02T15:04Z", r[1])
		require.NoError(t, err)
		if r[0] != station || at.Before(from) || at.After(to) || r[8] == "1e-04" {
			continue
		}
		inches, err := strconv.ParseFloat(r[8], 64)
		require.NoError(t, err)
		hundredths += int(inches*100 + 0.5)
	}
	return float64(hundredths) / 100
}

// assertNoStormOnDryDays holds the storms against the UTC days without any precipitation at any station. A storm cannot bridge a
// whole dry day, since its gaps are at most 6 h.
func assertNoStormOnDryDays(t *testing.T, reports [][]string, storms []airportStorm) {
	t.Helper()
	isWet := map[string]bool{}
	for _, r := range reports {
		if day := r[1][:10]; r[8] != "0" {
			isWet[day] = true
		} else if !isWet[day] {
			isWet[day] = false
		}
	}
	dryDays := 0
	for day, wet := range isWet {
		if wet {
			continue
		}
		dryDays++
		for _, s := range storms {
			assert.False(t, s.BeganAt.Format(time.DateOnly) <= day && s.EndedAt.Format(time.DateOnly) >= day, "%s on %s", s.StormID, day)
		}
	}
	assert.Greater(t, dryDays, 5)
}

// assertAirportRoutes: 1500 + 1380 lb on 12 lane-miles are 240 and 1400 lb on 10 are 140; the pass of the 12th is outside storms.
func assertAirportRoutes(t *testing.T, l *Ledger) {
	t.Helper()
	got := readCells(t.Context(), t, l, "storm_routes", []string{"storm_id", "route_id", "material_class", "storm_lb_per_lane_mi"})
	assert.Equal(t, [][]string{
		{"coast-20220128", "rn", "chloride", "240.0"},
		{"coast-20220128", "rs", "acetate", "140.0"},
	}, got)
	outside := readCells(t.Context(), t, l, "outside_storms", []string{"route_id", "applied_lb"})
	assert.Equal(t, [][]string{{"rs", "900.0"}}, outside)
}
