package site

import (
	"bytes"
	"cmp"
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
func versionsSection(b *book, rows []versionRow) Section {
	rates := func(head string, get func(versionRow) *float64) Column[versionRow] {
		return numbers(b, head, "lb per lane-mile", massRate, get)
	}
	bare := func(head string, get func(versionRow) *float64) Column[versionRow] {
		return numbers(b, head, "h", tenths, get)
	}
	table := filled(b, Table{ID: "versions-table", Caption: "The demo district's seasons before and after each change, solids in closed storms"},
		[]Column[versionRow]{
			words("Version", func(r versionRow) string { return r.version }),
			prose("Definition that changed", func(r versionRow) string { return cmp.Or(r.definition, "none; the list begins here") }),
			words("Season", func(r versionRow) string { return r.season }),
			words("Class", func(r versionRow) string { return r.class }),
			rates("Rate before", func(r versionRow) *float64 { return r.rateBeforeLbPerLaneMi }),
			rates("Rate after", func(r versionRow) *float64 { return r.rateAfterLbPerLaneMi }),
			bare("Bare lane before", func(r versionRow) *float64 { return r.regainBeforeH }),
			bare("Bare lane after", func(r versionRow) *float64 { return r.regainAfterH }),
		}, rows)
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
