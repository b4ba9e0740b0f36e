package pipeline

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
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
	"lanetally/pipeline/disk"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
)

// Each N-th operation of the file layer fails, until a night passes: a failed night leaves no stray file and nothing half
// done, and the next one ends in the tables of an undisturbed night.
func TestNightAfterAFailedWrite(t *testing.T) {
	undisturbed := newDistrict(t)
	d := newDistrict(t)
	for _, each := range []*testDistrict{undisturbed, d} {
		each.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
		each.deliver("passes/b.csv", passesHeader+pass("p1", "T1", "10", "120"))
	}
	undisturbed.night()
	for failing := 1; ; failing++ {
		require.Less(t, failing, 100)
		d.startOver(false)
		require.NoError(t, os.RemoveAll(filepath.Join(d.dir, "archive")))
		count := 0
		d.layer.Before = func(operation, path string) error {
			if count++; count == failing {
				return syscall.ENOSPC
			}
			return nil
		}
		_, err := intake.LoadDeliveries(t.Context(), d.ledger, d.dir, d.settings, d.layer, nil)
		d.layer.Before = nil
		assert.Empty(t, strayFiles(t, d.dir), failing)
		if err == nil {
			assert.Greater(t, failing, 10, "two archive files and two manifest lines are more than ten operations")
			break
		}
		assert.ErrorIs(t, err, syscall.ENOSPC)
		d.night()
		require.Equal(t, undisturbed.everything(), d.everything(), failing)
	}
}

func strayFiles(t *testing.T, dir string) (stray []string) {
	t.Helper()
	require.NoError(t, filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		if strings.HasSuffix(path, ".tmp") {
			stray = append(stray, path)
		}
		return err
	}))
	return stray
}

func TestTornManifestLine(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.deliver("passes/b.csv", passesHeader+pass("p2", "T1", "10", "100"))
	d.night()
	wanted := d.everything()
	path := filepath.Join(d.dir, "archive/manifest.jsonl")
	whole, err := os.ReadFile(path)
	require.NoError(t, err)
	require.Equal(t, 2, bytes.Count(whole, []byte{'\n'}))
	for size := 0; size < len(whole); size += 41 {
		require.NoError(t, os.WriteFile(path, whole[:size], 0o644))
		d.startOver(false)
		d.night()
		require.Equal(t, wanted, d.everything(), size)
		require.NoError(t, os.Rename(filepath.Join(d.dir, "inbox"), filepath.Join(d.dir, "away")))
		d.startOver(false)
		d.night()
		require.Equal(t, wanted, d.everything(), size)
		require.NoError(t, os.Rename(filepath.Join(d.dir, "away"), filepath.Join(d.dir, "inbox")))
	}
}

func TestDamagedArchive(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.night()
	wanted := d.everything()
	archived, err := filepath.Glob(filepath.Join(d.dir, "archive/passes/*.parquet"))
	require.NoError(t, err)
	require.Len(t, archived, 1)
	whole, err := os.ReadFile(archived[0])
	require.NoError(t, err)

	require.NoError(t, os.WriteFile(archived[0], whole[:len(whole)/2], 0o644))
	d.startOver(false)
	d.night()
	assert.Equal(t, wanted, d.everything(), "read again from the inbox")
	mended, err := os.ReadFile(archived[0])
	require.NoError(t, err)
	assert.Equal(t, whole, mended, "the same rows give the same archive bytes")

	require.NoError(t, os.Remove(filepath.Join(d.dir, "inbox/passes/a.csv")))
	require.NoError(t, os.WriteFile(archived[0], whole[:len(whole)/2], 0o644))
	d.startOver(false)
	summary := d.load()
	require.Len(t, summary.Damaged, 1)
	assert.Equal(t, "inbox/passes/a.csv", summary.Damaged[0].File)
	assert.Contains(t, summary.Damaged[0].Text, archived[0]+": archive file damaged or missing; restore it from a backup")
	require.NoError(t, os.Remove(archived[0]))
	summary = d.load()
	require.Len(t, summary.Damaged, 1)
	assert.Contains(t, summary.Damaged[0].Text, ": archive file damaged or missing; restore it from a backup")
}

func TestConservationNamesTheFile(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.deliver("passes/b.csv", passesHeader+pass("p2", "T1", "10", "100")+pass("p3", "T1", "10", "100"))
	d.night()
	require.NoError(t, d.ledger.Exec(t.Context(), "delete from raw_passes where pass_id = 'p3'"))
	require.NoError(t, walk(t.Context(), d.ledger, d.settings, stretchTell, stretchTell))
	assert.ErrorContains(t, checkConservation(t.Context(), d.ledger), "passes/b.csv: 2 rows read, 1 told, 1 kept")
}

func TestCheckWritesNothing(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	d.night()
	wanted := d.everything()
	before := listing(t, d.dir)
	d.deliver("passes/b.csv", passesHeader+pass("p2", "T1", "10", "many"))
	require.NoError(t, os.Remove(filepath.Join(d.dir, "inbox/passes/a.csv")))
	d.startOver(false)
	summary, err := intake.CheckDeliveries(t.Context(), d.ledger, d.dir, d.settings)
	require.NoError(t, err)
	d.tell()
	assert.Equal(t, 2, summary.Files)
	assert.Equal(t, []string{"b.csv|2|not a number"}, d.rows("select file, line, reason from quarantine"))
	assert.Equal(t, strings.ReplaceAll(before, "inbox/passes/a.csv", "inbox/passes/b.csv"), listing(t, d.dir))
	require.NoError(t, os.Remove(filepath.Join(d.dir, "inbox/passes/b.csv")))
	d.startOver(false)
	d.night()
	assert.Equal(t, wanted, d.everything())
}

func listing(t *testing.T, dir string) string {
	t.Helper()
	var names []string
	require.NoError(t, filepath.WalkDir(dir, func(path string, entry fs.DirEntry, err error) error {
		names = append(names, strings.TrimPrefix(path, dir+"/"))
		return err
	}))
	return strings.Join(names, "\n")
}

// On 3 November 2030 the clocks of America/Denver go back from 02:00 to 01:00 (IANA time zone database): 01:50 then 01:10 of one
// truck are the first and the second reading of that hour. In the other file the hour begins anew.
func TestRepeatedHourThroughAFile(t *testing.T) {
	d := newDistrict(t)
	header := "pass_id,truck_id,crew_id,route_id,began_at,ended_at\n"
	d.deliver("passes/a.csv", header+"p1,T1,north,R1,2030-11-03 01:40,2030-11-03 01:50\np2,T1,north,R1,2030-11-03 01:10,2030-11-03 01:20\n"+
		"p3,T2,north,R1,2030-11-03 01:50,2030-11-03 01:10\n")
	d.deliver("passes/b.csv", header+"p4,T1,north,R1,2030-11-03 01:05,2030-11-03 02:05\np5,T1,north,R1,2030-03-10 02:30,2030-03-10 03:30\n")
	d.night()
	wanted := []string{
		"id:p1|2030-11-03 07:40:00+00|2030-11-03 07:50:00+00", "id:p2|2030-11-03 08:10:00+00|2030-11-03 08:20:00+00",
		"id:p3|2030-11-03 07:50:00+00|2030-11-03 08:10:00+00", "id:p4|2030-11-03 07:05:00+00|2030-11-03 09:05:00+00",
	}
	query := "select pass_key, began_at, ended_at from passes"
	assert.Equal(t, wanted, d.rows(query))
	assert.Equal(t, []string{"b.csv|3|began_at|hour skipped by the clocks"}, d.rows(`select file, line, "column", reason from quarantine`))
	d.startOver(false)
	require.NoError(t, os.RemoveAll(filepath.Join(d.dir, "inbox")))
	d.night()
	assert.Equal(t, wanted, d.rows(query), "from the archive")
}

func TestParquetAndCSVSayTheSame(t *testing.T) {
	d := newDistrict(t)
	d.deliver("weather/a.csv", "station_id,observed_at,air_f\nS1,2030-01-15T06:30Z,21.2\nS1,2030-01-15T07:30Z,\n")
	schema := arrow.NewSchema([]arrow.Field{{Name: "observed_at", Type: ledger.InstantType},
		{Name: "station_id", Type: arrow.BinaryTypes.String},
		{Name: "air_f", Type: arrow.PrimitiveTypes.Float64, Nullable: true}}, nil)
	b := array.NewRecordBuilder(memory.DefaultAllocator, schema)
	at := time.Date(2030, 1, 15, 6, 30, 0, 0, time.UTC).UnixMicro()
	b.Field(0).(*array.TimestampBuilder).AppendValues([]arrow.Timestamp{arrow.Timestamp(at), arrow.Timestamp(at + contract.MicrosPerHour)},
		nil)
	b.Field(1).(*array.StringBuilder).AppendValues([]string{"S1", "S1"}, nil)
	b.Field(2).(*array.Float64Builder).AppendValues([]float64{21.2, 0}, []bool{true, false})
	var out bytes.Buffer
	w, err := pqarrow.NewFileWriter(schema, &out, parquet.NewWriterProperties(), pqarrow.DefaultWriterProps())
	require.NoError(t, err)
	require.NoError(t, w.Write(b.NewRecordBatch()))
	require.NoError(t, w.Close())
	d.deliver("weather/b.parquet", out.String())
	d.night()
	assert.Equal(t, []string{"weather|a.csv||2|2|0|0|0", "weather|b.parquet||2|0|2|0|0"}, d.rows(intakeRows))
}

func TestFilesThatAreNoFiles(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+pass("p1", "T1", "10", "100"))
	inbox := filepath.Join(d.dir, "inbox/passes")
	outside := filepath.Join(t.TempDir(), "outside.csv")
	require.NoError(t, os.WriteFile(outside, []byte(passesHeader+pass("p2", "T1", "10", "100")), 0o644))
	require.NoError(t, os.Symlink(outside, filepath.Join(inbox, "link.csv")))
	require.NoError(t, syscall.Mkfifo(filepath.Join(inbox, "pipe.csv"), 0o644))
	require.NoError(t, os.Symlink(filepath.Dir(outside), filepath.Join(inbox, "folder")))
	d.night()
	assert.Equal(t, []string{"folder|kind of file that is not read", "link.csv|link, not a file", "pipe.csv|not a regular file"},
		d.rows("select file, reason from quarantine"))
	assert.Equal(t, []string{"id:p1"}, d.rows("select pass_key from passes"))
}

func TestQuarantinedTextIsShortAndValid(t *testing.T) {
	d := newDistrict(t)
	d.deliver("passes/a.csv", passesHeader+"a"+strings.Repeat("é", 3000)+"\n"+strings.Repeat("\xe9", 5000)+
		"\n<script>\x00</script>\n=1+1\n")
	d.night()
	texts := d.rows("select raw from quarantine")
	require.Len(t, texts, 4)
	assert.Equal(t, "a"+strings.Repeat("é", 2047), texts[0])
	assert.Equal(t, strings.Repeat(`\xE9`, 1024), texts[1])
	assert.Equal(t, `<script>\x00</script>`, texts[2])
	assert.Equal(t, "=1+1", texts[3])
}

func TestAtomicWriteKeepsTheFormerBytes(t *testing.T) {
	dir := t.TempDir()
	path := filepath.Join(dir, "file")
	require.NoError(t, disk.Layer{}.WriteAtomic(path, func(w io.Writer) error { _, err := io.WriteString(w, "old"); return err }))
	broken := errors.New("broken")
	for failing := range 5 {
		count := 0
		layer := disk.Layer{Before: func(string, string) error {
			if count++; count == failing {
				return broken
			}
			return nil
		}}
		err := layer.WriteAtomic(path, func(w io.Writer) error {
			_, err := io.WriteString(w, "new")
			if failing == 0 {
				return broken
			}
			return err
		})
		require.ErrorIs(t, err, broken, failing)
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		assert.Equal(t, "old", string(text), failing)
		assert.Empty(t, strayFiles(t, dir), failing)
	}
}
