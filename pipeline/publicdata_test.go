package pipeline

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
	"lanetally/pipeline/rows"
	"lanetally/site"
)

// publicFiles writes what a night publishes of a ledger and reads it all back, Parquet also as text, by path below public/.
func publicFiles(t *testing.T, l *ledger.Ledger, dir string, publish district.Publish) map[string]string {
	t.Helper()
	building := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(building, "data"), 0o755))
	require.NoError(t, os.MkdirAll(filepath.Join(building, "public", "data"), 0o755))
	require.NoError(t, release.WriteExports(t.Context(), l, disk.Layer{}, filepath.Join(building, "data")))
	view, err := release.ReadPublicView(t.Context(), l, disk.Layer{}, dir, publish)
	require.NoError(t, err)
	settings := district.DefaultSettings()
	compareAgain(t, l)
	settings.Name, settings.TimeZone, settings.Publish = "Meadow", "America/Chicago", publish
	data, err := release.ReadSiteData(t.Context(), l, settings, view)
	require.NoError(t, err)
	require.NoError(t, release.PublishData(t.Context(), disk.Layer{}, l, building, view))
	require.NoError(t, site.Write(data, func(name string, content []byte) error {
		path := filepath.Join(building, "public", filepath.FromSlash(name))
		return errors.Join(os.MkdirAll(filepath.Dir(path), 0o755), os.WriteFile(path, content, 0o644))
	}))
	broken, err := release.BrokenLinks(filepath.Join(building, "public"))
	require.NoError(t, err)
	assert.Empty(t, broken)
	return readPublic(t, filepath.Join(building, "public"))
}

func readPublic(t *testing.T, public string) map[string]string {
	t.Helper()
	files := map[string]string{}
	require.NoError(t, filepath.WalkDir(public, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		name, _ := filepath.Rel(public, path)
		files[filepath.ToSlash(name)] = string(text)
		if strings.HasSuffix(path, ".parquet") {
			files[filepath.ToSlash(name)+" read back"] = parquetText(t, path)
			stem := strings.TrimSuffix(path, ".parquet")
			if contractOf(t, "exports", filepath.Base(stem)).ParquetOnly {
				return nil
			}
			return release.CompareForms(t.Context(), stem)
		}
		return nil
	}))
	return files
}

func parquetText(t *testing.T, path string) string {
	t.Helper()
	var out bytes.Buffer
	table := release.NewCSVExport(&out)
	require.NoError(t, release.ReadParquet(t.Context(), path, table.Header,
		func(batch arrow.RecordBatch) error { return table.Rows(batch) }))
	require.NoError(t, table.Flush())
	return out.String()
}

func csvTable(t *testing.T, text string) (header []string, rows [][]string) {
	t.Helper()
	all, err := csv.NewReader(strings.NewReader(text)).ReadAll()
	require.NoError(t, err)
	require.NotEmpty(t, all)
	return all[0], all[1:]
}

// columnOf gives the cells of a column, without repeats, sorted.
func columnOf(t *testing.T, text, column string) []string {
	t.Helper()
	header, rows := csvTable(t, text)
	at := slices.Index(header, column)
	require.GreaterOrEqual(t, at, 0, column)
	var cells []string
	for _, row := range rows {
		cells = append(cells, row[at])
	}
	slices.Sort(cells)
	return slices.Compact(cells)
}

// poundsOf sums applied_lb over rows that keep wants, in hundredths.
func poundsOf(t *testing.T, text string, keep func(crewID string) bool) (hundredths, rows int64) {
	t.Helper()
	header, table := csvTable(t, text)
	crew, pounds := slices.Index(header, "crew_id"), slices.Index(header, "applied_lb")
	for _, row := range table {
		if keep(row[crew]) {
			rows++
			if row[pounds] != "" {
				x, err := strconv.ParseFloat(row[pounds], 64)
				require.NoError(t, err)
				hundredths += int64(math.Round(x * 100))
			}
		}
	}
	return hundredths, rows
}

var (
	demoCrewID = regexp.MustCompile(`crew-[0-9]+`)
	demoLabels = []string{"Ridge days", "Ridge nights", "Plain days", "Plain nights", "Shore days", "Shore nights", "Harbor yard"}
	fileLabel  = regexp.MustCompile(`\bc[0-9a-f]{10}\b`)
)

// labelsIn are the demo's crew labels that a text holds.
func labelsIn(text string) []string {
	return slices.DeleteFunc(slices.Clone(demoLabels), func(label string) bool { return !strings.Contains(text, label) })
}

// TestNoPageNamesAnotherCrew searches every published byte: with crew_pages = "own" a crew is named on its own page alone, whose address
// stands nowhere; with "none" nowhere at all.
func TestNoPageNamesAnotherCrew(t *testing.T) {
	demo := runDemoNight(t)
	l, dir := demo.ledger(t), t.TempDir()
	full := string(must(os.ReadFile(filepath.Join(demo.dir, "current", "data", "crew_storms.csv"))))
	nameCrewsInFinding(t, l)
	require.Regexp(t, `crew-66`, string(must(os.ReadFile(filepath.Join(demo.dir, "current", "data", "quarantine.csv")))),
		"the demo delivers a crew that nobody knows")

	own := publicFiles(t, l, dir, district.Publish{CrewPages: rows.CrewPagesOwn, CrewLabels: true})
	file, _, err := district.ReadCrewFile(dir)
	require.NoError(t, err)
	require.Len(t, file.Addresses, 7)
	owner := map[string]string{}
	for crewID, address := range file.Addresses {
		sheet := strings.TrimSuffix(address, ".html") + "-sheet.html"
		owner[address], owner[sheet] = crewID, crewID
		assert.Contains(t, own, address)
		assert.Contains(t, own, sheet)
	}
	for name, text := range own {
		named := slices.Compact(slices.Sorted(slices.Values(demoCrewID.FindAllString(text, -1))))
		if crewID := owner[name]; crewID != "" {
			assert.Equal(t, []string{crewID}, named, name)
			assert.Contains(t, text, `<meta name="robots" content="noindex`)
			assert.Contains(t, text, `<meta name="referrer" content="no-referrer">`)
			assert.Len(t, labelsIn(text), 1, name)
		} else {
			assert.Empty(t, named, name)
			assert.Empty(t, labelsIn(text), name)
		}
		for address, crewID := range owner {
			if owner[name] == crewID {
				continue
			}
			token := strings.TrimPrefix(address, "crews/")[:2*district.TokenBytes]
			assert.NotContains(t, text, token, name)
		}
		assert.NotContains(t, text, file.LabelSalt, name)
	}
	assert.NotContains(t, own, "crews.html")
	assert.Contains(t, own["crews/index.html"], "address of its own", "a web server has no reason to list the folder")
	assert.Contains(t, own[file.Addresses["crew-6"]], "fewer than 3 members")
	assert.NotContains(t, own[file.Addresses["crew-6"]], `id="crew-storms"`)
	assert.Contains(t, own[file.Addresses["crew-1"]], ">1 other crew<")

	// The files: six labels for the six crews of three or more, one of which has no acetate and so nothing to learn, as many rows and
	// pounds as the full export has for these.
	labels := columnOf(t, own["data/crew_storms.csv"], "crew_id")
	require.Len(t, labels, 6)
	noAcetate := fileLabel.FindString(own[file.Addresses["crew-7"]])
	learners := slices.DeleteFunc(slices.Clone(labels), func(label string) bool { return label == noAcetate })
	require.Len(t, learners, 5)
	assert.Equal(t, append([]string{"all"}, learners...), columnOf(t, own["data/learning.csv"], "crew_id"))
	pounds, found := poundsOf(t, full, func(crewID string) bool { return crewID != "crew-6" })
	public, publicRows := poundsOf(t, own["data/crew_storms.csv"], func(string) bool { return true })
	assert.Less(t, public, pounds, "some figures would tell those of crew-6")
	assert.Greater(t, public, pounds*8/10)
	assert.Equal(t, found, publicRows)
	header, table := csvTable(t, own["data/crew_storms.csv"])
	assert.True(t, slices.IsSortedFunc(table, func(a, b []string) int {
		for _, key := range []string{"storm_id", "crew_id", "route_id", "material_class", "form"} {
			if c := strings.Compare(a[slices.Index(header, key)], b[slices.Index(header, key)]); c != 0 {
				return c
			}
		}
		return 0
	}), "sorted by the labels, not by the ids behind them")
	for _, list := range columnOf(t, own["data/storm_routes.csv"], "crew_ids") {
		for _, label := range strings.Split(list, ";") {
			assert.Contains(t, append(labels, "other", ""), label)
		}
	}
	for crewID, address := range file.Addresses {
		assert.Equal(t, crewID != "crew-6", fileLabel.MatchString(own[address]), "each crew learns its own label")
	}

	elsewhere := t.TempDir()
	_, err = release.ReadPublicView(t.Context(), l, disk.Layer{}, elsewhere, district.Publish{CrewPages: rows.CrewPagesOwn})
	require.NoError(t, err)
	otherFile, _, err := district.ReadCrewFile(elsewhere)
	require.NoError(t, err)
	for _, label := range district.CrewLabels(otherFile.LabelSalt, []string{"crew-1", "crew-2", "crew-3"}) {
		assert.NotContains(t, labels, label)
	}

	empty := t.TempDir()
	none := publicFiles(t, l, empty, district.Publish{CrewPages: rows.CrewPagesNone, CrewLabels: true})
	for name, text := range none {
		assert.False(t, strings.HasPrefix(name, "crews") || strings.Contains(name, "crew_storms.csv") || strings.Contains(name,
			"crew_storms.parquet"), name)
		assert.False(t, strings.Contains(name, "weak_passes.csv") || strings.Contains(name, "weak_passes.parquet"), name)
		assert.Empty(t, demoCrewID.FindString(text), name)
		assert.Empty(t, labelsIn(text), name)
		if strings.HasPrefix(name, "data/") && strings.HasSuffix(name, ".csv") {
			header, _ := csvTable(t, text)
			if slices.Contains(header, "crew_ids") {
				assert.Subset(t, []string{"", "other"}, columnOf(t, text, "crew_ids"))
			}
		}
	}
	assert.Equal(t, []string{"all"}, columnOf(t, none["data/learning.csv"], "crew_id"))
	assert.NoFileExists(t, filepath.Join(empty, district.CrewFileName), "nothing to keep")
}

// nameCrewsInFinding makes a sheet and positions of one pass name different crews.
func nameCrewsInFinding(t *testing.T, l *ledger.Ledger) {
	t.Helper()
	require.NoError(t, l.Exec(t.Context(), `insert into findings by name select 'sheet_crew' as finding_code, 'truck' as subject_kind,
		'truck-1' as subject_id, 'crew-3' as name, 'crew-4;crew-5' as other_name`))
}

// TestSmallCrewsHaveNoFigures: crews of fewer than three, or of unknown size, have no figures in any mode, and of two crews none is told
// apart.
func TestSmallCrewsHaveNoFigures(t *testing.T) {
	l, dir := runDemoNight(t).ledger(t), t.TempDir()
	require.NoError(t, l.Exec(t.Context(), "update crews set members = case crew_id when 'crew-1' then null when 'crew-2' then "+
		"'Ada;Bo' when 'crew-6' then '9' else '3' end"))
	nameCrewsInFinding(t, l)
	all := publicFiles(t, l, dir, district.Publish{CrewPages: rows.CrewPagesAll})
	assert.Contains(t, all["data.html"], "crew: sheet: crew crew-3; positions: crew-4;crew-5")
	figures := []string{"crew-3", "crew-4", "crew-5", "crew-6"}
	assert.Equal(t, append(figures[:len(figures):len(figures)], "crew-7"), columnOf(t, all["data/crew_storms.csv"], "crew_id"),
		"crew-7 has no acetate, so nothing to learn")
	assert.Contains(t, all, "data/weak_passes.csv")
	assert.Equal(t, append([]string{"all"}, figures...), columnOf(t, all["data/learning.csv"], "crew_id"))
	assert.Contains(t, all["crews/crew-1.html"], "no number of members in crews.csv")
	assert.Contains(t, all["crews/crew-2.html"], "fewer than 3 members")
	for _, small := range []string{"crew-1", "crew-2"} {
		page := all["crews/"+small+".html"]
		assert.NotContains(t, page, `id="crew-storms"`)
		assert.Contains(t, page, `id="crew-routes"`)
		assert.NotContains(t, all["learning.html"], small+"<", "neither picture nor row")
	}
	assert.Contains(t, all["crews/crew-3.html"], `id="crew-storms"`)
	assert.Contains(t, all["learning.html"], ">crew-3<")

	require.NoError(t, l.Exec(t.Context(), "update crews set members = if(crew_id in ('crew-3', 'crew-4'), '3', '2')"))
	two := publicFiles(t, l, dir, district.Publish{CrewPages: rows.CrewPagesAll})
	assert.Contains(t, two["learning.html"], "it takes 3 crews of 3 members or more, and there are 2")
	assert.NotRegexp(t, demoCrewID, two["learning.html"])
	assert.Equal(t, []string{"all"}, columnOf(t, two["data/learning.csv"], "crew_id"))
	assert.Equal(t, []string{"crew-3", "crew-4"}, columnOf(t, two["data/crew_storms.csv"], "crew_id"))
	own := publicFiles(t, l, dir, district.Publish{CrewPages: rows.CrewPagesOwn})
	assert.Empty(t, columnOf(t, own["data/crew_storms.csv"], "crew_id"))
	file, _, err := district.ReadCrewFile(dir)
	require.NoError(t, err)
	assert.Contains(t, own[file.Addresses["crew-3"]], `id="crew-storms"`)
	assert.NotContains(t, own[file.Addresses["crew-3"]], `data/crew_storms.csv`, "no link to a file without its rows")
}

// TestRawLinesStayAtHome: rows set aside are published as delivered only where the district says so.
func TestRawLinesStayAtHome(t *testing.T) {
	demo := runDemoNight(t)
	l, dir := demo.ledger(t), t.TempDir()
	header, list := csvTable(t, string(must(os.ReadFile(filepath.Join(demo.dir, "current", "data", "quarantine.csv")))))
	raw := slices.Index(header, "raw")
	var delivered []string
	for _, row := range list {
		if len(row[raw]) > 20 && len(delivered) < 12 {
			delivered = append(delivered, row[raw])
		}
	}
	require.Len(t, delivered, 12)
	closed := publicFiles(t, l, dir, district.Publish{CrewPages: rows.CrewPagesAll})
	assert.Equal(t, []string{""}, columnOf(t, closed["data/quarantine.csv"], "raw"))
	assert.NotContains(t, closed["data.html"], "As delivered")
	for name, text := range closed {
		for _, line := range delivered {
			assert.NotContains(t, text, line, "%s holds %s", name, line)
		}
	}
	open := publicFiles(t, l, dir, district.Publish{CrewPages: rows.CrewPagesAll, RawLines: true})
	assert.Subset(t, columnOf(t, open["data/quarantine.csv"], "raw"), delivered)
	assert.Contains(t, open["data.html"], "As delivered")
}

// TestOwnPagesOverTwoNights: whole nights with the setting's default; the second changes no published byte, and the full exports know no
// labels.
func TestOwnPagesOverTwoNights(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, faultNow)
	first, private := treeHash(t, filepath.Join(dir, "current", "public")), readCrewText(t, dir)
	assert.NotEmpty(t, private)
	mustNight(t, dir, faultNow.AddDate(0, 0, 1))
	assert.Equal(t, first, treeHash(t, filepath.Join(dir, "current", "public")))
	assert.Equal(t, private, readCrewText(t, dir))
	crews := columnOf(t, string(must(os.ReadFile(filepath.Join(dir, "reference", "crews.csv")))), "crew_id")
	assert.Subset(t, crews, columnOf(t, string(must(os.ReadFile(filepath.Join(dir, "current", "data", "crew_storms.csv")))), "crew_id"))
	findings, err := release.VerifyDistrict(t.Context(), dir)
	require.NoError(t, err)
	assert.Empty(t, findings)
	require.NoError(t, os.WriteFile(filepath.Join(dir, district.CrewFileName), []byte("[addresses]\nx = 'crews/x.html'\n"), 0o600))
	_, words, code := lanetally(t, "nightly", dir)
	assert.Equal(t, exitSettings, code, words)
	assert.Contains(t, words, "crew_addresses.toml:2: addresses.x")
	_, words, code = lanetally(t, "check", dir)
	assert.Equal(t, exitSettings, code, words)
}
