package pipeline

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/schemas"
)

// writeNewDistrict writes an empty district folder: settings with every default, a header row for each reference table of plain text with
// an example beside it, the common materials, and an inbox for each feed. A folder that holds anything is left alone.
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
	if err := os.CopyFS(filepath.Join(dir, "reference"), schemas.NewReference()); err != nil {
		return err
	}
	return os.WriteFile(filepath.Join(dir, "district.toml"), []byte(district.DefaultDistrictTOML(name)), 0o644)
}

// writeReferenceHeaders writes each reference table that a new district has no rows for with its header row alone.
func writeReferenceHeaders(dir string) error {
	for _, table := range contract.ReferenceNames {
		if district.IsDrawing(table) || table == "materials" {
			continue // drawings are made with a map program, not typed; the common materials are rows
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

type roadsCommand struct {
	Dir  string `arg:"" type:"district" help:"District folder."`
	File string `arg:"" type:"existingfile" help:"GeoJSON of roads; those of a route have its route_id."`
}

// Run writes reference/route_lines.geojson and reference/other_roads.geojson. What is there stays: a drawing that people mended must not be
// lost.
func (k roadsCommand) Run(c console) error {
	text, err := os.ReadFile(k.File)
	if err != nil {
		return err
	}
	roads, err := district.ReadRoads(text)
	if err != nil {
		return usageFault{fmt.Errorf("%s: %w", k.File, err)}
	}
	routeLines, otherRoads, err := roads.GeoJSON()
	if err != nil {
		return err
	}
	files := map[string][]byte{district.RouteLinesFile: routeLines, district.OtherRoadsFile: otherRoads}
	for name := range files {
		if _, err := os.Stat(filepath.Join(k.Dir, name)); !errors.Is(err, os.ErrNotExist) {
			return usageFault{fmt.Errorf("%s is there; move it away first", filepath.Join(k.Dir, name))}
		}
	}
	for _, name := range slices.Sorted(maps.Keys(files)) {
		err := disk.Layer{}.WriteDurable(filepath.Join(k.Dir, name), func(w io.Writer) error {
			_, err := w.Write(files[name])
			return err
		})
		if err != nil {
			return err
		}
	}
	for _, id := range slices.Sorted(maps.Keys(roads.LeftOut)) {
		if err := c.say("route %q: %d pieces that do not meet its longest line are left out", id, roads.LeftOut[id]); err != nil {
			return err
		}
	}
	return c.say("wrote %d routes and %d other roads; next: lanetally check %s", len(roads.Routes), len(roads.Others), k.Dir)
}
