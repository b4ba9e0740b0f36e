package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// checkResult is what a night would load and refuse.
type checkResult struct {
	Files      []rows.Intake     `json:"files"`
	SetAside   []rows.Quarantine `json:"quarantined"`
	Warnings   []string          `json:"warnings"`
	HasRefused bool              `json:"has_refused"`
}

// checkDistrict tells every row of the deliveries in a ledger in memory. It writes nothing to the district folder.
func checkDistrict(ctx context.Context, dir string) (result *checkResult, err error) {
	settings, err := district.ReadSettings(filepath.Join(dir, "district.toml"))
	if err != nil {
		return nil, err
	}
	if _, _, err := district.ReadCrewFile(dir); err != nil {
		return nil, err
	}
	reference, err := district.ReadReference(dir, settings)
	if err != nil {
		return nil, err
	}
	l, err := ledger.Open(ctx, "")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.Close()) }()
	if err := errors.Join(district.LoadRun(ctx, l, settings), district.LoadReference(ctx, l, reference)); err != nil {
		return nil, err
	}
	summary, err := intake.CheckDeliveries(ctx, l, dir, settings)
	if err != nil {
		return nil, err
	}
	if err := walk(ctx, l, settings, stretchTell, stretchTell); err != nil {
		return nil, err
	}
	result = &checkResult{Warnings: summary.Lines()}
	for _, warning := range reference.Warnings {
		result.Warnings = append(result.Warnings, warning.String())
	}
	return result, result.read(ctx, l)
}

// read takes the intake and the quarantine from the ledger.
func (r *checkResult) read(ctx context.Context, l *ledger.Ledger) (err error) {
	r.Files, err = ledger.ReadTable[rows.Intake](ctx, l,
		"select feed, file, same_as, rows_read, accepted, duplicates, corrections, quarantined from intake order by feed, file")
	if err != nil {
		return err
	}
	r.SetAside, err = ledger.ReadTable[rows.Quarantine](ctx, l,
		`select feed, file, line, "column", reason, remedy, "rows" from quarantine order by feed, file, line nulls last, reason`)
	r.HasRefused = len(r.SetAside) > 0
	return err
}

// isClean tells whether there is nothing that a person should look at.
func (r *checkResult) isClean() bool { return !r.HasRefused && len(r.Warnings) == 0 }

// print writes the files with their counts, then a line for each row that would be set aside.
func (r *checkResult) print(w io.Writer) error {
	for _, f := range r.Files {
		same := ""
		if f.SameAs != "" {
			same = ", same content as " + rows.Visible(f.SameAs)
		}
		if _, err := fmt.Fprintf(w, "%s/%s: %d rows: %d accepted, %d duplicates, %d corrections, %d set aside%s\n",
			f.Feed, rows.Visible(f.File), f.RowsRead, f.Accepted, f.Duplicates, f.Corrections, f.Quarantined, same); err != nil {
			return err
		}
	}
	for _, row := range r.SetAside {
		fault := contract.LineFault{File: row.Feed + "/" + row.File, Column: row.Column, Text: row.Reason + "; " + row.Remedy}
		if row.Line == nil {
			fault.Text = plural(row.Rows, "more row: ", "more rows: ") + fault.Text
		} else {
			fault.Line = int(*row.Line)
		}
		if _, err := fmt.Fprintln(w, rows.Visible(fault.String())); err != nil {
			return err
		}
	}
	for _, warning := range r.Warnings {
		if _, err := fmt.Fprintln(w, warning); err != nil {
			return err
		}
	}
	return nil
}
