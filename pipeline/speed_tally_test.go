package pipeline

import (
	"context"
	"database/sql"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
)

// python is Debian's own, for which its package of pandas is.
const python = "/usr/bin/python3"

// benchTables are what the three scripts in testdata/bench read, with times as seconds and truth values as 0 and 1.
var benchTables = map[string]string{
	"observations": "select station_id, cast(epoch(observed_at) as bigint) as at_s, air_f, surface_f, precip_in, cast(precip_is_trace " +
		"as int) as precip_is_trace, present_wx from observations",
	"stations": "select station_id, zone_id from stations",
	"zones":    "select zone_id, district_id from zones",
	"present_wx_codes": `select present_wx, cast(is_frozen_any_temp as int) as is_frozen_any_temp, cast(is_frozen_cold as int) as
		is_frozen_cold,
		cast(is_cold_precip as int) as is_cold_precip, cast(has_precip as int) as has_precip, cast(has_blowing_snow as int) as
			has_blowing_snow from present_wx_codes`,
	"passes": `select pass_key, route_id, cast(epoch(began_at) as bigint) as at_s, from_mi, to_mi, lanes, lane_miles, material_id,
		rate_set_lb_per_lane_mi,
		dispensed_lb, dispensed_gal, purpose from passes`,
	"routes":    "select route_id, zone_id, from_mi, to_mi, lanes_per_pass, lane_miles from routes",
	"materials": "select material_id, class, form, dry_lb_per_gal from materials",
}

// What the scripts compute, and the same of our own tables, each row keyed by its first columns.
const (
	scriptStorms = "select run_s, zone_id, began_s, ended_s from bench_storms"
	scriptRates  = "select run_s, route_id, material_class, form, passes, treated_lane_miles, applied_lb, rate_lb_per_lane_mi, " +
		"storm_lb_per_lane_mi, applications from bench_rates"
	ownStorms = "select epoch(run_began_at), zone_id, epoch(began_at), epoch(ended_at) from storms"
	ownRates  = `select epoch(storms.run_began_at), route_id, material_class, form, treating_passes, treated_lane_miles, applied_lb,
		rate_lb_per_lane_mi, storm_lb_per_lane_mi, applications
		from storm_routes inner join storms using (storm_id, zone_id) where material_class is not null`
)

func benchScript(t *testing.T, name string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(repoRoot, "testdata", "bench", name))
	require.NoError(t, err)
	return string(text)
}

// tallyRows are rows by key: the numbers behind it. A missing number is NaN.
type tallyRows map[string][]float64

func rowsOf(t *testing.T, l *ledger.Ledger, query string, keys int) tallyRows {
	t.Helper()
	found := tallyRows{}
	rows, err := l.Conn.QueryContext(t.Context(), "select columns(*)::varchar from ("+query+")")
	require.NoError(t, err)
	defer rows.Close()
	columns, err := rows.Columns()
	require.NoError(t, err)
	cells, places := make([]sql.NullString, len(columns)), make([]any, len(columns))
	for i := range cells {
		places[i] = &cells[i]
	}
	for rows.Next() {
		require.NoError(t, rows.Scan(places...))
		texts := make([]string, len(cells))
		for i, cell := range cells {
			texts[i] = cell.String
		}
		found.add(t, texts, keys)
	}
	require.NoError(t, rows.Err())
	return found
}

func (r tallyRows) add(t *testing.T, cells []string, keys int) {
	t.Helper()
	var numbers []float64
	for _, cell := range cells[keys:] {
		number := math.NaN()
		if cell != "" {
			var err error
			number, err = strconv.ParseFloat(cell, 64)
			require.NoError(t, err)
		}
		numbers = append(numbers, number)
	}
	begin, err := strconv.ParseFloat(cells[0], 64)
	require.NoError(t, err)
	key := fmt.Sprint(int64(begin), cells[1:keys])
	require.NotContains(t, r, key)
	r[key] = numbers
}

// assertSameTally: the same rows, and numbers equal to a millionth part.
func assertSameTally(t *testing.T, want, got tallyRows, what string) {
	t.Helper()
	require.Len(t, got, len(want), what)
	for key, numbers := range want {
		require.Contains(t, got, key, what)
		for i, number := range numbers {
			other := got[key][i]
			if math.IsNaN(number) || math.IsNaN(other) {
				require.Equal(t, math.IsNaN(number), math.IsNaN(other), "%s: %s: %d", what, key, i)
			} else {
				require.InDelta(t, number, other, 1e-6*max(1, math.Abs(number)), "%s: %s: %d", what, key, i)
			}
		}
	}
}

// loadedSheets loads a season of pass sheets.
func loadedSheets(t *testing.T, size fleetSize) *night {
	t.Helper()
	f, dir := newFleet(size), filepath.Join(t.TempDir(), "district")
	newFleetDistrict(t, dir, f)
	for day := range size.StormDays {
		deliverSheets(t, dir, f, day)
	}
	n, _ := loadedNight(t, dir)
	return n
}

// TestTallyAgreesWithAHandWrittenScript: one plain script of SQL, written by the definitions and not from our queries, finds the same
// storms and rates.
func TestTallyAgreesWithAHandWrittenScript(t *testing.T) {
	n := loadedSheets(t, shrunk(sheetFleet(), 6, 0, 400))
	defer func() { assert.NoError(t, n.ledger.Close()) }()
	require.NoError(t, n.ledger.InTx(t.Context(), func() error {
		return walk(t.Context(), n.ledger, n.settings, stretchTell, stretchMoney)
	}))
	require.NoError(t, n.ledger.Exec(t.Context(), benchScript(t, "tally.sql")))
	storms, rates := rowsOf(t, n.ledger, ownStorms, 2), rowsOf(t, n.ledger, ownRates, 4)
	assert.Greater(t, len(storms), 5)
	assert.Greater(t, len(rates), 300)
	assertSameTally(t, storms, rowsOf(t, n.ledger, scriptStorms, 2), "storms")
	assertSameTally(t, rates, rowsOf(t, n.ledger, scriptRates, 4), "rates")
}

// measureTally holds the whole tally against the three scripts.
func (b *bench) measureTally() {
	n := loadedSheets(b.T, b.sheets)
	defer func() { require.NoError(b, n.ledger.Close()) }()
	ctx := context.Background()
	whole := func() { require.NoError(b, n.tally(ctx)) }
	whole() // makes the tables that the scripts read
	script, plain := benchScript(b.T, "tally.sql"), b.plainCopy(n)
	own := b.inTurn(whole, func() { require.NoError(b, plain.Exec(ctx, script)) })
	storms, rates := rowsOf(b.T, n.ledger, ownStorms, 2), rowsOf(b.T, n.ledger, ownRates, 4)
	assertSameTally(b.T, storms, rowsOf(b.T, plain, scriptStorms, 2), "storms of tally.sql")
	assertSameTally(b.T, rates, rowsOf(b.T, plain, scriptRates, 4), "rates of tally.sql")

	folder := b.TempDir()
	b.copyTables(n, folder)
	pandas, sqlite := b.pandasSeconds(folder), b.sqliteSeconds(folder)
	for _, other := range []string{"pandas", "sqlite"} {
		assertSameTally(b.T, storms, csvRows(b.T, filepath.Join(folder, other+"_storms.csv"), 2), "storms of "+other)
		assertSameTally(b.T, rates, csvRows(b.T, filepath.Join(folder, other+"_rates.csv"), 4), "rates of "+other)
	}
	core := b.coreSeconds(n)
	b.note("passes, observations in force", "%d, %d", b.count(n, "passes"), b.count(n, "observations"))
	b.note("storms, attribution and rates in one script of SQL", "%.2f s", own[1])
	b.ask("the whole tally, against that script", own[0]/own[1], 1.5, "%.2f times")
	b.note("of it our queries that find storms, attribution and rates, against that script", "%.2f times", core/own[1])
	b.ask("the whole tally, against the script in pandas (less than a third is asked)", own[0]/pandas, 1./3, "%.3f times")
	b.ask("the whole tally, against the script in SQLite (less than a half is asked)", own[0]/sqlite, 1./2, "%.3f times")
	b.note("our queries for storms, attribution and rates, against pandas and SQLite", "%.3f and %.3f times", core/pandas, core/sqlite)
}

// plainCopy opens a copy of a ledger as anyone would, without the ledger's settings.
func (b *bench) plainCopy(n *night) *ledger.Ledger {
	require.NoError(b, n.ledger.Exec(context.Background(), "checkpoint"))
	text, err := os.ReadFile(filepath.Join(n.Dir, "ledger.duckdb"))
	require.NoError(b, err)
	path := filepath.Join(b.TempDir(), "copy.duckdb")
	require.NoError(b, os.WriteFile(path, text, 0o600))
	conn, err := openPlain(b.T, path).Conn(context.Background())
	require.NoError(b, err)
	b.Cleanup(func() { assert.NoError(b, conn.Close()) })
	return &ledger.Ledger{Conn: conn}
}

func (b *bench) count(n *night, table string) int {
	rows, err := ledger.ReadTable[struct {
		N int `db:"n"`
	}](context.Background(), n.ledger, "select count(*) as n from "+table)
	require.NoError(b, err)
	return rows[0].N
}

// coreTables are those of our tables that hold what the scripts give.
var coreTables = []string{"wintry_observations", "wintry_runs", "storm_runs", "declared_claims", "storm_ids", "storm_zones",
	"placed_passes", "pass_storms", "storm_passes", "treatments"}

func (b *bench) coreSeconds(n *night) float64 {
	return b.inTurn(func() {
		for _, s := range wholeNight() {
			if slices.Contains(coreTables, s.table) {
				require.NoError(b, s.run(context.Background(), n.ledger, n.settings))
			}
		}
	})[0]
}

// copyTables writes what the scripts read as CSV. The ledger itself may write no file.
func (b *bench) copyTables(n *night, folder string) {
	for name, query := range benchTables {
		writeTo(b.T, filepath.Join(folder, name+".csv"), func(file *os.File) error {
			return writeCSV(b.T, n.ledger, file, query)
		})
	}
}

func writeCSV(t *testing.T, l *ledger.Ledger, file *os.File, query string) error {
	rows, err := l.Conn.QueryContext(t.Context(), "select columns(*)::varchar from ("+query+")")
	require.NoError(t, err)
	defer rows.Close()
	columns, err := rows.Columns()
	require.NoError(t, err)
	out := csv.NewWriter(file)
	require.NoError(t, out.Write(columns))
	cells, places, texts := make([]sql.NullString, len(columns)), make([]any, len(columns)), make([]string, len(columns))
	for i := range cells {
		places[i] = &cells[i]
	}
	for rows.Next() {
		require.NoError(t, rows.Scan(places...))
		for i, cell := range cells {
			texts[i] = cell.String
		}
		require.NoError(t, out.Write(texts))
	}
	out.Flush()
	require.NoError(t, rows.Err())
	return out.Error()
}

func csvRows(t *testing.T, path string, keys int) tallyRows {
	t.Helper()
	file, err := os.Open(path)
	require.NoError(t, err)
	defer file.Close()
	records, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	found := tallyRows{}
	for _, record := range records[1:] {
		found.add(t, record, keys)
	}
	return found
}

// pandasSeconds runs the script five times in one process, its tables read beforehand.
func (b *bench) pandasSeconds(folder string) float64 {
	out, err := exec.Command(python, filepath.Join(repoRoot, "testdata", "bench", "tally_pandas.py"), folder).Output()
	require.NoError(b, err, "is pandas installed? sh .ci/setup bench")
	var seconds []float64
	require.NoError(b, json.Unmarshal(out, &seconds))
	return median(seconds)
}

// sqliteSeconds runs the script in processes of their own over a database that holds the tables already.
func (b *bench) sqliteSeconds(folder string) float64 {
	path := filepath.Join(folder, "tables.sqlite")
	fill := ".mode csv\n"
	for name, query := range benchTables {
		fill += fmt.Sprintf("create table %s (%s);\n.import --skip 1 %s %s\n", name, sqliteColumns(query),
			filepath.Join(folder, name+".csv"), name)
		for _, column := range strings.Split(sqliteColumns(query), ", ") {
			column, _, _ = strings.Cut(column, " ")
			fill += fmt.Sprintf("update %s set %s = null where %s = '';\n", name, column, column)
		}
	}
	b.sqlite(path, fill)
	script := "pragma temp_store = memory; pragma cache_size = -1000000;\n" + benchScript(b.T, "tally_sqlite.sql")
	seconds := b.inTurn(func() { b.sqlite(path, script) })[0]
	for what, query := range map[string]string{"storms": scriptStorms, "rates": scriptRates} {
		script += fmt.Sprintf(".headers on\n.mode csv\n.output %s\n%s;\n", filepath.Join(folder, "sqlite_"+what+".csv"), query)
	}
	b.sqlite(path, script)
	return seconds
}

func (b *bench) sqlite(path, script string) {
	command := exec.Command("sqlite3", "-bail", path)
	command.Stdin = strings.NewReader(script)
	out, err := command.CombinedOutput()
	require.NoError(b, err, "%s; is sqlite3 installed? sh .ci/setup bench", out)
}

// sqliteColumns declares the columns of a query: numbers but for keys and words.
func sqliteColumns(query string) string {
	_, list, _ := strings.Cut(query, "select ")
	list, _, _ = strings.Cut(list, " from ")
	var columns []string
	for _, part := range strings.Split(list, ",") {
		words := strings.Fields(strings.TrimSuffix(strings.TrimSpace(part), ")"))
		name, kind := words[len(words)-1], " real"
		switch {
		case strings.HasSuffix(name, "_id"), name == "pass_key", name == "purpose", name == "present_wx", name == "class", name == "form":
			kind = " text"
		case name == "at_s" || strings.HasPrefix(name, "is_") || strings.HasPrefix(name, "has_") || strings.HasPrefix(name, "precip_is"):
			kind = " integer"
		}
		columns = append(columns, name+kind)
	}
	return strings.Join(columns, ", ")
}

// openPlain opens a database as anyone would, without the ledger's restrictions.
func openPlain(t *testing.T, path string) *sql.DB {
	t.Helper()
	pool, err := sql.Open("duckdb", path)
	require.NoError(t, err)
	pool.SetConnMaxLifetime(time.Hour)
	t.Cleanup(func() { assert.NoError(t, pool.Close()) })
	return pool
}
