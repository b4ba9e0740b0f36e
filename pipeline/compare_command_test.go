package pipeline

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
)

// TestCompareSaysWhatASettingWouldMove: what it lists is what a night with that setting publishes, figure by figure, and nothing else; the
// setting that is in force moves nothing; the district stays as it is.
func TestCompareSaysWhatASettingWouldMove(t *testing.T) {
	dir := copyTiny(t)
	night := func() {
		_, words, code := lanetally(t, "nightly", dir, "--now", demoNow)
		require.Zero(t, code, words)
	}
	exports := func() map[string][]map[string]string {
		all := map[string][]map[string]string{}
		for _, name := range contract.ExportNames {
			if promised := must(contract.LoadContract("exports", name)); !promised.ParquetOnly {
				all[name] = must(readPublished(dir, name))
			}
		}
		return all
	}
	night()
	before, release := exports(), must(os.Readlink(filepath.Join(dir, "current")))
	out, words, code := lanetally(t, "compare", dir, "--set", "cleanup_h=12")
	require.Zero(t, code, words)
	assert.Contains(t, out, "nothing moves")
	out, words, code = lanetally(t, "compare", dir, "--set", "cleanup_h=0", "--set", "wind_caution_mph=5")
	require.Zero(t, code, words)
	assert.Equal(t, release, must(os.Readlink(filepath.Join(dir, "current"))))
	assert.Empty(t, must(filepath.Glob(filepath.Join(dir, ".compare-*"))))
	assert.Contains(t, out, "cleanup_h=0 wind_caution_mph=5")

	settings := filepath.Join(dir, "district.toml")
	require.NoError(t, os.WriteFile(settings, []byte("cleanup_h = 0\nwind_caution_mph = 5\n"+string(must(os.ReadFile(settings)))), 0o644))
	paths := must(filepath.Glob(filepath.Join(dir, "compared", "*cleanup_h=0*.csv")))
	require.Len(t, paths, 1)
	listed := map[string]string{}
	for _, line := range must(csv.NewReader(strings.NewReader(string(must(os.ReadFile(paths[0]))))).ReadAll())[1:] {
		listed[strings.Join(line[:3], "|")] = line[4]
	}
	_, words, code = lanetally(t, "nightly", dir, "--now", demoNow, "--accept", "other settings")
	require.Zero(t, code, words)
	after, found := exports(), 0
	for name, rows := range after {
		promised := must(contract.LoadContract("exports", name))
		keyOf := func(row map[string]string) (key string) {
			for _, column := range promised.PrimaryKey {
				key += " " + row[column]
			}
			return key[1:]
		}
		was := map[string]map[string]string{}
		for _, row := range before[name] {
			was[keyOf(row)] = row
		}
		for _, row := range rows {
			key := keyOf(row)
			if was[key] == nil {
				assert.Equal(t, "there", listed[name+"|"+key+"|(row)"], "%s %s", name, key)
				found++
				continue
			}
			for column, cell := range row {
				value, isListed := listed[name+"|"+key+"|"+column]
				assert.Equal(t, cell != was[key][column], isListed, "%s %s %s", name, key, column)
				if isListed {
					assert.Equal(t, cell, value)
					found++
				}
			}
		}
		for key := range was {
			if value, isListed := listed[name+"|"+key+"|(row)"]; isListed && value == "" {
				found++
			}
		}
	}
	assert.Equal(t, len(listed), found)
	assert.Greater(t, found, 3)

	_, words, code = lanetally(t, "compare", dir, "--set", "storm_gap=4")
	assert.Equal(t, exitUsage, code)
	assert.Contains(t, words, `did you mean "storm_gap_h"`)
}
