package scenario

import (
	"fmt"
	"strconv"
	"strings"

	"lanetally/pipeline/scenario/land"
)

// lentKind is the kind of the rows of the truck that trucks.csv does not know.
const lentKind = "lent truck"

// fault is one way in which real rows are broken. where narrows the files; n rows get it.
type fault struct {
	feed, where, kind, column string
	n                         int
	value                     func(f *delivery, l *line) // changes the line
}

// set replaces the column's cell.
func set(column, cell string) func(*delivery, *line) {
	return func(f *delivery, l *line) { l.cells[f.column(column)] = cell }
}

// faults are the planted bad rows, 43 in all.
var faults = []fault{
	{"passes", "", "not a number", "dispensed_lb", 3, set("dispensed_lb", "12O0")},
	{"passes", "", "unknown truck", "truck_id", 2, set("truck_id", "N11")},
	{"passes", "", "unknown crew", "crew_id", 2, set("crew_id", "crew-66")},
	{"passes", "", "unknown route", "route_id", 2, set("route_id", "R-99")},
	{"passes", "", "unknown material", "material_id", 2, set("material_id", "slat")},
	{"passes", "", "ended before began", "ended_at", 2, swapTimes},
	{"passes", "", "over 12 h", "ended_at", 2, lateEnd},
	{"passes", "", "outside the route", "from_mi", 2, set("from_mi", "47.5")},
	{"passes", "", "negative pounds", "dispensed_lb", 2, set("dispensed_lb", "-2450")},
	{"passes", "", "rate over 2000", "rate_set_lb_per_lane_mi", 2, set("rate_set_lb_per_lane_mi", "2600")},
	{"passes", "", "pounds over 60000", "dispensed_lb", 1, set("dispensed_lb", "75000")},
	{"passes", "", "bad time", "began_at", 2, set("began_at", "2028-13-40 25:00")},
	{"passes", "-plain", "time in the hour that the spring change skips", "began_at", 2, springGap},
	{"passes", "", "missing required", "crew_id", 2, set("crew_id", "")},
	{"passes", "", "only one mile", "to_mi", 1, set("to_mi", "")},
	{"passes", "", "bad yes or no", "plow_down", 1, set("plow_down", "maybe")},
	{"passes", "", "unknown purpose", "purpose", 1, set("purpose", "strom")},
	{"passes", "", "no lanes", "lanes", 1, set("lanes", "0")},
	{"passes", "", "too many cells", "", 1, func(_ *delivery, l *line) { l.cells = append(l.cells, "x", "7") }},
	{"passes", "", "not UTF-8", "", 1, func(f *delivery, l *line) { l.cells[f.column("note")] = "Gr\xfcne Stra\xdfe" }},
	{"weather", "", "bad present weather", "present_wx", 2, set("present_wx", "-SNX9")},
	{"weather", "", "not finite", "air_f", 2, set("air_f", "NaN")},
	{"weather", "", "bad time", "observed_at", 1, set("observed_at", "yesterday")},
	{"weather", "", "unknown station", "station_id", 1, set("station_id", "XZQQ")},
	{"tickets", "", "not a number", "loaded_lb", 1, set("loaded_lb", "17,4OO")},
	{"tickets", "", "missing required", "loaded_lb", 1, set("loaded_lb", "")},
	{"conditions", "", "unknown cover", "cover", 1, set("cover", "wet")},
	{"conditions", "", "friction over 1", "friction", 1, set("friction", "1.7")},
}

func swapTimes(f *delivery, l *line) {
	a, b := f.column("began_at"), f.column("ended_at")
	l.cells[a], l.cells[b] = l.cells[b], l.cells[a]
}

// lateEnd moves the end into the next year, as a mistyped date does.
func lateEnd(f *delivery, l *line) {
	end := &l.cells[f.column("ended_at")]
	year, _ := strconv.Atoi((*end)[:4])
	*end = strconv.Itoa(year+1) + (*end)[4:]
}

func springGap(f *delivery, l *line) {
	l.cells[f.column("began_at")], l.cells[f.column("ended_at")] = "2028-03-12 02:20", "2028-03-12 03:05"
}

// damage breaks rows of the deliveries, each at another line. Rows that carry another planted fact stay whole.
func damage(seed uint64, all []*delivery) error {
	d := land.NewDraw(seed, "faults")
	for _, x := range faults {
		for range x.n {
			f, l := pickLine(d, all, x)
			if l == nil {
				return fmt.Errorf("demo district: no row to plant %q in; take another seed", x.kind)
			}
			x.value(f, l)
			l.isPlain, l.fate, l.kind, l.column = false, fateQuarantined, x.kind, x.column
		}
	}
	return leaveQuoteOpen(all)
}

// pickLine takes one plain line of a fitting file at random.
func pickLine(d land.Draw, all []*delivery, x fault) (*delivery, *line) {
	var files []*delivery
	var lines []*line
	for _, f := range all {
		if f.feed != x.feed || !strings.Contains(f.name, x.where) || (x.column != "" && f.column(x.column) < 0) {
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
