package pipeline

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"text/tabwriter"
	"time"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/intake"
	"lanetally/site/format"
)

// publishedStorm is one storm as the live release has it: rows of storms.csv and storm_routes.csv by column.
type publishedStorm struct {
	StormID string              `json:"storm_id"`
	Zones   []map[string]string `json:"-"`
	Routes  []map[string]string `json:"-"`
}

// MarshalJSON writes the rows with their numbers as numbers.
func (s *publishedStorm) MarshalJSON() ([]byte, error) {
	zones, err := typedRows("storms", s.Zones)
	if err != nil {
		return nil, err
	}
	routes, err := typedRows("storm_routes", s.Routes)
	if err != nil {
		return nil, err
	}
	return json.Marshal(map[string]any{"storm_id": s.StormID, "zones": zones, "routes": routes})
}

// typedRows are rows of an export with numbers, yes or no, and text as its contract has them; an empty cell is nil.
func typedRows(export string, rows []map[string]string) ([]map[string]any, error) {
	promised, err := contract.LoadContract("exports", export)
	if err != nil {
		return nil, err
	}
	list := []map[string]any{}
	for _, row := range rows {
		cells := map[string]any{}
		for _, field := range promised.Fields {
			cell := row[field.Name]
			switch {
			case cell == "":
				cells[field.Name] = nil
			case field.Type == "number" || field.Type == "integer":
				cells[field.Name] = json.Number(cell)
			case field.Type == "boolean":
				cells[field.Name] = cell == "true"
			default:
				cells[field.Name] = cell
			}
		}
		list = append(list, cells)
	}
	return list, nil
}

// readStorm reads one storm from the live release. An unknown storm is a usage error that names the latest.
func readStorm(dir, id string) (*publishedStorm, error) {
	zones, err := readPublished(dir, "storms")
	if err != nil {
		return nil, err
	}
	routes, err := readPublished(dir, "storm_routes")
	if err != nil {
		return nil, err
	}
	storm := &publishedStorm{StormID: id, Zones: rowsOfStorm(zones, id), Routes: rowsOfStorm(routes, id)}
	if len(storm.Zones) == 0 {
		latest := "there is no storm in the release"
		if n := len(zones); n > 0 {
			latest = "the latest is " + zones[n-1]["storm_id"]
		}
		return nil, usageFault{fmt.Errorf("no storm %q; %s; the storms page lists all", id, latest)}
	}
	return storm, nil
}

// rowsOfStorm picks the rows of one storm.
func rowsOfStorm(rows []map[string]string, id string) []map[string]string {
	picked := []map[string]string{}
	for _, row := range rows {
		if row["storm_id"] == id {
			picked = append(picked, row)
		}
	}
	return picked
}

// readPublished reads one export of the live release, a map by column for each row.
func readPublished(dir, name string) ([]map[string]string, error) {
	rows, err := readRows(filepath.Join(dir, "current", "data", name+".csv"))
	if errors.Is(err, fs.ErrNotExist) {
		err = fmt.Errorf("no release to read; run lanetally nightly first: %w", err)
	}
	return rows, err
}

// readRows reads an export, a map by column for each row.
func readRows(path string) ([]map[string]string, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	lines, err := csv.NewReader(file).ReadAll()
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	var rows []map[string]string
	for _, cells := range lines[min(1, len(lines)):] {
		row := map[string]string{}
		for i, cell := range cells {
			row[lines[0][i]] = cell
		}
		rows = append(rows, row)
	}
	return rows, nil
}

// print writes the storm as two tables.
func (s *publishedStorm) print(w io.Writer) error {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	columns := []string{"zone_id", "began_at", "ended_at", "hours", "is_open", "kind", "precip_in", "air_f_mean", "surface_f_min",
		"wind_mph_max"}
	printTable(out, "storm "+s.StormID, columns, s.Zones)
	columns = []string{"route_id", "material_class", "form", "applied_lb", "rate_lb_per_lane_mi", "storm_lb_per_lane_mi", "applications",
		"rounds", "regain_h", "regain_state"}
	printTable(out, "", columns, s.Routes)
	return out.Flush()
}

// printTable writes a title and the named columns; a missing value shows as a dash.
func printTable(out io.Writer, title string, columns []string, rows []map[string]string) {
	fmt.Fprintf(out, "%s\n%s\n", title, strings.Join(columns, "\t"))
	for _, row := range rows {
		cells := make([]string, len(columns))
		for i, column := range columns {
			if cells[i] = shorten(row[column]); cells[i] == "" {
				cells[i] = "-"
			}
		}
		fmt.Fprintln(out, strings.Join(cells, "\t"))
	}
}

// shorten rounds a long decimal to two places, for reading in a terminal; the exports have the rest.
func shorten(cell string) string {
	_, decimals, found := strings.Cut(cell, ".")
	x, err := strconv.ParseFloat(cell, 64)
	if !found || len(decimals) <= 2 || err != nil {
		return cell
	}
	return strconv.FormatFloat(x, 'f', 2, 64)
}

type explainCommand struct {
	Dir  string `arg:"" type:"district" help:"District folder."`
	Pass string `help:"Pass: its pass_id, else truck_id@began_at@route_id@piece, as in the export passes." required:"" placeholder:"ID"`
}

// Run says how a figure of last night came about.
func (k explainCommand) Run(ctx context.Context, c console) error {
	published, err := readPublished(k.Dir, "passes")
	if err != nil {
		return err
	}
	pass := findPass(published, k.Pass)
	if pass == nil {
		return usageFault{fmt.Errorf("no pass %q in the release; current/data/passes.csv lists all", k.Pass)}
	}
	if err := printPass(c.out, pass); err != nil || pass["source"] == "sheet" {
		return err
	}
	began, fault := time.Parse(time.RFC3339, pass["began_at"])
	ended, err := time.Parse(time.RFC3339, pass["ended_at"])
	if err := errors.Join(fault, err); err != nil {
		return err
	}
	settings, err := district.ReadSettings(filepath.Join(k.Dir, "district.toml"))
	if err != nil {
		return err
	}
	e, err := intake.ExplainTrace(ctx, k.Dir, settings, pass["truck_id"], began)
	if err != nil {
		return err
	}
	own := e.PassesOf(pass["route_id"], began, ended, pass["source"] == "both")
	if len(own) == 0 {
		return errors.New("lines or settings changed since last night, and the positions give this pass no more; run lanetally nightly")
	}
	if err := e.Print(c.out, own, settings.NoiseM); err != nil {
		return err
	}
	path := filepath.Join(k.Dir, "explained", format.FileName(k.Pass)+".svg")
	files := disk.Layer{Hide: disk.ForOthers} // where a truck was, by the second
	if err := files.MakeFolder(filepath.Dir(path)); err != nil {
		return err
	}
	if err := files.WriteAtomic(path, func(w io.Writer) error { return e.Draw(w, own) }); err != nil {
		return err
	}
	return c.say("wrote its positions, the lines and what was matched to %s", path)
}

// findPass finds a pass by its pass_id, else by truck, begin, route and the number among those alike, 1 where it is left out.
func findPass(rows []map[string]string, id string) map[string]string {
	alike := map[string]int{}
	for _, row := range rows {
		key := strings.Join([]string{row["truck_id"], row["began_at"], row["route_id"]}, "@")
		alike[key]++
		if row["pass_id"] == id || key+"@"+strconv.Itoa(alike[key]) == id || key == id {
			return row
		}
	}
	return nil
}

func printPass(w io.Writer, pass map[string]string) error {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	for _, column := range []string{"pass_id", "truck_id", "crew_id", "route_id", "storm_id", "began_at", "ended_at", "from_mi", "to_mi",
		"lane_miles", "material_id", "applied_lb", "plow_down", "source", "points", "matched_share", "confidence"} {
		if pass[column] != "" {
			fmt.Fprintf(out, "%s\t%s\n", column, pass[column])
		}
	}
	return out.Flush()
}
