package pipeline

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
)

// writeNewDistrict writes an empty district folder: settings with every default, a header row for each reference table of plain text, and
// an inbox for each feed. A folder that holds anything is left alone.
func writeNewDistrict(dir, name string) error {
	entries, err := os.ReadDir(dir)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if len(entries) > 0 {
		return usageFault{fmt.Errorf("%s is not empty; name an empty or absent folder", dir)}
	}
	for _, folder := range []string{"reference", "archive", "log"} {
		if err := os.MkdirAll(filepath.Join(dir, folder), 0o755); err != nil {
			return err
		}
	}
	for _, feed := range contract.FeedNames {
		if err := os.MkdirAll(filepath.Join(dir, "inbox", feed), 0o755); err != nil {
			return err
		}
	}
	if err := writeReferenceHeaders(filepath.Join(dir, "reference")); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "district.toml"), []byte(district.DefaultDistrictTOML(name)), 0o644)
}

// writeReferenceHeaders writes each reference table with its header row alone.
func writeReferenceHeaders(dir string) error {
	for _, table := range contract.ReferenceNames {
		if table == district.RouteLinesName {
			continue // GeoJSON: drawn with a map program, not typed
		}
		contract, err := contract.LoadContract("reference", table)
		if err != nil {
			return err
		}
		columns := make([]string, len(contract.Fields))
		for i, field := range contract.Fields {
			columns[i] = field.Name
		}
		header := strings.Join(columns, ",") + "\n"
		if err := os.WriteFile(filepath.Join(dir, table+".csv"), []byte(header), 0o644); err != nil {
			return err
		}
	}
	return nil
}
