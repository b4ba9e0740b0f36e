package crumbs

import (
	"fmt"
	"io"
	"io/fs"
	"slices"

	"lanetally/pipeline/trace"
)

// Folder is where the files of a store lie. Write replaces a file whole and durably; Remove is no error where there is none.
type Folder interface {
	fs.FS
	Write(name string, write func(io.Writer) error) error
	Remove(name string) error
}

// Store is the positions of a district.
type Store struct {
	folder   Folder
	names    *Names
	settings trace.Settings
	files    map[string]string // delivery that each content stands under, by SHA-256
}

// NewStore opens the store in a folder. files gives the delivery under which each content stands: their order decides.
func NewStore(folder Folder, names *Names, settings trace.Settings, files map[string]string) *Store {
	return &Store{folder: folder, names: names, settings: settings, files: files}
}

// Change is what Apply does: rows that come, and contents whose rows go. Days are those on which the latter have rows.
type Change struct {
	Add  []Row
	Drop []string
	Days []Day
}

// Count is what became of the rows of one content in the traces of one day: their sum is the number of rows.
type Count struct {
	Day         Day
	Content     string
	Accepted    int
	Duplicates  int
	Corrections int
}

// Trace is a trace of a truck: the points in force, later each than the one before.
type Trace struct {
	Truck  string
	Day    Day
	Points []trace.Point
}

// Result is what Apply rebuilt: all counts and traces of Days were told anew; of other days nothing changed.
type Result struct {
	Days   []Day
	Counts []Count
}

// Days lists the days around a change whose traces it may touch: a trace that reaches into a day began at most MaxTraceMS before it, and a
// position late in a day may join the trace that began the day after.
func touched(days []Day) []Day {
	before := Day((trace.MaxTraceMS + dayMS - 1) / dayMS)
	set := map[Day]bool{}
	for _, day := range days {
		for d := day - before; d <= day+1; d++ {
			set[d] = true
		}
	}
	list := make([]Day, 0, len(set))
	for day := range set {
		list = append(list, day)
	}
	slices.Sort(list)
	return list
}

// Apply makes a change and gives each trace of the days it rebuilt to take, by truck and time; the points are valid until take returns.
// Rows of a content that is added replace what the store had of it on those days. An error of take ends the work before a file changes.
func (s *Store) Apply(change Change, take func(Trace) error) (Result, error) {
	days := slices.Clone(change.Days)
	dropped := map[int32]bool{}
	for _, content := range change.Drop {
		dropped[s.names.Number(content)] = true
	}
	for i := range change.Add {
		row := &change.Add[i]
		dropped[row.Content] = true
		if day := DayOf(row.Point.AtMS); len(days) == 0 || days[len(days)-1] != day {
			days = append(days, day)
		}
	}
	result := Result{Days: touched(days)}
	var rows []Row
	for _, day := range result.Days {
		var err error
		if rows, err = s.decode(rows, day); err != nil {
			return result, err
		}
	}
	rows = slices.DeleteFunc(rows, func(row Row) bool { return dropped[row.Content] })
	rows = append(rows, change.Add...)
	return result, s.rebuild(rows, &result, take)
}

// rebuild tells rows and traces anew and writes the files of the days.
func (s *Store) rebuild(rows []Row, result *Result, take func(Trace) error) error {
	slices.SortFunc(rows, func(a, b Row) int { return s.compare(&a, &b) })
	b := &rebuilding{store: s, take: take, days: map[Day][]Row{}, counts: map[countKey]*Count{}}
	for len(rows) > 0 {
		n := 1
		for n < len(rows) && rows[n].Truck == rows[0].Truck {
			n++
		}
		if err := b.truck(rows[:n]); err != nil {
			return err
		}
		rows = rows[n:]
	}
	for _, day := range result.Days {
		if err := s.write(day, b.days[day]); err != nil {
			return fmt.Errorf("%s: %w", day.path(), err)
		}
		delete(b.days, day)
	}
	if len(b.days) > 0 {
		return fmt.Errorf("traces of %d days fall outside the days that were rebuilt", len(b.days))
	}
	result.Counts = b.listCounts()
	return nil
}

func (s *Store) write(day Day, rows []Row) error {
	if len(rows) == 0 {
		return s.folder.Remove(day.path())
	}
	return s.folder.Write(day.path(), func(to io.Writer) error { return encode(to, rows, s.names) })
}
