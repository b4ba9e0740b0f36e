package pipeline

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"path/filepath"
	"slices"

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
	Missing    []string          `json:"missing"`
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
	if err := walk(ctx, l, settings, stretchTell, stretchPasses); err != nil {
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
	if err != nil {
		return err
	}
	r.HasRefused = len(r.SetAside) > 0
	r.Missing, err = readGaps(ctx, l)
	return err
}

// isClean tells whether there is nothing that a person should look at.
func (r *checkResult) isClean() bool { return !r.HasRefused && len(r.Missing)+len(r.Warnings) == 0 }

// causes gathers the rows set aside of one feed, column and reason whose remedy is one. Where there are many remedies, as one after another
// name is unknown, or more rows than are listed, all stand under the first. The most rows come first.
func (r *checkResult) causes() []rows.Quarantine {
	type cause struct{ feed, column, reason, remedy string }
	remedies, isCut := map[cause]map[string]bool{}, map[[2]string]bool{}
	for _, row := range r.SetAside {
		c := cause{row.Feed, row.Column, row.Reason, ""}
		isCut[[2]string{row.Feed, row.Reason}] = isCut[[2]string{row.Feed, row.Reason}] || row.Line == nil
		if remedies[c] == nil {
			remedies[c] = map[string]bool{}
		}
		remedies[c][row.Remedy] = true
	}
	var list []rows.Quarantine
	places, latest := map[cause]int{}, map[[3]string]int{}
	for _, row := range r.SetAside {
		ofFile := [3]string{row.Feed, row.File, row.Reason}
		if place, found := latest[ofFile]; found && row.Line == nil { // it stands for rows beyond those listed
			list[place].Rows += row.Rows
			continue
		}
		c := cause{row.Feed, row.Column, row.Reason, ""}
		if len(remedies[c]) <= mostRemedies && !isCut[[2]string{row.Feed, row.Reason}] {
			c.remedy = row.Remedy
		}
		place, found := places[c]
		if !found {
			place, list = len(list), append(list, row)
			list[place].Rows = 0
		}
		places[c], latest[ofFile] = place, place
		list[place].Rows += row.Rows
	}
	slices.SortStableFunc(list, func(x, y rows.Quarantine) int { return cmp.Compare(y.Rows, x.Rows) })
	return list
}

// mostRemedies is how many remedies of one reason each have a line.
const mostRemedies = 8

// print writes the files with their counts, then a line for each cause that sets rows aside, with its first place, and what is missing.
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
	for _, row := range r.causes() {
		fault := contract.LineFault{File: row.Feed + "/" + row.File, Column: row.Column, Text: row.Reason + "; " + row.Remedy}
		if row.Line != nil {
			fault.Line = int(*row.Line)
		}
		if row.Rows > 1 {
			fault.Text = plural(row.Rows, "row, the first here: ", "rows, the first here: ") + fault.Text
		}
		if _, err := fmt.Fprintln(w, rows.Visible(fault.String())); err != nil {
			return err
		}
	}
	for _, warning := range slices.Concat(r.Missing, r.Warnings) {
		if _, err := fmt.Fprintln(w, warning); err != nil {
			return err
		}
	}
	return nil
}
