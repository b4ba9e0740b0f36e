package pipeline

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"net/http"
	"net/http/httptest"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// lanetally runs a command line and gives its two outputs and its exit code.
func lanetally(t *testing.T, args ...string) (stdout, stderr string, code int) {
	t.Helper()
	var out, words bytes.Buffer
	err := Run(t.Context(), args, &out, &words)
	if err != nil {
		words.WriteString(err.Error())
	}
	return out.String(), words.String(), ExitCode(err)
}

// treeHash is one hash over the paths and contents below root, following a link at root.
func treeHash(t *testing.T, root string) string {
	t.Helper()
	resolved, err := filepath.EvalSymlinks(root)
	require.NoError(t, err)
	sum, files := sha256.New(), 0
	require.NoError(t, filepath.WalkDir(resolved, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		text, err := os.ReadFile(path)
		files++
		sum.Write([]byte(strings.TrimPrefix(path, resolved) + "\x00"))
		sum.Write(text)
		return err
	}))
	require.Positive(t, files)
	return hex.EncodeToString(sum.Sum(nil))
}

// TestNightlyGivesTheSameBytes: a second night over the same deliveries, and a rebuild without the ledger, change no byte of exports or
// site.
func TestNightlyGivesTheSameBytes(t *testing.T) {
	dir := copyDemoNight(t).dir
	data, public := treeHash(t, filepath.Join(dir, "current", "data")), treeHash(t, filepath.Join(dir, "current", "public"))

	out, words, code := lanetally(t, "nightly", dir, "--now", "2029-03-07T09:15:00Z")
	require.Zero(t, code, words)
	assert.Equal(t, filepath.Join(dir, "current", "public", "index.html")+"\n", out)
	assert.FileExists(t, strings.TrimSpace(out))
	assert.Equal(t, data, treeHash(t, filepath.Join(dir, "current", "data")), "second night")
	assert.Equal(t, public, treeHash(t, filepath.Join(dir, "current", "public")), "second night")

	require.NoError(t, os.Remove(filepath.Join(dir, "ledger.duckdb")))
	_, words, code = lanetally(t, "nightly", dir, "--now", "2029-03-08T09:15:00Z")
	require.Zero(t, code, words)
	assert.Equal(t, data, treeHash(t, filepath.Join(dir, "current", "data")), "rebuilt from inbox and archive")

	require.NoError(t, os.Remove(filepath.Join(dir, "ledger.duckdb")))
	require.NoError(t, os.RemoveAll(filepath.Join(dir, "inbox")))
	_, words, code = lanetally(t, "nightly", dir, "--now", "2029-03-09T09:15:00Z")
	require.Zero(t, code, words)
	assert.Equal(t, data, treeHash(t, filepath.Join(dir, "current", "data")), "rebuilt from the archive alone")
}

func TestNightlyFaultsKeepTheOldRelease(t *testing.T) {
	dir := copyDemoNight(t).dir
	before := treeHash(t, filepath.Join(dir, "current"))

	for _, c := range []struct {
		file, from, to string
		code           int
		says           string
	}{
		{"district.toml", "[publish]", "[publish]\ncrew_labls = true", exitSettings, "crew_labels"},
		{"reference/trucks.csv", "\nN1,", "\nN1,180\nN1,", exitReference, "trucks.csv"},
	} {
		t.Run(c.file, func(t *testing.T) {
			path := filepath.Join(dir, c.file)
			kept, err := os.ReadFile(path)
			require.NoError(t, err)
			broken := strings.Replace(string(kept), c.from, c.to, 1)
			require.NotEqual(t, string(kept), broken)
			require.NoError(t, os.WriteFile(path, []byte(broken), 0o644))
			_, words, code := lanetally(t, "nightly", dir, "--now", "2029-03-07T09:15:00Z")
			assert.Equal(t, c.code, code, words)
			assert.Contains(t, words, c.says)
			assert.Equal(t, before, treeHash(t, filepath.Join(dir, "current")))
			require.NoError(t, os.WriteFile(path, kept, 0o644))
		})
	}
	_, words, code := lanetally(t, "status", dir, "--now", "2029-03-07T09:15:00Z")
	assert.Equal(t, exitFound, code, words)
}

func TestNightlyStoppedBySignal(t *testing.T) {
	dir := writeDemo(t)
	ctx, stop := context.WithCancelCause(t.Context())
	stop(Stopped{Signal: syscall.SIGTERM})
	_, err := Nightly(ctx, NightlyOptions{Dir: dir, Now: time.Date(2029, 3, 1, 9, 15, 0, 0, time.UTC), Words: io.Discard})
	assert.Equal(t, 143, ExitCode(err))
	assert.NoDirExists(t, filepath.Join(dir, "current"))
}

func TestLockKeepsASecondRunOut(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "log"), 0o755))
	unlock, err := lockDistrict(dir, time.Date(2029, 3, 1, 9, 15, 0, 0, time.UTC))
	require.NoError(t, err)
	_, words, code := lanetally(t, "nightly", dir, "--now", demoNow)
	assert.Equal(t, exitBusy, code)
	assert.Contains(t, words, "begun 2029-03-01T09:15:00Z")
	require.NoError(t, unlock())
}

func TestServeSite(t *testing.T) {
	dir := t.TempDir()
	releaseOf(t, dir, "20290101", "the season")
	ctx, stop := context.WithCancel(t.Context())
	address, ended := make(chan string, 1), make(chan error, 1)
	go func() {
		ended <- serveSite(ctx, dir, 0, func(at string) error { address <- at; return nil })
	}()
	response, err := http.Get(<-address)
	require.NoError(t, err)
	text, err := io.ReadAll(response.Body)
	require.NoError(t, err)
	require.NoError(t, response.Body.Close())
	assert.Equal(t, "the season", string(text))
	stop()
	assert.ErrorIs(t, <-ended, context.Canceled)
}

// TestServeSiteAnswers: only requests that name this machine, no folder without a page, no link, and no file that is none.
func TestServeSiteAnswers(t *testing.T) {
	dir := t.TempDir()
	releaseOf(t, dir, "20290101", "the season")
	public := filepath.Join(dir, "current", "public")
	require.NoError(t, os.MkdirAll(filepath.Join(public, "data", "paged"), 0o755))
	for _, name := range []string{"data/storms.csv", "data/paged/index.html", "../secret.txt"} {
		require.NoError(t, os.WriteFile(filepath.Join(public, name), []byte(name), 0o644))
	}
	require.NoError(t, os.Symlink("../secret.txt", filepath.Join(public, "secret.txt")))
	require.NoError(t, os.Symlink("data/storms.csv", filepath.Join(public, "inside.csv")))
	require.NoError(t, os.Symlink("data", filepath.Join(public, "linked")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(public, "pipe.html"), 0o644))
	served := loopbackOnly(http.FileServerFS(siteFiles{filepath.Join(dir, "current")}))
	ask := func(host, path string) int {
		request := httptest.NewRequest(http.MethodGet, path, nil)
		request.Host = host
		answer := httptest.NewRecorder()
		served.ServeHTTP(answer, request)
		return answer.Code
	}
	for host, code := range map[string]int{"localhost": 200, "LOCALHOST:8080": 200, "127.0.0.1:8080": 200, "127.1.2.3": 200,
		"[::1]:8080": 200, "rebound.example": 403, "rebound.example:8080": 403, "192.0.2.1": 403, "localhost.example": 403, "": 403} {
		assert.Equal(t, code, ask(host, "/"), "host %q", host)
	}
	for path, code := range map[string]int{"/data/storms.csv": 200, "/data/paged/": 200, "/data/": 404, "/data": 404, "/secret.txt": 404,
		"/inside.csv": 404, "/linked/storms.csv": 404, "/pipe.html": 404, "/nothing.html": 404, "/../secret.txt": 404} {
		assert.Equal(t, code, ask("localhost", path), path)
	}
}

func TestCommandsPrintJSON(t *testing.T) {
	dir := writeDemo(t)
	out, words, code := lanetally(t, "nightly", dir, "--json", "--now", demoNow)
	require.Zero(t, code, words)
	var report RunReport
	require.NoError(t, json.Unmarshal([]byte(out), &report))
	assert.Positive(t, report.Counts.Storms)
	require.NotNil(t, report.AsOfAt)

	now := report.AsOfAt.Add(time.Hour).Format(time.RFC3339)
	out, words, code = lanetally(t, "status", dir, "--json", "--now", now)
	require.Contains(t, []int{exitDone, exitFound}, code, words)
	var status districtStatus
	require.NoError(t, json.Unmarshal([]byte(out), &status))
	require.NotNil(t, status.DataAgeH)
	assert.Equal(t, 1.0, *status.DataAgeH)

	storms, err := readPublished(dir, "storms")
	require.NoError(t, err)
	require.NotEmpty(t, storms)
	out, words, code = lanetally(t, "storm", dir, storms[0]["storm_id"], "--json")
	require.Zero(t, code, words)
	var storm struct {
		StormID string           `json:"storm_id"`
		Zones   []map[string]any `json:"zones"`
		Routes  []map[string]any `json:"routes"`
	}
	require.NoError(t, json.Unmarshal([]byte(out), &storm))
	assert.Equal(t, storms[0]["began_at"], storm.Zones[0]["began_at"])
	assert.Equal(t, storms[0]["hours"], strconv.FormatFloat(storm.Zones[0]["hours"].(float64), 'f', -1, 64))
	assert.Equal(t, false, storm.Zones[0]["is_open"])
	assert.IsType(t, "", storm.Routes[0]["route_id"])

	published, err := readPublished(dir, "plans")
	require.NoError(t, err)
	out, words, code = lanetally(t, "plan", dir, "--json")
	require.Zero(t, code, words)
	var plans []rows.Plan
	require.NoError(t, json.Unmarshal([]byte(out), &plans))
	require.Len(t, plans, 3)
	found := 0
	for _, row := range published {
		for _, plan := range plans {
			if row["design"] == plan.Design && row["margin"] == "0.1" {
				assert.Equal(t, row["chance_share"], strconv.FormatFloat(plan.ChanceShare, 'f', -1, 64), "the night's and the command's")
				found++
			}
		}
	}
	assert.Equal(t, 3, found)

	_, _, code = lanetally(t, "storm", dir, "no-such-storm")
	assert.Equal(t, exitUsage, code)
	_, _, code = lanetally(t, "nightli", dir)
	assert.Equal(t, exitUsage, code)
}

// TestNewDistrictRuns: an empty district publishes a site; check and status say that nothing has come yet, and what to do.
func TestNewDistrictRuns(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "winter")
	_, words, code := lanetally(t, "new", dir, "--name", "Hill district")
	require.Zero(t, code, words)
	out, words, code := lanetally(t, "check", dir)
	require.Equal(t, exitFound, code, words)
	assert.True(t, strings.HasPrefix(out, "nothing comes out: no pass is in force: put pass sheets into inbox/passes/, or "), out)
	assert.Contains(t, out, "\nnothing comes out: no weather report is in force")
	assert.Contains(t, out, "\nmissing: time_zone is UTC, as in an empty district: ")
	_, words, code = lanetally(t, "nightly", dir, "--now", demoNow)
	require.Zero(t, code, words)
	page, err := os.ReadFile(filepath.Join(dir, "current", "public", "index.html"))
	require.NoError(t, err)
	assert.Contains(t, string(page), "Hill district")
	out, _, code = lanetally(t, "status", dir, "--now", demoNow)
	assert.Equal(t, exitFound, code)
	assert.Contains(t, out, "look at    nothing comes out: no pass is in force: ")
	_, _, code = lanetally(t, "new", dir)
	assert.Equal(t, exitUsage, code)
	_, words, code = lanetally(t, "demo", dir)
	assert.Equal(t, exitUsage, code, words)
}

// TestCheckNamesThePlace: file, line and column where there are some; a file refused whole has neither line nor column.
func TestCheckNamesThePlace(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "winter")
	_, words, code := lanetally(t, "new", dir)
	require.Zero(t, code, words)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "inbox", "passes", "notes.doc"), []byte("no passes"), 0o644))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "inbox", "stock", "a.csv"),
		[]byte("stockpile_id,material_id,at,kind,amount_lb\np,m,2028-01-05 06:00,count,many\n"), 0o644))
	out, words, code := lanetally(t, "check", dir)
	assert.Equal(t, exitFound, code, words)
	assert.Contains(t, out, "\npasses/notes.doc: kind of file that is not read; ")
	assert.Contains(t, out, "\nstock/a.csv:2: amount_lb: not a number; ")
}

// TestCheckNamesCauses: thousands of rows that one cause sets aside are one line with their number and first place; names that a
// table lacks are a line each while they are few, and one line when they are many.
func TestCheckNamesCauses(t *testing.T) {
	dir := copyTiny(t)
	write := func(feed, header string, rows int, row func(int) string) {
		text := header
		for i := range rows {
			text += row(i)
		}
		require.NoError(t, os.WriteFile(filepath.Join(dir, "inbox", feed, "more.csv"), []byte(text), 0o644))
	}
	write("weather", "station_id,observed_at,air_f\n", 600, func(i int) string {
		return fmt.Sprintf("s%d,2028-01-%02d %02d:00,28\n", i%3, 1+i%28, i%24)
	})
	const passes = "pass_id,truck_id,crew_id,route_id,began_at,ended_at\n"
	write("passes", passes, 2290, func(i int) string {
		if i < 2000 {
			return fmt.Sprintf("w%d,t1,c1,r1,%d/1/2028 1:10 AM,%d/1/2028 1:40 AM\n", i, 1+i%12, 1+i%12)
		}
		return fmt.Sprintf("w%d,V-%d,c1,r1,2028-01-10 06:00,2028-01-10 06:30\n", i, i%58)
	})
	out, words, code := lanetally(t, "check", dir)
	assert.Equal(t, exitFound, code, words)
	assert.Less(t, strings.Count(out, "\n"), 25, out)
	assert.Contains(t, out, "\npasses/more.csv:2: began_at: 2000 rows, the first here: not a time; ")
	assert.Contains(t, out, "\npasses/more.csv:2002: truck_id: 290 rows, the first here: unknown truck; ")
	assert.Contains(t, out, "station_id: 200 rows, the first here: unknown station; station_id \"s1\"")
	assert.Contains(t, out, "station_id: 200 rows, the first here: unknown station; station_id \"s2\"")
	assert.Contains(t, out, " names not in stations.csv, trucks.csv: add them there")
}

// TestViewRefuses: a port that is none, and a district that has published nothing.
func TestViewRefuses(t *testing.T) {
	_, words, code := lanetally(t, "view", t.TempDir(), "--port", "65536")
	assert.Equal(t, exitUsage, code, words)
	_, words, code = lanetally(t, "view", t.TempDir(), "--port", "65535")
	assert.Equal(t, exitFiles, code)
	assert.Contains(t, words, "run lanetally nightly")
}

// TestThreeAirports runs a real month of hourly weather, under its own headers, through a column mapping. The storm of 28 to 29 January
// 2022 is in the public record;
// the dry days were counted from the file by hand: no hour of 1 to 4, 13 to 15 or 30 to 31 January has precipitation at or below 34 F.
func TestThreeAirports(t *testing.T) {
	data := os.Getenv("LANETALLY_DATA")
	if data == "" {
		data = filepath.Join(repoRoot, "..", "shared", "data")
	}
	weather, err := os.ReadFile(filepath.Join(data, "three-airports-2022-01.csv"))
	if err != nil {
		t.Skip("three-airports-2022-01.csv is not in LANETALLY_DATA")
	}
	dir := filepath.Join(t.TempDir(), "airports")
	require.NoError(t, os.CopyFS(dir, os.DirFS(filepath.Join(repoRoot, "testdata", "three-airports"))))
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "inbox", "weather"), 0o755))
	require.NoError(t, os.WriteFile(filepath.Join(dir, "inbox", "weather", "2022-01.csv"), weather, 0o644))
	_, words, code := lanetally(t, "nightly", dir, "--now", "2022-02-01T09:15:00Z")
	require.Zero(t, code, words)
	storms, err := readPublished(dir, "storms")
	require.NoError(t, err)
	zones := map[string]string{}
	for _, storm := range storms {
		if storm["storm_id"] == "airports-20220128" {
			zones[storm["zone_id"]] = storm["began_at"] + " " + storm["ended_at"]
		}
		for _, dry := range []string{"2022-01-01", "2022-01-02", "2022-01-03", "2022-01-04", "2022-01-13", "2022-01-14", "2022-01-15",
			"2022-01-30", "2022-01-31"} {
			assert.False(t, storm["began_at"] < dry+"T24" && storm["ended_at"] >= dry, "%s on %s", storm["storm_id"], dry)
		}
	}
	require.Len(t, zones, 3)
	for zone, span := range zones {
		assert.Contains(t, span, "2022-01-28T", zone)
		assert.Contains(t, span, " 2022-01-29T", zone)
	}
	checkTraces(t, dir, weather)
	routes, err := readPublished(dir, "storm_routes")
	require.NoError(t, err)
	require.Len(t, routes, 3)
	// North span: (2400 + 2080) lb over 2 passes of 4 mi x 2 lanes = 16 lane-miles: 280 lb per lane-mile in 2 applications.
	assert.Equal(t, "280", routes[0]["rate_lb_per_lane_mi"])
	assert.Equal(t, "2", routes[0]["applications"])
	assert.Equal(t, "560", routes[0]["storm_lb_per_lane_mi"])
}

// checkTraces: 1e-04 in the delivered file, its word for less than 0.01 in, is a trace of 0 in, and nothing else is.
func checkTraces(t *testing.T, dir string, weather []byte) {
	t.Helper()
	delivered := bytes.Count(weather, []byte(",1e-04,")) + bytes.Count(weather, []byte(",1e-04\n"))
	require.Positive(t, delivered)
	l, err := ledger.Open(t.Context(), filepath.Join(dir, "ledger.duckdb"))
	require.NoError(t, err)
	defer func() { require.NoError(t, l.Close()) }()
	assert.Equal(t, []string{strconv.Itoa(delivered) + "|0.0"},
		textRows(t, l, "select count(*), max(precip_in) from observations where precip_is_trace"))
}
