package pipeline

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/rows"
)

// RunReport is what one night did, as printed by nightly --json and kept in log/.
type RunReport struct {
	Release     string             `json:"release"`
	BeganAt     time.Time          `json:"began_at"`
	AsOfAt      *time.Time         `json:"as_of_at"`
	Feeds       []rows.FeedEnd     `json:"feeds"`
	Silent      []string           `json:"silent,omitempty"`  // logs that are missing
	Missing     []string           `json:"missing,omitempty"` // what else is not there, so that figures stay empty
	IsPublished bool               `json:"is_published"`
	Begun       *processMark       `json:"begun,omitempty"` // of a run that has not ended
	Fault       string             `json:"fault,omitempty"`
	Held        []rows.GateCause   `json:"held,omitempty"`
	Accepted    string             `json:"accepted,omitempty"`
	Load        intake.LoadSummary `json:"load"`
	Counts      counts             `json:"counts"`
	Warnings    []string           `json:"warnings"`
	Dashboard   string             `json:"dashboard,omitempty"`
}

// counts are the sizes of the tally.
type counts struct {
	Storms      int64   `json:"storms" db:"storms"`
	OpenStorms  int64   `json:"open_storms" db:"open_storms"`
	Passes      int64   `json:"passes" db:"passes"`
	Outside     int64   `json:"passes_outside_storms" db:"passes_outside_storms"`
	AppliedLB   float64 `json:"applied_lb" db:"applied_lb"`
	Positions   int64   `json:"positions" db:"positions"`
	CrumbPasses int64   `json:"passes_of_positions" db:"passes_of_positions"`
	WeakPasses  int64   `json:"weak_passes" db:"weak_passes"`
	RowsRead    int64   `json:"rows_read" db:"rows_read"`
	Accepted    int64   `json:"accepted_rows" db:"accepted_rows"`
	Duplicates  int64   `json:"duplicate_rows" db:"duplicate_rows"`
	Corrections int64   `json:"correction_rows" db:"correction_rows"`
	Quarantined int64   `json:"quarantined_rows" db:"quarantined_rows"`
	Findings    int64   `json:"findings" db:"findings"`
}

func newRunReport(now time.Time) *RunReport { return &RunReport{BeganAt: now, Warnings: []string{}} }

// sentence is the run in one sentence with counts.
func (r *RunReport) sentence() string {
	if r.Begun != nil {
		return "begun " + r.BeganAt.Format(time.RFC3339) + ", not ended"
	}
	text := fmt.Sprintf("tallied %s in %s, %d set aside (data page)", plural(r.Counts.Passes, "pass", "passes"),
		plural(r.Counts.Storms, "storm", "storms"), r.Counts.Quarantined)
	if len(r.Warnings) > 0 {
		text += "\n  " + strings.Join(r.Warnings, "\n  ")
	}
	return text
}

// plural is a count with its noun.
func plural(n int64, one, many string) string {
	if n == 1 {
		return "1 " + one
	}
	return fmt.Sprintf("%d %s", n, many)
}

// readable is the report for people: a line a figure, then what to look at.
func (r *RunReport) readable() string {
	text := new(strings.Builder)
	line := func(name, format string, args ...any) {
		fmt.Fprintf(text, "%-22s %s\n", name, fmt.Sprintf(format, args...))
	}
	line("run", "%s, begun %s", r.Release, r.BeganAt.Format(time.RFC3339))
	switch {
	case r.Begun != nil:
		line("outcome", "%s", cmp.Or(r.Fault, "not ended"))
		return text.String()
	case r.IsPublished && r.Fault == "":
		line("outcome", "published")
	case r.IsPublished:
		line("outcome", "published, then a fault: %s", r.Fault)
	default:
		line("outcome", "not published; the release before stands: %s", r.Fault)
	}
	if r.Accepted != "" {
		line("accepted because", "%s", r.Accepted)
	}
	line("data until", "%s", instantText(r.AsOfAt))
	for _, feed := range r.Feeds {
		line("  "+feed.Feed, "%s", instantText(&feed.UntilAt))
	}
	line("files in force", "%d", r.Load.Files)
	line("contents read tonight", "%d", r.Load.Contents)
	line("rows read tonight", "%d", r.Load.Rows)
	c := r.Counts
	line("rows in force", "%d", c.RowsRead)
	line("  accepted", "%d", c.Accepted)
	line("  duplicates", "%d", c.Duplicates)
	line("  corrections", "%d", c.Corrections)
	line("rows and files aside", "%d", c.Quarantined)
	line("storms", "%d", c.Storms)
	line("  open", "%d", c.OpenStorms)
	line("passes", "%d", c.Passes)
	line("  outside storms", "%d", c.Outside)
	if c.Positions > 0 {
		line("vehicle positions", "%d", c.Positions)
		line("  passes of positions", "%d", c.CrumbPasses)
		line("  not certain enough", "%d", c.WeakPasses)
	}
	line("pounds spread", "%.0f", c.AppliedLB)
	line("findings", "%d", c.Findings)
	for _, note := range r.Load.Vanished {
		line("vanished", "%s: %s", rows.Visible(note.File), note.Text)
	}
	for _, warning := range r.Warnings {
		line("look at", "%s", warning)
	}
	return rows.VisibleLines(text.String())
}

// logFile is the night's structured log. A failed write is kept, so that a night does not go on without its log.
type logFile struct {
	file *disk.LayerFile
	err  error
}

// Write writes a line of the log.
func (l *logFile) Write(text []byte) (int, error) {
	n, err := visibleWriter{l.file}.Write(text)
	if err != nil && l.err == nil {
		l.err = err
	}
	return n, err
}

func (l *logFile) close() error { return errors.Join(l.err, l.file.Finish()) }

// openLog begins the night's structured log.
func (n *night) openLog(id string) error {
	file, err := n.files.Open(filepath.Join(n.Dir, "log", id+".jsonl"), os.O_WRONLY|os.O_CREATE|os.O_TRUNC, disk.PublicMode)
	if err != nil {
		return err
	}
	n.logFile = &logFile{file: file}
	n.log = slog.New(slog.NewJSONHandler(n.logFile, nil))
	return nil
}

// writeReport keeps the report in log/: as the last run, with the figures for those who watch, and once it has ended by release too.
// A full disk takes no report but lets go of the one before: without it status tells that a run failed.
func (n *night) writeReport() error {
	text, err := json.MarshalIndent(n.report, "", "  ")
	if err != nil {
		return err
	}
	text = []byte(rows.VisibleLines(string(text)) + "\n")
	write := func(name string, text []byte) error {
		return n.files.WriteAtomic(filepath.Join(n.Dir, "log", name), disk.WriteAll(text))
	}
	err = errors.Join(write(lastRunName, text), write(promName, []byte(n.report.prometheus())))
	if err != nil {
		for _, name := range []string{lastRunName, promName} {
			_ = n.files.RemoveAll(filepath.Join(n.Dir, "log", name)) // what failed is told already
		}
	}
	if n.report.Begun != nil {
		return err
	}
	return errors.Join(err, write(n.report.Release+".json", text), write(n.report.Release+".txt", []byte(n.report.readable())))
}

// pruneLogs removes the logs and reports of all but the newest runs.
func (n *night) pruneLogs() error {
	if n.settings == nil {
		return nil
	}
	logs, err := fs.Glob(os.DirFS(filepath.Join(n.Dir, "log")), "[0-9]*.jsonl")
	for i := 0; i < len(logs)-n.settings.KeepLogs; i++ {
		for _, ending := range []string{".json", ".txt", ".jsonl"} { // the one that is found goes last
			err = errors.Join(err, n.files.Remove(filepath.Join(n.Dir, "log", strings.TrimSuffix(logs[i], ".jsonl")+ending)))
		}
	}
	return err
}

// warn adds a line for people.
func (r *RunReport) warn(format string, args ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...))
}

// promName is the file in log/ that a watching system's text collector reads.
const promName = "lanetally.prom"

// prometheus writes the run in the text exposition format, version 0.0.4: a HELP and a TYPE line, then one sample each.
// Common practice: what the official documentation of the format describes.
func (r *RunReport) prometheus() string {
	text := new(strings.Builder)
	gauge := func(name, help string, value float64) {
		fmt.Fprintf(text, "# HELP lanetally_%s %s\n# TYPE lanetally_%s gauge\nlanetally_%s %v\n", name, help, name, name, value)
	}
	gauge("last_run_timestamp_seconds", "When the last run began, Unix time.", float64(r.BeganAt.Unix()))
	gauge("last_run_ended", "0 while the last run goes on, and where it was killed.", oneIf(r.Begun == nil))
	gauge("last_run_success", "1 when the last run published and met no fault.", oneIf(r.IsPublished && r.Fault == ""))
	if r.Begun != nil {
		return text.String()
	}
	gauge("last_run_held", "Causes for which the last run did not publish its figures.", float64(len(r.Held)))
	if r.AsOfAt != nil {
		gauge("data_until_timestamp_seconds", "Latest instant among the accepted deliveries, Unix time.", float64(r.AsOfAt.Unix()))
	}
	gauge("rows_read", "Rows of the deliveries in force.", float64(r.Counts.RowsRead))
	gauge("rows_set_aside", "Rows and files set aside.", float64(r.Counts.Quarantined))
	gauge("positions", "Vehicle positions in force.", float64(r.Counts.Positions))
	gauge("passes", "Passes in force.", float64(r.Counts.Passes))
	gauge("storms", "Storms.", float64(r.Counts.Storms))
	gauge("findings", "Findings of the tally.", float64(r.Counts.Findings))
	return text.String()
}

func oneIf(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
