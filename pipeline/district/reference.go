package district

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lanetally/pipeline/contract"
)

// ReferenceTable is one file of reference/, parsed. Rows hold the values in the order of Contract.Fields, defaults filled
// in; Lines holds each row's line in the file. TableName is the table's name in the database. Rows keep the file's order.
type ReferenceTable struct {
	Contract  *contract.Contract
	TableName string
	File      string
	Rows      [][]contract.Value
	Lines     []int
}

// Reference holds every reference table, absent optional ones without rows, each after those that it points to.
// Warnings are for people; the night goes on with them.
type Reference struct {
	Tables   []ReferenceTable
	Warnings []contract.LineFault
}

// ReferenceFault holds every fault of the reference tables, by file, line and column; the night ends with exit code 65.
type ReferenceFault struct {
	Faults []contract.LineFault
}

// Error gives one line a fault.
func (f *ReferenceFault) Error() string { return contract.JoinFaults(f.Faults) }

// RequiredReference names the tables that a district cannot do without.
var RequiredReference = []string{"zones", "stations", "routes", "crews", "assignments", "trucks", "materials"}

const (
	referenceFolder = "reference"
	routeLinesName  = "route_lines"
	otherRoadsName  = "other_roads"
)

// Bounds of what one file of reference/ may hold, far above any district: beyond them the file is another one under its name.
const (
	maxReferenceBytes = 32 << 20
	maxReferenceRows  = 100_000
	maxLinePositions  = 1_000_000
)

const tooManyRows = "the file has %d %s, over %d; write what the district has now"

// maxTableFaults is how many faults of a table are told at once, maxCompared to how many names all those together are compared that are
// not listed.
const (
	maxTableFaults = 1000
	maxCompared    = 1_000_000
)

// ReferenceTableName is the database's name of a reference table: storms.csv holds the declared storms.
func ReferenceTableName(name string) string {
	if name == "storms" {
		return "declared_storms"
	}
	return name
}

// IsDrawing: the table is GeoJSON, not CSV.
func IsDrawing(name string) bool { return name == routeLinesName || name == otherRoadsName }

// referenceFile is the file of a reference table, below the district folder.
func referenceFile(name string) string {
	ending := ".csv"
	if IsDrawing(name) {
		ending = ".geojson"
	}
	return referenceFolder + "/" + name + ending
}

// Table gives the table of that name in the database, nil when there is none.
func (r *Reference) Table(tableName string) *ReferenceTable {
	for i := range r.Tables {
		if r.Tables[i].TableName == tableName {
			return &r.Tables[i]
		}
	}
	return nil
}

// referenceReader reads the tables one after another and collects what is wrong.
type referenceReader struct {
	dir       string
	settings  *Settings
	reference Reference
	faults    []contract.LineFault
	counts    map[string]int  // of them, by file
	compared  int             // names to which names that are not listed were compared
	positions int             // of route lines
	broken    map[string]bool // tables that lack rows because of a fault: nothing can be held against them yet
}

// ReadReference reads and checks the folder reference/ of the district folder dir. Faults come all at once, as a
// *ReferenceFault; another error is one of reading the files.
func ReadReference(dir string, s *Settings) (*Reference, error) {
	r := &referenceReader{dir: dir, settings: s, broken: map[string]bool{}}
	for _, name := range contract.ReferenceNames {
		table, err := r.readNamed(name)
		if err != nil {
			return nil, err
		}
		r.reference.Tables = append(r.reference.Tables, table)
	}
	r.checkTables()
	if err := r.warnStrangers(); err != nil {
		return nil, err
	}
	sortFaults(r.faults)
	sortFaults(r.reference.Warnings)
	if len(r.faults) > 0 {
		return nil, &ReferenceFault{r.faults}
	}
	return &r.reference, nil
}

// readNamed reads the table of that contract.
func (r *referenceReader) readNamed(name string) (ReferenceTable, error) {
	contract, err := contract.LoadContract("reference", name)
	if err != nil {
		return ReferenceTable{}, err
	}
	table := ReferenceTable{Contract: contract, TableName: ReferenceTableName(name), File: referenceFile(name)}
	before := len(r.faults)
	if err := r.readTable(&table); err != nil {
		return ReferenceTable{}, err
	}
	r.broken[name] = len(r.faults) > before
	if name == materialClassesName && len(table.Rows) == 0 && !r.broken[name] {
		table.addUsualClasses()
	}
	return table, nil
}

func sortFaults(faults []contract.LineFault) {
	slices.SortStableFunc(faults, func(a, b contract.LineFault) int {
		return cmp.Or(cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line), cmp.Compare(a.Column, b.Column))
	})
}

func (r *referenceReader) readTable(table *ReferenceTable) error {
	path := filepath.Join(r.dir, filepath.FromSlash(table.File))
	if info, err := os.Stat(path); err == nil && info.Size() > maxReferenceBytes {
		r.fault(table, 0, "", "the file has %d bytes, over %d; write what the district has now, and lines thinned to points 20 m apart",
			info.Size(), maxReferenceBytes)
		return nil
	}
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		if slices.Contains(RequiredReference, table.Contract.Name) {
			r.fault(table, 0, "", "the file does not exist; write it, with at least its header")
		}
		return nil
	}
	if err != nil {
		return fmt.Errorf("read reference tables: %w", err)
	}
	if IsDrawing(table.Contract.Name) {
		r.readRouteLines(table, text)
		return nil
	}
	if rows := bytes.Count(text, []byte("\n")); rows > maxReferenceRows {
		r.fault(table, 0, "", tooManyRows, rows, "lines", maxReferenceRows)
		return nil
	}
	r.readCSV(table, text)
	return nil
}

func (r *referenceReader) fault(table *ReferenceTable, line int, column, format string, values ...any) {
	if r.counts == nil {
		r.counts = map[string]int{}
	}
	switch r.counts[table.File]++; {
	case r.counts[table.File] == maxTableFaults:
		line, column, format, values = 0, "", "%d faults, and more; mend these first", []any{maxTableFaults - 1}
	case r.counts[table.File] > maxTableFaults:
		return
	}
	r.faults = append(r.faults, contract.LineFault{File: table.File, Line: line, Column: column, Text: fmt.Sprintf(format, values...)})
}

func (r *referenceReader) warn(table *ReferenceTable, line int, column, format string, values ...any) {
	r.reference.Warnings = append(r.reference.Warnings,
		contract.LineFault{File: table.File, Line: line, Column: column, Text: fmt.Sprintf(format, values...)})
}

// warnStrangers names the files of the folder that nothing reads.
func (r *referenceReader) warnStrangers() error {
	entries, err := os.ReadDir(filepath.Join(r.dir, referenceFolder))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return fmt.Errorf("read reference tables: %w", err)
	}
	var known []string
	for _, name := range contract.ReferenceNames {
		known = append(known, filepath.Base(referenceFile(name)))
	}
	for _, entry := range entries {
		name := entry.Name()
		if !slices.Contains(known, strings.TrimSuffix(name, ".example")) && name[0] != '.' {
			r.reference.Warnings = append(r.reference.Warnings, contract.LineFault{
				File: referenceFolder + "/" + name,
				Text: fmt.Sprintf("nothing reads this file; the nearest reference table is %q", contract.Nearest(name, known)),
			})
		}
	}
	return nil
}
