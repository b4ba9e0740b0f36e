package pipeline

import (
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
)

func TestVersionCommand(t *testing.T) {
	out, words, code := lanetally(t, "version")
	require.Zero(t, code, words)
	assert.Regexp(t, `^lanetally `+version+`, commit unknown, DuckDB v\d+\.\d+\.\d+\n$`, out)
}

// TestReleaseSaysItsVersion: the manifest has it, and a release from before there was one is still checked whole.
func TestReleaseSaysItsVersion(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	path := filepath.Join(dir, "current", release.ReleaseManifestName)
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	line := fmt.Sprintf(" \"version\": %q,\n", version)
	require.Contains(t, string(text), line)
	plain, _ := disk.Unseal([]byte(strings.TrimSpace(string(text)))) // manifests had no seal then
	require.NoError(t, os.WriteFile(path, []byte(strings.Replace(string(plain), line, "", 1)), 0o644))
	out, words, code := lanetally(t, "verify", dir)
	assert.Zero(t, code, out+words)
	m, err := release.ReadReleaseManifest(filepath.Join(dir, "current"))
	require.NoError(t, err)
	assert.Empty(t, m.Version)
}

// TestVersionsHoldTheDemosSeasons: the newest version that site/book/versions.csv lists has the program's first number, and its figures are
// those of the demo tonight. A changed definition that moves them needs a new number and new rows.
func TestVersionsHoldTheDemosSeasons(t *testing.T) {
	file, err := os.Open(filepath.Join(repoRoot, "site", "book", "versions.csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	newest := rows[len(rows)-1][0]
	first, _, _ := strings.Cut(newest, ".")
	assert.Equal(t, first, version[:strings.Index(version, ".")])

	l := runDemoNight(t).ledger(t)
	checked := 0
	for _, row := range rows[1:] {
		if row[0] != newest {
			continue
		}
		checked++
		tonight, err := ledger.ReadTable[struct {
			Rate   float64 `db:"rate"`
			Regain float64 `db:"regain"`
		}](t.Context(), l, `
			select sum(applied_lb - unplaced_lb) / sum(measured_lane_miles) as rate,
				sum(capped_regain_h * route_lane_miles) / sum(case when capped_regain_h is not null then route_lane_miles end) as regain
			from storm_routes
			where form = 'solid' and season = `+ledger.QuoteText(row[2])+` and material_class = `+ledger.QuoteText(row[3])+`
				and storm_id in (select storm_id from storms where not is_open)`)
		require.NoError(t, err)
		for i, figure := range []float64{tonight[0].Rate, tonight[0].Regain} {
			listed, err := strconv.ParseFloat(row[5+2*i], 64)
			require.NoError(t, err)
			assert.InDelta(t, figure, listed, 0.005000001, "%v", row)
		}
	}
	assert.Equal(t, 4, checked, "two seasons of two classes")
}
