package delivery

import (
	"bytes"
	"compress/gzip"
	"math/rand/v2"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"syscall"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func folder(t *testing.T, files map[string]string) *os.Root {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "inbox")
	require.NoError(t, os.MkdirAll(dir, 0o755))
	for name, content := range files {
		require.NoError(t, os.WriteFile(filepath.Join(dir, name), []byte(content), 0o644))
	}
	root, err := os.OpenRoot(dir)
	require.NoError(t, err)
	t.Cleanup(func() { assert.NoError(t, root.Close()) })
	return root
}

func zipped(t *testing.T, text string) string {
	t.Helper()
	var out bytes.Buffer
	w := gzip.NewWriter(&out)
	_, err := w.Write([]byte(text))
	require.NoError(t, err)
	require.NoError(t, w.Close())
	return out.String()
}

// reasonOf is the stable reason why a file cannot be read, from Inspect or from reading it; "" when it can.
func reasonOf(t *testing.T, root *os.Root, name string) string {
	t.Helper()
	_, err := Inspect(root, name)
	if err == nil {
		_, err = allRows(root, name)
	}
	if err == nil {
		return ""
	}
	var fault *FileFault
	require.ErrorAs(t, err, &fault)
	assert.Equal(t, name, fault.File)
	assert.NotEmpty(t, fault.Remedy())
	return fault.Reason()
}

func allRows(root *os.Root, name string) (rows []string, err error) {
	r, err := Open(root, name)
	if err != nil {
		return nil, err
	}
	for r.Next() {
		text := strings.Join(r.Row().Cells, "|")
		if r.Row().Fault != nil {
			text = "!" + r.Row().Fault.Reason()
		}
		rows = append(rows, text)
	}
	if err := r.Err(); err != nil {
		return rows, err
	}
	return rows, r.Close()
}

const twoRows = "a,b\n1,2\n3,4\n"

func TestFilesThatCannotBeRead(t *testing.T) {
	whole := zipped(t, twoRows)
	wrongSum := []byte(whole)
	wrongSum[len(wrongSum)-8] ^= 1
	wrongLength := []byte(whole)
	wrongLength[len(wrongLength)-4] ^= 1
	noise := noise(1 << 16)
	root := folder(t, map[string]string{
		"good.csv":        twoRows,
		"good.csv.gz":     whole,
		"two.csv.gz":      whole + zipped(t, "5,6\n"),
		"half.csv.gz":     whole[:len(whole)/2],
		"untailed.csv.gz": whole[:len(whole)-8],
		"sum.csv.gz":      string(wrongSum),
		"length.csv.gz":   string(wrongLength),
		"trailing.csv.gz": whole + "rubbish",
		"member.csv.gz":   whole + zipped(t, "5,6\n")[:9],
		"plain.csv.gz":    twoRows,
		"bomb.csv.gz":     zipped(t, "a,b\n"+strings.Repeat("0", maxExpandedBytes+1)),
		"tight.csv.gz":    zipped(t, "a,b\n"+strings.Repeat("0", maxExpandedBytes-64)),
		"noise.csv.gz":    zipped(t, "a,b\n"+noise),
		"empty.csv":       "",
		"empty.csv.gz":    "",
		"blank.csv":       "\n\n",
		"utf16.csv":       "\xff\xfea\x00,\x00",
		"latin.csv":       "d\xe9but\n1\n",
		"quote.csv":       "a,\"b\n1,2\n",
		"sheet.xlsx":      "PK",
		"text.parquet":    twoRows,
		"header.csv":      "a,b\n",
		"zipped.csv":      whole,
		"columns.csv":     numbers(t, 2),
	})
	for name, reason := range map[string]string{
		"good.csv": "", "good.csv.gz": "", "two.csv.gz": "", "tight.csv.gz": "", "header.csv": "", "noise.csv.gz": "",
		"half.csv.gz": "damaged gzip", "untailed.csv.gz": "damaged gzip", "sum.csv.gz": "damaged gzip",
		"length.csv.gz": "damaged gzip", "trailing.csv.gz": "damaged gzip", "member.csv.gz": "damaged gzip",
		"plain.csv.gz": "damaged gzip", "bomb.csv.gz": "expands too far",
		"empty.csv": "empty file", "empty.csv.gz": "empty file", "blank.csv": "empty file",
		"utf16.csv": "UTF-16, not UTF-8", "latin.csv": "header row: not UTF-8", "quote.csv": "header row: unclosed quote",
		"sheet.xlsx": "kind of file that is not read", "text.parquet": "damaged Parquet",
		"zipped.csv":  "another kind of file under the name of a CSV file",
		"columns.csv": "another kind of file under the name of a CSV file",
		"missing.csv": "reading broke off",
	} {
		assert.Equal(t, reason, reasonOf(t, root, name), name)
	}
	rows, err := allRows(root, "two.csv.gz")
	require.NoError(t, err)
	assert.Equal(t, []string{"1|2", "3|4", "5|6"}, rows, "RFC 1952 section 2.2: the members' contents follow each other")
}

func noise(size int) string {
	random := rand.New(rand.NewPCG(1, 2))
	text := make([]byte, size)
	for i := range text {
		text[i] = byte('a' + random.IntN(26))
	}
	return string(text)
}

func TestGzipCutAnywhereIsDamaged(t *testing.T) {
	whole := zipped(t, twoRows)
	for size := 1; size < len(whole); size++ {
		root := folder(t, map[string]string{"cut.csv.gz": whole[:size]})
		assert.Equal(t, "damaged gzip", reasonOf(t, root, "cut.csv.gz"), size)
	}
}

func TestOnlyRegularFilesBelowTheFolder(t *testing.T) {
	root := folder(t, map[string]string{"good.csv": twoRows})
	outside := filepath.Join(t.TempDir(), "outside.csv")
	require.NoError(t, os.WriteFile(outside, []byte(twoRows), 0o644))
	at := func(name string) string { return filepath.Join(root.Name(), name) }
	require.NoError(t, os.Symlink(outside, at("far.csv")))
	require.NoError(t, os.Symlink("../../x.csv", at("up.csv")))
	require.NoError(t, os.Symlink("good.csv", at("near.csv")))
	require.NoError(t, os.Mkdir(at("folder.csv"), 0o755))
	require.NoError(t, syscall.Mkfifo(at("pipe.csv"), 0o644))
	require.NoError(t, os.Symlink("pipe.csv", at("topipe.csv")))
	assert.Equal(t, "link, not a file", reasonOf(t, root, "far.csv"))
	assert.Equal(t, "link, not a file", reasonOf(t, root, "up.csv"))
	assert.Equal(t, "link, not a file", reasonOf(t, root, "near.csv"), "also to a file beside it")
	assert.Equal(t, "not a regular file", reasonOf(t, root, "folder.csv"))
	assert.Equal(t, "not a regular file", reasonOf(t, root, "pipe.csv"))
	assert.Equal(t, "link, not a file", reasonOf(t, root, "topipe.csv"))
	require.NoError(t, os.Mkdir(at("true"), 0o755))
	require.NoError(t, os.WriteFile(at("true/in.csv"), []byte(twoRows), 0o644))
	require.NoError(t, os.Symlink("true", at("linked")))
	assert.Empty(t, reasonOf(t, root, "true/in.csv"))
	assert.Equal(t, "link, not a file", reasonOf(t, root, "linked/in.csv"), "nor through a folder that is a link")
}

func TestNoPermission(t *testing.T) {
	if os.Geteuid() == 0 {
		t.Skip("the superuser may read every file")
	}
	root := folder(t, map[string]string{"shut.csv": twoRows})
	require.NoError(t, os.Chmod(filepath.Join(root.Name(), "shut.csv"), 0))
	assert.Equal(t, "no permission to read", reasonOf(t, root, "shut.csv"))
}

func TestDigestIsOfTheDeliveredBytes(t *testing.T) {
	// The SHA-256 of "abc" is the one-block example of FIPS 180-2, appendix B.1.
	root := folder(t, map[string]string{"abc.csv": "abc", "good.csv.gz": zipped(t, twoRows)})
	content, err := Inspect(root, "abc.csv")
	require.NoError(t, err)
	assert.Equal(t, "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad", content.SHA256)
	for _, name := range []string{"abc.csv", "good.csv.gz"} {
		content, err := Inspect(root, name)
		require.NoError(t, err)
		r, err := Open(root, name)
		require.NoError(t, err)
		for r.Next() {
			require.NotEmpty(t, r.Row().Cells)
		}
		require.NoError(t, r.Err())
		digest, err := r.SHA256()
		require.NoError(t, err)
		assert.Equal(t, content.SHA256, digest)
		require.NoError(t, r.Close())
	}
}

func TestFileThatChangesWhileRead(t *testing.T) {
	root := folder(t, map[string]string{"grows.csv": twoRows})
	content, err := Inspect(root, "grows.csv")
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(filepath.Join(root.Name(), "grows.csv"), []byte(twoRows+"5,6\n"), 0o644))
	r, err := Open(root, "grows.csv")
	require.NoError(t, err)
	digest, err := r.SHA256()
	require.NoError(t, err)
	assert.NotEqual(t, content.SHA256, digest)
	require.NoError(t, r.Close())
	assert.True(t, IsChanged(Changed("grows.csv")))
}

func TestMemoryStaysBounded(t *testing.T) {
	root := folder(t, map[string]string{
		"line.csv":   "a,b\n" + strings.Repeat("x", 64<<20) + "\n1,2\n",
		"commas.csv": "a,b\n" + strings.Repeat(",", 10_000_000) + "\n1,2\n",
	})
	runtime.GC()
	for _, name := range []string{"line.csv", "commas.csv"} {
		var before, after runtime.MemStats
		runtime.ReadMemStats(&before)
		rows, err := allRows(root, name)
		runtime.ReadMemStats(&after)
		require.NoError(t, err)
		assert.Equal(t, []string{"!line over 64 KiB", "1|2"}, rows)
		assert.Less(t, after.TotalAlloc-before.TotalAlloc, uint64(4<<20), name)
	}
}

// A file whose lines end with CR alone, as old spreadsheets write it, is refused with the number of its rows, counted by hand; its
// neighbours are read.
func TestLinesThatEndWithCR(t *testing.T) {
	root := folder(t, map[string]string{
		"cr.csv":     "a,b\r1,2\r3,4\r5,6",
		"ended.csv":  "a,b\r1,2\r3,4\r5,6\r",
		"mixed.csv":  "a,b\r1,2\n3,4\n",
		"cell.csv":   "a,b\r\r\n1,2\r\n",
		"long.csv":   "a,b\r" + strings.Repeat("1,2\r", 100_000),
		"cr.csv.gz":  zipped(t, "a,b\r1,2\r3,4\r"),
		"cr.metar":   "KXXX 010000Z\rKXXX 020000Z\r",
		"crlf.csv":   "a,b\r\n1,2\r\n",
		"quoted.csv": "\"a\r\nx\",b\r\n1,2\r\n",
		"wmo.metar":  "KXXX 010000Z\r\r\nKXXX 020000Z\r\r\n",
	})
	for name, rows := range map[string]int64{"cr.csv": 3, "ended.csv": 3, "mixed.csv": 2, "cell.csv": 1, "long.csv": 100_000,
		"cr.csv.gz": 2, "cr.metar": 1, "crlf.csv": 0, "quoted.csv": 0, "wmo.metar": 0} {
		_, err := allRows(root, name)
		if rows == 0 {
			assert.NoError(t, err, name)
			continue
		}
		var fault *FileFault
		require.ErrorAs(t, err, &fault, name)
		assert.Equal(t, faultCR, fault.Fault, name)
		assert.Equal(t, rows, fault.Rows, name)
	}
}

// TestRowsThatCanNeverBeRead: of each fault the first rows are given and one that counts the others; rows that are sound are all given,
// where they stand. The numbers follow from the construction.
func TestRowsThatCanNeverBeRead(t *testing.T) {
	text := "a,b\n"
	for range MaxFaultyRows + 500 {
		text += "x\n11111,22\n1,2,3\n\x00,1\n1,2\n"
	}
	text += strings.Repeat("\"q\n", MaxFaultyRows+7)
	root := folder(t, map[string]string{"rows.csv": text})
	for name, isAhead := range map[string]bool{"plain": false, "ahead": true} {
		r, err := Open(root, "rows.csv")
		require.NoError(t, err)
		counts, rests, total, last := map[string]int64{}, map[string]int64{}, int64(0), int64(0)
		take := func(row Row) {
			code := "sound"
			if row.Fault != nil {
				code = row.Fault.Code
			} else if len(row.Cells) != 2 || len(row.Raw) < 8 {
				code = strings.Repeat("cells ", len(row.Cells))
			}
			total += row.Count()
			if row.Rest > 0 {
				require.Zero(t, row.Line)
				rests[code] = row.Rest
				return
			}
			require.Greater(t, row.Line, last)
			last = row.Line
			counts[code]++
		}
		if isAhead {
			ahead := NewAhead(r, nil)
			for ahead.Next() {
				take(ahead.Row())
			}
			ahead.Close()
		} else {
			for r.Next() {
				take(r.Row())
			}
		}
		require.NoError(t, r.Err())
		require.NoError(t, r.Close())
		assert.Equal(t, map[string]int64{"sound": 1500, "cells ": 1000, "cells cells ": 1000, "cells cells cells ": 1000, "nul": 1000,
			"open_quote": 1000}, counts, name)
		assert.Equal(t, map[string]int64{"fewer_cells": 500, "more_cells": 500, "nul": 500, "open_quote": 7, "short_row": 500}, rests, name)
		assert.Equal(t, int64(5*1500+1007), total, name)
	}
}
