package site

import (
	"bytes"
	_ "embed" // versions.csv
	"encoding/csv"
	"fmt"
	"strconv"
)

// versionsText is the list of changed definitions: a row for each that changed, season and class of the demo district, the oldest version
// first. The first version's rows name no definition and have figures after alone.
//
//go:embed versions.csv
var versionsText []byte

// versionRow is a definition that changed with a version, and what that did to a class in a season of the demo district.
type versionRow struct {
	version, definition, season, class string

	rateBeforeLbPerLaneMi, rateAfterLbPerLaneMi, regainBeforeH, regainAfterH *float64
}

// readVersions reads the list below its head.
func readVersions(text []byte) ([]versionRow, error) {
	lines, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("versions: %w", err)
	}
	var rows []versionRow
	for _, line := range lines[1:] {
		row := versionRow{version: line[0], definition: line[1], season: line[2], class: line[3]}
		for i, into := range []**float64{&row.rateBeforeLbPerLaneMi, &row.rateAfterLbPerLaneMi, &row.regainBeforeH, &row.regainAfterH} {
			cell := line[4+i]
			if cell == "" {
				continue
			}
			x, err := strconv.ParseFloat(cell, 64)
			if err != nil {
				return nil, fmt.Errorf("versions: %w", err)
			}
			*into = &x
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// versionsSection lists which definitions changed with which version, and what that did to the demo's seasons.
func versionsSection(u units, rows []versionRow) Section {
	table := Table{ID: "versions-table", Caption: "The demo district's seasons before and after each change, solids in closed storms",
		Columns: []Column{words("Version"), prose("Definition that changed"), words("Season"), words("Class"), figures("Rate before", "lb per lane-mile"),
			figures("Rate after", "lb per lane-mile"), figures("Bare lane before", "h"), figures("Bare lane after", "h")}}
	for _, r := range rows {
		definition := r.definition
		if definition == "" {
			definition = "none; the list begins here"
		}
		table.Rows = append(table.Rows, Row{Cells: cells(r.version, definition, r.season, r.class, u.rate(r.rateBeforeLbPerLaneMi), u.rate(r.rateAfterLbPerLaneMi),
			hours(r.regainBeforeH), hours(r.regainAfterH))})
	}
	return Section{ID: "versions", Title: "Definitions that changed", Text: []string{versionsSentence(rows)}, Tables: []Table{table}}
}

// versionsSentence says whether any definition changed since the list began.
func versionsSentence(rows []versionRow) string {
	changed := map[string]bool{}
	for _, r := range rows {
		if r.definition != "" {
			changed[r.version+r.definition] = true
		}
	}
	since := "No definition has changed"
	if n := len(changed); n > 0 {
		since = capital(counted(n, "definition", "definitions")) + " changed"
	}
	return since + " since version " + rows[0].version + "; the first number of a version goes up with each that does."
}
