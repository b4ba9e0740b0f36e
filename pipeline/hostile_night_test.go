package pipeline

import (
	"bytes"
	"cmp"
	"encoding/csv"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"
	"testing"
	"time"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/release"
	"lanetally/pipeline/rows"
)

const hostileHeader = "pass_id,truck_id,crew_id,route_id,began_at,ended_at,material_id,dispensed_lb\n"

// hostileRow is a pass that is fine but for what is put into it.
func hostileRow(id, truck, began, pounds string) string {
	return id + "," + truck + ",c2,r2," + began + ",2028-01-10 09:00,salt," + pounds + "\n"
}

type hostileFile struct{ name, content, reason string }

// hostileFiles are deliveries that something is wrong with, and the reason that each must get; "" where all rows count.
var hostileFiles = []hostileFile{
	{"nul.csv", hostileHeader + hostileRow("h1\x00", "t2", "2028-01-10 08:00", "10"), "NUL byte in the line"},
	{"latin.csv", hostileHeader + hostileRow("h2\xe9", "t2", "2028-01-10 08:00", "10"), "not UTF-8"},
	{"bom.csv", "\xef\xbb\xbf" + hostileHeader + hostileRow("h3", "t2", "2028-01-10 08:00", "10"), ""},
	{"mixed.csv", strings.Replace(hostileHeader, "\n", "\r\n", 1) + hostileRow("h4", "t2", "2028-01-10 08:01", "10"), ""},
	{"quote.csv", hostileHeader + "\"h5,t2,c2,r2,2028-01-10 08:00,2028-01-10 09:00,salt,10\n", "unclosed quote"},
	{"comma.csv", hostileHeader + hostileRow("h6", "t2", "2028-01-10 08:00", `"10,5"`), contract.ReasonNumber},
	{"nan.csv", hostileHeader + hostileRow("h7", "t2", "2028-01-10 08:00", "NaN"), contract.ReasonNumber},
	{"inf.csv", hostileHeader + hostileRow("h8", "t2", "2028-01-10 08:00", "Inf"), contract.ReasonNumber},
	{"huge.csv", hostileHeader + hostileRow("h9", "t2", "2028-01-10 08:00", "1e400"), contract.ReasonOutOfRange},
	{"header.csv", hostileHeader, ""},
	{"twice.csv", strings.Replace(hostileHeader, "material_id", "truck_id", 1) + hostileRow("h10", "t2", "2028-01-10 08:00", "10"),
		contract.ReasonHeaderTwice},
	{"renamed.csv", strings.Replace(hostileHeader, "truck_id", "unit", 1) + hostileRow("h11", "t2", "2028-01-10 08:00", "10"),
		contract.ReasonColumnMissing},
	{"1970.csv", hostileHeader + strings.ReplaceAll(hostileRow("h12", "t2", "2028-01-10 08:00", "10"), "2028", "1970"),
		contract.ReasonOutOfRange},
	{"2099.csv", hostileHeader + strings.ReplaceAll(hostileRow("h18", "t2", "2028-01-10 08:00", "10"), "2028", "2099"),
		contract.ReasonOutOfRange},
	{"years.csv", hostileHeader + hostileRow("h19", "t2", "1999-01-10 08:00", "10"), contract.ReasonTooLong},
	{"tab.csv", hostileHeader + "\t=1+1,t2,c2\n", contract.ReasonFewerCells},
	{"cr.csv", hostileHeader + "\r=1+1,t2,c2\n", contract.ReasonFewerCells},
	{"commas.csv", hostileHeader + strings.Repeat(",", 10_000_000) + "\n", "line over 64 KiB"},
	{"line.csv", hostileHeader + strings.Repeat("x", 64<<20) + "\n", "line over 64 KiB"},
	{"drop.csv", hostileHeader + hostileRow("h13", "'; drop table passes; --", "2028-01-10 08:00", "10"), "unknown truck"},
	{"markup.csv", hostileHeader + hostileRow("h14", "<script>alert(1)</script>", "2028-01-10 08:00", "10"), "unknown truck"},
	{"formula.csv", hostileHeader + hostileRow("h15", "=1+1", "2028-01-10 08:00", "10"), "unknown truck"},
	{"=cmd.csv", hostileHeader + hostileRow("h16", "@x", "2028-01-10 08:00", "10"), "unknown truck"},
	{"old.csv", strings.ReplaceAll(hostileHeader+hostileRow("h23", "t2", "2028-01-10 08:05", "10"), "\n", "\r"),
		"lines that end with CR alone"},
	{"utf16.csv", "\xff\xfea\x00,\x00", "UTF-16, not UTF-8"},
	{"empty.csv", "", "empty file"},
	{"bad.csv.gz", "\x1f\x8b\x08\x00nothing", "damaged gzip"},
	{"text.parquet", "no table", "damaged Parquet"},
	{"'; drop table intake; --.csv", hostileHeader + hostileRow("h17", "-x", "2028-01-10 08:00", "10"), "unknown truck"},
}

// madeHostileFiles are hostile deliveries that a program must make.
func madeHostileFiles(t *testing.T) []hostileFile {
	t.Helper()
	whole := gzipped(t, hostileHeader+hostileRow("h20", "t2", "2028-01-10 08:02", "10"))
	second := gzipped(t, hostileRow("h21", "t2", "2028-01-10 08:03", "10"))
	cut := gzipped(t, hostileHeader+strings.Repeat(hostileRow("h22", "t2", "2028-01-10 08:04", "10"), 2000))
	numbers := parquetDelivery(t, func(b *array.RecordBuilder) {
		b.Field(0).(*array.StringBuilder).Append("t2")
		b.Field(1).(*array.Int64Builder).Append(1831449600)
	}, arrow.Field{Name: "truck_id", Type: arrow.BinaryTypes.String}, arrow.Field{Name: "began_at", Type: arrow.PrimitiveTypes.Int64})
	words := parquetDelivery(t, func(b *array.RecordBuilder) { b.Field(0).(*array.StringBuilder).Append("many") },
		arrow.Field{Name: "dispensed_lb", Type: arrow.BinaryTypes.String})
	list := parquetDelivery(t, func(b *array.RecordBuilder) { b.Field(0).AppendNull() },
		arrow.Field{Name: "truck_id", Type: arrow.ListOf(arrow.BinaryTypes.String), Nullable: true})
	return []hostileFile{
		{"members.csv.gz", whole + second, ""},
		{"untailed.csv.gz", whole[:len(whole)-8], "damaged gzip"},
		{"cut.csv.gz", cut[:len(cut)/2], "damaged gzip"},
		{"bomb.csv.gz", gzipped(t, hostileHeader+strings.Repeat("0", 80<<20)), "expands too far"},
		{"seconds.parquet", numbers, contract.ReasonTime},
		{"words.parquet", words, contract.ReasonNumber},
		{"list.parquet", list, `column "truck_id" has a type that is not read`},
		{"cut.parquet", words[:len(words)-9], "damaged Parquet"},
	}
}

// parquetDelivery is a pass delivery in Parquet of one row: the fields given, as fill fills them, and whatever else a pass must have.
func parquetDelivery(t *testing.T, fill func(*array.RecordBuilder), fields ...arrow.Field) string {
	t.Helper()
	given := map[string]bool{}
	for _, field := range fields {
		given[field.Name] = true
	}
	var texts []string
	for name, text := range map[string]string{"truck_id": "t2", "crew_id": "c2", "route_id": "r2", "began_at": "2028-01-10 08:00",
		"ended_at": "2028-01-10 09:00"} {
		if !given[name] {
			fields, texts = append(fields, arrow.Field{Name: name, Type: arrow.BinaryTypes.String}), append(texts, text)
		}
	}
	b := array.NewRecordBuilder(memory.DefaultAllocator, arrow.NewSchema(fields, nil))
	fill(b)
	for i, text := range texts {
		b.Field(len(fields) - len(texts) + i).(*array.StringBuilder).Append(text)
	}
	var out bytes.Buffer
	w, err := pqarrow.NewFileWriter(b.Schema(), &out, parquet.NewWriterProperties(), pqarrow.DefaultWriterProps())
	require.NoError(t, err)
	require.NoError(t, w.Write(b.NewRecordBatch()))
	require.NoError(t, w.Close())
	return out.String()
}

// TestHostileDeliveries puts every file into one night: each gets its reason and a remedy, and everything else is loaded.
func TestHostileDeliveries(t *testing.T) {
	r := beginResult(t, "hostile deliveries in one night", "each its reason and remedy; everything else loaded; cells inert")
	dir := copyTiny(t)
	plain := mustNight(t, copyTiny(t), faultNow)
	files := append(madeHostileFiles(t), hostileFiles...)
	r.count = len(files) + 2
	for _, file := range files {
		addFile(t, dir, "passes/"+file.name, file.content)
	}
	require.NoError(t, syscall.Mkfifo(filepath.Join(dir, "inbox/passes/pipe.csv"), 0o644))
	require.NoError(t, os.Symlink("/etc/hostname", filepath.Join(dir, "inbox/passes/link.csv")))
	report := mustNight(t, dir, faultNow)
	reasons, remedies := map[string]string{"pipe.csv": "", "link.csv": ""}, map[string]string{}
	for _, row := range readExport(t, dir, "quarantine")[1:] {
		name := strings.TrimPrefix(row[1], "'")
		reasons[name], remedies[name] = row[4], row[5]
	}
	for _, file := range append(files, hostileFile{"pipe.csv", "", "not a regular file"},
		hostileFile{"link.csv", "", "link, not a file"}) {
		name := strings.TrimPrefix(file.name, "'")
		assert.Equal(t, cmp.Or(rows.Fault{Code: file.reason}.Reason(), file.reason), reasons[name], file.name)
		if file.reason != "" {
			assert.NotEmpty(t, remedies[name], file.name)
		}
	}
	// By hand: one row each of bom.csv and mixed.csv, two of members.csv.gz.
	assert.Equal(t, plain.Counts.Passes+4, report.Counts.Passes)
	assertInertCells(t, dir)
	assertWhole(t, dir, "hostile names")
}

func readExport(t *testing.T, dir, name string) [][]string {
	t.Helper()
	file, err := os.Open(filepath.Join(dir, "current", "data", name+".csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	return rows
}

// assertInertCells: no cell of a text column can be taken for a formula, and no page holds a delivered tag.
func assertInertCells(t *testing.T, dir string) {
	t.Helper()
	for _, name := range []string{"quarantine", "intake"} {
		for _, row := range readExport(t, dir, name)[1:] {
			for _, cell := range row {
				assert.False(t, cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])), "%s: %q", name, cell)
			}
		}
	}
	page, err := os.ReadFile(filepath.Join(dir, "current", "public", "data.html"))
	require.NoError(t, err)
	assert.NotContains(t, string(page), "<script>alert")
}

// TestHostileReferenceNames: names that look like paths, devices, markup and each other make pages of their own below the folder, and
// every link leads to one of them.
func TestHostileReferenceNames(t *testing.T) {
	dir := copyTiny(t)
	crews := filepath.Join(dir, "reference", "crews.csv")
	header, _, _ := strings.Cut(string(must(os.ReadFile(crews))), "\n")
	blanks := strings.Repeat(",", strings.Count(header, ",")-1)
	require.True(t, strings.HasPrefix(header, "crew_id,label"), header)
	for _, name := range []string{"../x", "CON", "a/b", "North", "north", "<b>b</b>", "=1+1", "' drop table crews --", "x y&z"} {
		addText(t, crews, name+","+name+blanks+"\n")
	}
	addText(t, filepath.Join(dir, "district.toml"), "\n[publish]\ncrew_pages = \"all\"\n")
	mustNight(t, dir, faultNow)
	pages, err := filepath.Glob(filepath.Join(dir, "current", "public", "crews", "*.html"))
	require.NoError(t, err)
	assert.GreaterOrEqual(t, len(pages), 9)
	folded := map[string]bool{}
	for _, page := range pages {
		assert.False(t, folded[strings.ToLower(page)], "two names that differ by case alone share %s", page)
		folded[strings.ToLower(page)] = true
	}
	assert.NoFileExists(t, filepath.Join(dir, "current", "x.html"))
	findings, err := release.VerifyDistrict(t.Context(), dir)
	require.NoError(t, err)
	assert.Empty(t, findings)
}

func must[T any](value T, err error) T {
	if err != nil {
		panic(err)
	}
	return value
}

// TestSQLInSettings: a text of district.toml is a text, whatever it says.
func TestSQLInSettings(t *testing.T) {
	dir := copyTiny(t)
	replaced := strings.Replace(string(must(os.ReadFile(filepath.Join(dir, "district.toml")))), "Tiny district",
		"x'; drop table run; -- </title>", 1)
	require.NoError(t, os.WriteFile(filepath.Join(dir, "district.toml"), []byte(replaced), 0o644))
	mustNight(t, dir, faultNow)
	page := string(must(os.ReadFile(filepath.Join(dir, "current", "public", "index.html"))))
	assert.NotContains(t, page, "-- </title>")
	assert.Contains(t, page, "drop table run")
}

// TestClocksAndZonesOfTheHost: a clock that goes back, a date that is days off, leap day and a strange host zone change no figure; no
// release is written over.
func TestClocksAndZonesOfTheHost(t *testing.T) {
	dir := copyTiny(t)
	mustNight(t, dir, time.Date(2028, 2, 29, 11, 15, 0, 0, time.UTC))
	wanted := exportsOf(t, dir)
	// Back an hour, the same instant again, two days behind, two days ahead and back, both change nights.
	for _, at := range []string{"2028-02-29T10:15:00Z", "2028-02-29T11:15:00Z", "2028-02-27T11:15:00Z", "2028-03-02T11:15:00Z",
		"2028-02-29T11:16:00Z",
		"2028-03-12T09:15:00Z", "2028-11-05T08:15:00Z"} {
		now, err := time.Parse(time.RFC3339, at)
		require.NoError(t, err)
		mustNight(t, dir, now)
		assert.Equal(t, wanted, exportsOf(t, dir), at)
	}
	ids, err := release.ReleaseIDs(dir)
	require.NoError(t, err)
	assert.Len(t, ids, 8)
	_, words, code := lanetally(t, "status", dir, "--now", "2028-11-03T08:15:00Z")
	assert.Contains(t, []int{exitDone, exitFound}, code, "a clock two days behind the release: %s", words)
	program := buildProgram(t)
	for _, zone := range []string{"", "TZ=", "TZ=Pacific/Kiritimati", "TZ=:/nowhere/at/all", "TZ=XYZ-14:30"} {
		words := new(strings.Builder)
		command := commandOf(program, words, "nightly", dir, "--now", "2028-12-01T11:15:00Z")
		command.Env = slices.DeleteFunc(os.Environ(), func(pair string) bool { return strings.HasPrefix(pair, "TZ=") })
		if zone != "" {
			command.Env = append(command.Env, zone)
		}
		require.NoError(t, command.Run(), "%s: %s", zone, words)
		assert.Equal(t, wanted, exportsOf(t, dir), zone)
	}
}
