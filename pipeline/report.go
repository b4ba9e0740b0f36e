package pipeline

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"strings"
	"time"
)

// RunReport is what one night did, as printed by nightly --json and kept in log/.
type RunReport struct {
	Release     string      `json:"release"`
	BeganAt     time.Time   `json:"began_at"`
	AsOfAt      *time.Time  `json:"as_of_at"`
	IsPublished bool        `json:"is_published"`
	Fault       string      `json:"fault,omitempty"`
	Load        LoadSummary `json:"load"`
	Counts      counts      `json:"counts"`
	Warnings    []string    `json:"warnings"`
	Dashboard   string      `json:"dashboard,omitempty"`
}

// counts are the sizes of the tally.
type counts struct {
	Storms      int64 `json:"storms" db:"storms"`
	OpenStorms  int64 `json:"open_storms" db:"open_storms"`
	Passes      int64 `json:"passes" db:"passes"`
	Outside     int64 `json:"passes_outside_storms" db:"passes_outside_storms"`
	Quarantined int64 `json:"quarantined_rows" db:"quarantined_rows"`
	Findings    int64 `json:"findings" db:"findings"`
}

func newRunReport(now time.Time) *RunReport { return &RunReport{BeganAt: now, Warnings: []string{}} }

// sentence is the run in one sentence with counts.
func (r *RunReport) sentence() string {
	text := fmt.Sprintf("tallied %s in %s, %s set aside (data page)", plural(r.Counts.Passes, "pass", "passes"),
		plural(r.Counts.Storms, "storm", "storms"), plural(r.Counts.Quarantined, "row", "rows"))
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

// openLog begins the night's structured log.
func (n *night) openLog(id string) (closeLog func() error, err error) {
	file, err := os.Create(filepath.Join(n.Dir, "log", id+".jsonl"))
	if err != nil {
		return nil, err
	}
	n.log = slog.New(slog.NewJSONHandler(file, nil))
	return file.Close, nil
}

// writeReport keeps the report in log/, by release and as the last run.
func (n *night) writeReport() error {
	text, err := json.MarshalIndent(n.report, "", "  ")
	if err != nil {
		return err
	}
	write := func(w io.Writer) error {
		_, err := w.Write(append(text, '\n'))
		return err
	}
	return errors.Join(
		n.files.writeAtomic(filepath.Join(n.Dir, "log", n.report.Release+".json"), write),
		n.files.writeAtomic(filepath.Join(n.Dir, "log", "last_run.json"), write))
}

// warn adds a line for people.
func (r *RunReport) warn(format string, args ...any) {
	r.Warnings = append(r.Warnings, fmt.Sprintf(format, args...))
}
