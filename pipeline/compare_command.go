package pipeline

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"text/tabwriter"
	"time"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
)

type compareCommand struct {
	Dir string   `arg:"" type:"district" help:"District folder."`
	Set []string `required:"" help:"Setting and its other value; may be given more than once." placeholder:"KEY=VALUE"`
}

// movedFigure is a figure of an export that other settings change: a column, or, where the row is on one side alone, the whole row.
type movedFigure struct{ export, key, column, before, after string }

// compareFolder begins the names of folders that hold a copy while it is tallied.
const compareFolder = ".compare-"

// wholeRow stands in place of a column for a row that appears or vanishes.
const wholeRow = "(row)"

// Run tallies a copy of last night's ledger with other settings, prints what moves against the live release, and writes every figure of it.
func (k compareCommand) Run(ctx context.Context, c console) (err error) {
	live, err := release.LiveRelease(k.Dir)
	if err != nil {
		return err
	}
	if live == "" {
		return fmt.Errorf("nothing is published yet, so there is nothing to compare with: run lanetally nightly %s", k.Dir)
	}
	left, err := filepath.Glob(filepath.Join(k.Dir, compareFolder+"*"))
	if err != nil {
		return err
	}
	for _, folder := range left { // of a run that was killed
		if info, err := os.Stat(folder); err == nil && c.now.Sub(info.ModTime()) > 24*time.Hour {
			_ = os.RemoveAll(folder) // what stays is swept another day
		}
	}
	folder, err := os.MkdirTemp(k.Dir, compareFolder)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, os.RemoveAll(folder)) }()
	if err := k.tallyCopy(ctx, c, folder); err != nil {
		return err
	}
	var moved []movedFigure
	for _, name := range contract.ExportNames {
		promised, err := contract.LoadContract("exports", name)
		if err != nil {
			return err
		}
		if promised.ParquetOnly {
			continue
		}
		before, err := readPublished(k.Dir, name)
		if err != nil {
			return err
		}
		after, err := readRows(filepath.Join(folder, "data", name+".csv"))
		if err != nil {
			return err
		}
		moved = append(moved, movedBetween(promised, before, after)...)
	}
	path := filepath.Join(k.Dir, "compared", live+" "+strings.ReplaceAll(strings.Join(k.Set, " "), "/", "-")+".csv")
	if err := writeMoved(path, moved); err != nil {
		return err
	}
	return printMoved(c.out, live, strings.Join(k.Set, " "), path, moved)
}

// tallyCopy tallies a copy of the ledger below folder with the settings set, and writes its exports to data/ there.
func (k compareCommand) tallyCopy(ctx context.Context, c console, folder string) (err error) {
	settings, err := k.settings(folder)
	if err != nil {
		return err
	}
	reference, err := district.ReadReference(k.Dir, settings)
	if err != nil {
		return err
	}
	unlock, err := lockDistrict(k.Dir, c.now)
	if err != nil {
		return err
	}
	path := filepath.Join(folder, "ledger.duckdb")
	if err := errors.Join(copyFile(filepath.Join(k.Dir, "ledger.duckdb"), path), unlock()); err != nil {
		return fmt.Errorf("there is no ledger of last night to tally anew; run lanetally nightly %s: %w", k.Dir, err)
	}
	l, err := ledger.Open(ctx, path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, l.Close()) }()
	if err := errors.Join(district.LoadRun(ctx, l, settings), district.LoadReference(ctx, l, reference)); err != nil {
		return err
	}
	if err := walk(ctx, l, settings, stretchTell, stretchMoney); err != nil {
		return err
	}
	data := filepath.Join(folder, "data")
	if err := os.Mkdir(data, 0o700); err != nil {
		return err
	}
	return release.WriteExports(ctx, l, disk.Layer{}, data)
}

// settings reads district.toml with the values of --set in place of its own.
func (k compareCommand) settings(folder string) (*district.Settings, error) {
	text, err := os.ReadFile(filepath.Join(k.Dir, "district.toml"))
	if err != nil {
		return nil, err
	}
	changed := string(text)
	for _, set := range k.Set {
		key, value, found := strings.Cut(set, "=")
		if !found || !regexp.MustCompile(`^[a-z][a-z0-9_]*$`).MatchString(key) {
			return nil, usageFault{fmt.Errorf("--set %s: write KEY=VALUE with a key of the first part of district.toml, such as "+
				"storm_gap_h=4", set)}
		}
		top, tables, _ := strings.Cut("\n"+changed, "\n[")
		if tables != "" {
			tables = "\n[" + tables
		}
		top = regexp.MustCompile(`\n`+key+` *=[^\n]*`).ReplaceAllString(top, "")
		changed = key + " = " + value + top + tables
	}
	path := filepath.Join(folder, "district.toml")
	if err := os.WriteFile(path, []byte(changed), 0o600); err != nil {
		return nil, err
	}
	settings, err := district.ReadSettings(path)
	var fault *district.SettingsFault
	if errors.As(err, &fault) {
		return nil, usageFault{fmt.Errorf("--set %s: %w", strings.Join(k.Set, " "), err)}
	}
	return settings, err
}

// movedBetween lists the figures that differ between two exports, in the order of the first and then of what is new in the second.
func movedBetween(c *contract.Contract, before, after []map[string]string) (moved []movedFigure) {
	keyOf := func(row map[string]string) string {
		cells := make([]string, len(c.PrimaryKey))
		for i, column := range c.PrimaryKey {
			cells[i] = row[column]
		}
		return strings.Join(cells, " ")
	}
	left := map[string]map[string]string{}
	for _, row := range after {
		left[keyOf(row)] = row
	}
	for _, row := range before {
		key := keyOf(row)
		now, isThere := left[key]
		delete(left, key)
		if !isThere {
			moved = append(moved, movedFigure{c.Name, key, wholeRow, "there", ""})
			continue
		}
		for _, field := range c.Fields {
			if row[field.Name] != now[field.Name] {
				moved = append(moved, movedFigure{c.Name, key, field.Name, row[field.Name], now[field.Name]})
			}
		}
	}
	for _, row := range after {
		if key := keyOf(row); left[key] != nil {
			moved = append(moved, movedFigure{c.Name, key, wholeRow, "", "there"})
		}
	}
	return moved
}

func writeMoved(path string, moved []movedFigure) error {
	files := disk.Layer{}
	if err := files.MakeFolder(filepath.Dir(path)); err != nil {
		return err
	}
	return files.WriteAtomic(path, func(to io.Writer) error {
		w := csv.NewWriter(to)
		lines := [][]string{{"export", "key", "column", "before", "after"}}
		for _, m := range moved {
			lines = append(lines, []string{m.export, m.key, m.column, m.before, m.after})
		}
		return w.WriteAll(lines)
	})
}

// answers are the exports whose moved figures are printed one by one: they are few and say most.
var answers = []string{"claims", "comparison_seasons", "learning"}

// printMoved prints how many figures of each export move, and those of the answers one by one.
func printMoved(w io.Writer, live, set, path string, moved []movedFigure) error {
	out := tabwriter.NewWriter(w, 0, 0, 2, ' ', 0)
	fmt.Fprintf(out, "%s as published, beside the same rows with %s (%s+%s)\nexport\tfigures\tappear\tvanish\n", live, set, live,
		strings.ReplaceAll(set, " ", "+"))
	for _, name := range contract.ExportNames {
		counts := [3]int{}
		for _, m := range moved {
			switch {
			case m.export != name:
			case m.column != wholeRow:
				counts[0]++
			case m.before == "":
				counts[1]++
			default:
				counts[2]++
			}
		}
		if counts != [3]int{} {
			fmt.Fprintf(out, "%s\t%d\t%d\t%d\n", name, counts[0], counts[1], counts[2])
		}
	}
	if len(moved) == 0 {
		fmt.Fprintln(out, "nothing moves")
	}
	for _, m := range moved {
		if slices.Contains(answers, m.export) && shorten(m.before) != shorten(m.after) {
			fmt.Fprintf(out, "%s %s\t%s\t%s\t%s\n", m.export, m.key, m.column, dashIfEmpty(shorten(m.before)),
				dashIfEmpty(shorten(m.after)))
		}
	}
	fmt.Fprintf(out, "all of it: %s\n", path)
	return out.Flush()
}

// copyFile copies a file that nobody writes to meanwhile.
func copyFile(from, to string) error {
	in, err := os.Open(from)
	if err != nil {
		return err
	}
	defer in.Close()
	out, err := os.OpenFile(to, os.O_CREATE|os.O_EXCL|os.O_WRONLY, 0o600)
	if err != nil {
		return err
	}
	_, err = io.Copy(out, in)
	return errors.Join(err, out.Close())
}
