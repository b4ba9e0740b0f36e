package book

import (
	"bytes"
	_ "embed" // versions.csv
	"encoding/csv"
	"fmt"
	"strconv"
)

// VersionsText is the list of changed definitions: a row for each that changed, season and class of the demo district, the oldest version
// first. The first version's rows name no definition and have figures after alone.
//
//go:embed versions.csv
var VersionsText []byte

// VersionRow is a definition that changed with a version, and what that did to a class in a season of the demo district.
type VersionRow struct {
	Version, Definition, Season, Class string

	RateBeforeLbPerLaneMi, RateAfterLbPerLaneMi, RegainBeforeH, RegainAfterH *float64
}

// ReadVersions reads the list below its head.
func ReadVersions(text []byte) ([]VersionRow, error) {
	lines, err := csv.NewReader(bytes.NewReader(text)).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("versions: %w", err)
	}
	var rows []VersionRow
	for _, line := range lines[1:] {
		row := VersionRow{Version: line[0], Definition: line[1], Season: line[2], Class: line[3]}
		for i, into := range []**float64{&row.RateBeforeLbPerLaneMi, &row.RateAfterLbPerLaneMi, &row.RegainBeforeH, &row.RegainAfterH} {
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
