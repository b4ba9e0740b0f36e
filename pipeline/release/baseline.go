package release

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"sort"
	"strings"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/ledger"
)

// baselineFolder is the part of a release that only the next night reads: what its figures are held against.
const baselineFolder = "baseline"

// BaselineNote is baseline/night.json.
type BaselineNote struct {
	Reference map[string]string `json:"reference"` // SHA-256 of each file of reference/
	Standing  []string          `json:"standing"`  // hashes of the causes that stood, accepted or on the first night, when it was published
}

// lastTables are the tables that tonight is held against, and the Parquet file of a release that fills each.
var lastTables = [][2]string{
	{"last_storms", "data/storms.parquet"},
	{"last_storm_routes", "data/storm_routes.parquet"},
	{"last_intake", "data/intake.parquet"},
	{"last_passes", baselineFolder + "/passes.parquet"},
}

// baselinePasses is the query of baseline/passes.parquet, with the columns of last_passes.
const baselinePasses = `select storm_passes.pass_key, season, storm_id, storm_passes.route_id, applied_lb, dispensed_lb, dispensed_gal,
	sha256, passes.line
	from storm_passes
	inner join passes on passes.pass_no = storm_passes.pass_no
	left join delivery_files on delivery_files.feed = passes.feed and delivery_files.file = passes.file
	order by storm_passes.pass_key`

// WriteBaseline writes what the next night needs of this one.
func WriteBaseline(ctx context.Context, l *ledger.Ledger, files disk.Layer, folder string, note BaselineNote) error {
	stem := filepath.Join(folder, baselineFolder, "passes")
	if err := l.ReadRecords(ctx, baselinePasses, func(records array.RecordReader) error {
		return WriteExport(files, stem,
			records)
	}); err != nil {
		return fmt.Errorf("write the baseline: %w", err)
	}
	text, err := json.MarshalIndent(note, "", " ")
	if err != nil {
		return err
	}
	return files.WriteNew(filepath.Join(folder, baselineFolder, "night.json"), append(text, '\n'))
}

// ReadBaseline fills the last_ tables from the live release and gives its note. Without a live release they stay empty; columns
// that a release of another program version lacks stay empty too.
func ReadBaseline(ctx context.Context, l *ledger.Ledger, dir string, reference map[string]string) (*BaselineNote, error) {
	live, err := LiveRelease(dir)
	if err != nil {
		return nil, err
	}
	damage := fmt.Sprintf("lanetally verify %s names what changed, lanetally rollback %s goes back", dir, dir)
	if live != "" {
		findings, err := CompareRelease(filepath.Join(dir, "current") + string(filepath.Separator))
		if err != nil {
			return nil, err
		}
		for _, finding := range findings {
			if name, _, _ := strings.Cut(finding, ":"); isBaseline(name) {
				return nil, fmt.Errorf("read the live release: %s; %s", finding, damage)
			}
		}
	}
	for _, table := range lastTables {
		if err := ledger.MakeTables(ctx, l, table[0]); err != nil {
			return nil, err
		}
		if live == "" {
			continue
		}
		err = FillLastTable(ctx, l, table[0], filepath.Join(dir, "current", filepath.FromSlash(table[1])))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, fmt.Errorf("read the live release: %w; %s", err, damage)
		}
	}
	note := &BaselineNote{}
	if live != "" {
		if note, err = readBaselineNote(filepath.Join(dir, "current", baselineFolder, "night.json")); err != nil {
			return nil, err
		}
	}
	return note, FillLastNight(ctx, l, live, changedFiles(note.Reference, reference))
}

// isBaseline tells whether a file of a release is one that the next night is held against, or the list that vouches for them.
func isBaseline(name string) bool {
	return name == ReleaseManifestName || name == baselineFolder+"/night.json" ||
		slices.ContainsFunc(lastTables, func(table [2]string) bool { return table[1] == name })
}

func readBaselineNote(path string) (*BaselineNote, error) {
	note := &BaselineNote{}
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return note, nil
	}
	if err == nil {
		err = json.Unmarshal(text, note)
	}
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return note, nil
}

// FillLastTable adds the rows of a Parquet file to a table: the columns that both have, by name; nothing where they share none.
func FillLastTable(ctx context.Context, l *ledger.Ledger, table, path string) error {
	wanted, err := ledger.ReadTable[struct {
		Name string `db:"column_name"`
	}](ctx, l, "select column_name from duckdb_columns() where table_name = ?", table)
	if err != nil {
		return err
	}
	var fields []arrow.Field
	var places []int
	var batches []arrow.RecordBatch
	err = ReadParquet(ctx, path, func(found *arrow.Schema) error {
		for _, column := range wanted {
			for _, place := range found.FieldIndices(column.Name) {
				fields, places = append(fields, found.Field(place)), append(places, place)
			}
		}
		return nil
	}, func(batch arrow.RecordBatch) error {
		columns := make([]arrow.Array, len(places))
		for i, place := range places {
			columns[i] = batch.Column(place)
		}
		// The database reads whole records: columns that it is not to have must not be in them.
		batches = append(batches, array.NewRecordBatch(arrow.NewSchema(fields, nil), columns, batch.NumRows()))
		return nil
	})
	if err != nil || len(fields) == 0 {
		return err
	}
	records, err := array.NewRecordReader(arrow.NewSchema(fields, nil), batches)
	if err != nil {
		return err
	}
	return l.InsertRecords(ctx, table, records)
}

// FillLastNight makes last_night with its one row: the live release and the changed reference files, null where there is none.
func FillLastNight(ctx context.Context, l *ledger.Ledger, live string, changed []string) error {
	if err := ledger.MakeTables(ctx, l, "last_night"); err != nil {
		return err
	}
	return l.Exec(ctx, "insert into last_night values (nullif(?, ''), nullif(?, ''))", live, strings.Join(changed, "; "))
}

// ReferenceDigests digests every file of reference/.
func ReferenceDigests(dir string) (map[string]string, error) {
	digests := map[string]string{}
	entries, err := os.ReadDir(filepath.Join(dir, "reference"))
	if err != nil {
		return nil, err
	}
	for _, entry := range entries {
		if !entry.Type().IsRegular() {
			continue
		}
		name := "reference/" + entry.Name()
		if digests[name], _, err = disk.DigestFile(filepath.Join(dir, filepath.FromSlash(name))); err != nil {
			return nil, err
		}
	}
	return digests, nil
}

// changedFiles names the files whose digests differ, in order; none when nothing was known before.
func changedFiles(before, after map[string]string) []string {
	if len(before) == 0 {
		return nil
	}
	var changed []string
	for name, digest := range after {
		if before[name] != digest {
			changed = append(changed, name)
		}
	}
	for name := range before {
		if _, isThere := after[name]; !isThere {
			changed = append(changed, name)
		}
	}
	sort.Strings(changed)
	return changed
}
