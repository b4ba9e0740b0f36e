package scenario

import (
	"fmt"
	"strconv"
	"strings"

	"lanetally/pipeline/scenario/land"
)

// lentKind is the kind of the rows of the truck that trucks.csv does not know.
const lentKind = "lent truck"

// spoil breaks a line as a fault does.
func spoil(f *delivery, l *line, x land.Fault) {
	cell := func(column string) *string { return &l.cells[f.column(column)] }
	switch x.How {
	case "cell":
		*cell(x.Column) = x.Cell
	case "times swapped":
		began, ended := cell("began_at"), cell("ended_at")
		*began, *ended = *ended, *began
	case "a year late": // as a mistyped date does
		end := cell("ended_at")
		year, _ := strconv.Atoi((*end)[:4])
		*end = strconv.Itoa(year+1) + (*end)[4:]
	case "hour skipped":
		*cell("began_at"), *cell("ended_at") = "2028-03-12 02:20", "2028-03-12 03:05"
	case "more cells":
		l.cells = append(l.cells, "x", "7")
	case "not UTF-8":
		*cell("note") = "Gr\xfcne Stra\xdfe"
	}
}

// damage breaks rows of the deliveries, each at another line. Rows that carry another planted fact stay whole.
func damage(seed uint64, all []*delivery) error {
	d := land.NewDraw(seed, "faults")
	for _, x := range land.Faults {
		for range x.Rows {
			f, l := pickLine(d, all, x)
			if l == nil {
				return fmt.Errorf("demo district: no row to plant %q in; take another seed", x.Kind)
			}
			spoil(f, l, x)
			l.isPlain, l.fate, l.kind, l.column = false, fateQuarantined, x.Kind, x.Column
		}
	}
	return leaveQuoteOpen(all)
}

// pickLine takes one plain line of a fitting file at random.
func pickLine(d land.Draw, all []*delivery, x land.Fault) (*delivery, *line) {
	var files []*delivery
	var lines []*line
	for _, f := range all {
		if f.feed != x.Feed || !strings.Contains(f.name, x.Where) || (x.Column != "" && f.column(x.Column) < 0) {
			continue
		}
		for i := range f.lines {
			if f.lines[i].isPlain {
				files, lines = append(files, f), append(lines, &f.lines[i])
			}
		}
	}
	if len(lines) == 0 {
		return nil, nil
	}
	i := d.IntN(len(lines))
	return files[i], lines[i]
}

// leaveQuoteOpen ends one file in the middle of a quoted note, as an export that was cut off does.
func leaveQuoteOpen(all []*delivery) error {
	for _, f := range all {
		last := len(f.lines) - 1
		if f.feed != "passes" || f.isGzip || f.column("note") < 0 || last < 0 || !f.lines[last].isPlain {
			continue
		}
		l := &f.lines[last]
		i := f.column("note")
		l.raw = csvLine(l.cells[:i]) + `,"plow blade changed at the`
		l.isPlain, l.fate, l.kind, l.column = false, fateQuarantined, "unclosed quote", ""
		f.isOpenEnd = true
		return nil
	}
	return fmt.Errorf("demo district: no file ends in a plain row; take another seed")
}
