package table

import (
	"cmp"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
)

// Key is what a cell sorts by: a number as scripts read it, an instant or a date as text in its order; "" leaves it to the
// cell's text, and a column of numbers puts a text that is none last.
type Key string

// numberKey is the number as the cell shows it, rounded alike; "" without one.
func numberKey(x *float64, decimals int) Key {
	rounded, found := format.RoundedTo(x, decimals)
	if !found {
		return ""
	}
	return Key(strconv.FormatFloat(rounded, 'f', decimals, 64))
}

// momentKey is an instant by the district's clock, to the minute.
func momentKey(c format.Clock, t *time.Time) Key {
	if t == nil {
		return ""
	}
	return Key(t.In(c.Zone).Format("2006-01-02 15:04"))
}

// dateKey is a calendar date.
func dateKey(t *time.Time) Key {
	if t == nil {
		return ""
	}
	return Key(t.UTC().Format(time.DateOnly))
}

// beside is the key where the text that it stands beside does not say it by itself.
func (k Key) beside(text string) Key {
	if string(k) == strings.TrimPrefix(text, "+") {
		return ""
	}
	return k
}

// Numbers without a unit that pages convert.
var (
	ones       = format.Measure{Factor: 1, Zero: 0, UsDecimals: 0, MetricDecimals: 0}
	tenths     = format.Measure{Factor: 1, Zero: 0, UsDecimals: 1, MetricDecimals: 1} // hours too
	hundredths = format.Measure{Factor: 1, Zero: 0, UsDecimals: 2, MetricDecimals: 2} // ratios and applications
)

// measures are those that a column may name. A share is written in percent.
var measures = map[string]format.Measure{"ones": ones, "tenths": tenths, "hundredths": hundredths, "share": ones,
	"price": format.TonPrice, "price_cents": format.TonPriceCents, "mile_price": format.LaneMilePrice,
	"mile_cents": format.LaneMilePriceCents, "lane_miles": format.LaneLength}

// unitMeasures are those of the units that the unit of a column begins with, the longest first.
var unitMeasures = []struct {
	unit string
	format.Measure
}{{"lb per lane-mile", format.MassRate}, {"lb", format.Mass}, {"lane-miles", format.LaneLength}, {"miles", format.LaneLength},
	{"°F", format.Temperature}, {"mph", format.Speed}, {"in", format.Water}, {"h", tenths}, {"tons", format.Heap},
	{"USD per ton", format.TonPrice}, {"USD per lane-mile", format.LaneMilePrice}, {"USD", ones}, {"days", ones}, {"min", ones}}

// column is a column of the catalogue: its name, its heading, and how it writes values.
type column struct {
	Heading
	name    string
	weighed string   // the name of the same by weighed loads; "" where there is none
	how     []string // words of the catalogue
	measure format.Measure
}

// newColumn makes the column of a line of the catalogue: head, unit and how follow its name.
func newColumn(name, rest string) column {
	c := column{}
	c.name, c.weighed, _ = strings.Cut(name, " & ")
	parts := append(strings.Split(rest, "|"), "", "", "")
	usual := append(strings.Split(commonColumns[c.name[strings.LastIndex(c.name, ".")+1:]], "|"), "", "", "")
	part := func(i int) string { return strings.TrimSpace(cmp.Or(strings.TrimSpace(parts[i]), usual[i])) }
	c.Head, c.Unit, c.how = part(0), part(1), strings.Fields(parts[2]+" "+usual[2])
	c.IsNumber, c.IsProse, c.IsCrew = c.is("right"), c.is("prose"), c.is("crew")
	c.IsPicked, c.IsCrewSafe = c.is("picked") || c.IsCrew, c.is("safe") || c.IsCrew
	return c
}

// is tells whether the catalogue says so of the column.
func (c column) is(how string) bool { return slices.Contains(c.how, how) }

// columnsOf are the columns that a page shows. A column with another by weighed loads is one where nothing was weighed, else both, the
// leading one first.
func columnsOf(b *book.Book, e Entry, without []string, names []any) []column {
	var list []column
	for _, c := range e.columns {
		switch {
		case c.IsCrew && !b.NamesCrews() || slices.Contains(without, c.name):
			continue
		case strings.Contains(c.Head, "%s"):
			c.Head = b.Sprintf(c.Head, names...)
		}
		list = append(list, c)
		if c.weighed == "" || !b.HasCorrected {
			continue
		}
		reported, weighed := &list[len(list)-1], c
		weighed.name = c.weighed
		reported.Unit, weighed.Unit = c.Unit+", as reported", c.Unit+", by weighed loads"
		if list = append(list, weighed); b.LeadsCorrected() {
			slices.Reverse(list[len(list)-2:])
		}
	}
	return list
}

// settle finds the measure of a column of numbers by its first value: what the catalogue names, else that of its unit; counts are whole.
func (c *column) settle(first any) {
	if shown, isShown := first.(Shown); isShown {
		first = shown.By
	}
	t := reflect.TypeOf(first)
	if t != nil && t.Kind() == reflect.Pointer {
		t = t.Elem()
	}
	if t == nil || t.Kind() != reflect.Float64 && t.Kind() != reflect.Int && t.Kind() != reflect.Int64 {
		return
	}
	c.IsNumber = true
	for _, how := range c.how {
		if m, isMeasure := measures[how]; isMeasure {
			c.measure = m
			return
		}
	}
	if c.measure = ones; t.Kind() == reflect.Float64 {
		i := slices.IndexFunc(unitMeasures, func(m struct {
			unit string
			format.Measure
		}) bool {
			rest, begins := strings.CutPrefix(c.Unit, m.unit)
			return begins && (rest == "" || rest[0] == ' ' || rest[0] == ',')
		})
		c.measure = unitMeasures[i].Measure
	}
}

// cell writes a value.
func (c column) cell(b *book.Book, value any) Cell {
	switch v := value.(type) {
	case Cell:
		return v
	case Shown:
		_, key := c.written(b, v.By)
		return Cell{Text: v.Text, Key: key.beside(v.Text)}
	}
	text, key := c.written(b, value)
	return Cell{Text: text, Key: key.beside(text)}
}

// written is a value as text, and what it sorts by.
func (c column) written(b *book.Book, value any) (string, Key) {
	switch v := value.(type) {
	case string:
		if v == "" && c.is("dash") {
			v = format.Missing
		}
		return rows.Visible(v), ""
	case bool:
		return format.YesNo(v), ""
	case time.Time:
		return c.written(b, &v)
	case *time.Time:
		if c.is("date") || strings.HasSuffix(c.name, "_date") {
			return format.DateOf(v), dateKey(v)
		}
		return b.Clock.MomentOf(v), momentKey(b.Clock, v)
	}
	x := words.Number(value)
	if c.is("share") {
		x = format.Hundredfold(x)
	}
	key := numberKey(b.ValueOf(c.measure, x), b.Decimals(c.measure))
	if c.is("signed") {
		return b.Signed(c.measure, x), key
	}
	return b.Write(c.measure, x), key
}

// columnUnits are the ends of the names of exported columns that carry a unit which the pages convert, the longest first.
var columnUnits = []struct {
	end, word string
	format.Measure
}{{"_lb_per_lane_mi", "lb per lane-mile", format.MassRate}, {"_lane_miles", "lane-miles", format.LaneLength}, {"_lb", "lb", format.Mass},
	{"_f_mean", "°F mean", format.Temperature},
	{"_f_min", "°F min", format.Temperature}, {"_mph_max", "mph max", format.Speed}, {"_in", "in", format.Water}}

// ChangedColumn names an exported column with its unit in words and writes two of its figures to a hundredth.
func ChangedColumn(u format.Units, name string, before, after *float64) (label string, was, now Cell) {
	label, m := strings.ReplaceAll(name, "_", " "), format.Measure{Factor: 1}
	for _, c := range columnUnits {
		if rest, found := strings.CutSuffix(name, c.end); found {
			label, m = strings.ReplaceAll(rest, "_", " ")+", "+u.UnitWords(c.word), c.Measure
			break
		}
	}
	return label, hundredthCell(u.ValueOf(m, before)), hundredthCell(u.ValueOf(m, after))
}

// hundredthCell writes a number to a hundredth.
func hundredthCell(x *float64) Cell {
	text := format.Fixed(x, 2)
	return Cell{Text: text, Key: numberKey(x, 2).beside(text)}
}
