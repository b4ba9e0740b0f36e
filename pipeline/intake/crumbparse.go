package intake

import (
	"context"
	"fmt"
	"math"
	"strconv"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/crumbs"
	"lanetally/pipeline/delivery"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/trace"
)

// crumbColumns are the places of the feed's columns in its contract.
type crumbColumns struct {
	truck, at, lat, lon, speed, spreading, rate, total, material, plow, lanes, crew int
}

func newCrumbColumns(c *contract.Contract) crumbColumns {
	return crumbColumns{
		truck: c.Index("truck_id"), at: c.Index("at"), lat: c.Index("lat"), lon: c.Index("lon"), speed: c.Index("speed_mph"),
		spreading: c.Index("spreading"),
		rate:      c.Index("rate_lb_per_lane_mi"), total: c.Index("dispensed_total_lb"), material: c.Index("material_id"),
		plow:  c.Index("plow_down"),
		lanes: c.Index("lanes"), crew: c.Index("crew_id"),
	}
}

// crumbReference is what reference/ knows of the names that positions carry.
type crumbReference struct {
	tables [3]crumbNames
}

// crumbNames are the names of one reference table that a column of the feed points to.
type crumbNames struct {
	column, what, file string
	known              map[string]bool
}

func readCrumbReference(ctx context.Context, l *ledger.Ledger) (*crumbReference, error) {
	r := &crumbReference{[3]crumbNames{{column: "truck_id", what: "truck", file: "trucks"},
		{column: "material_id", what: "material", file: "materials"},
		{column: "crew_id", what: "crew", file: "crews"}}}
	for i := range r.tables {
		table := &r.tables[i]
		names, err := ledger.ReadColumn[string](ctx, l, fmt.Sprintf("select %s as value from %s", table.column, table.file))
		if err != nil {
			return nil, err
		}
		table.known = map[string]bool{}
		for _, name := range names {
			table.known[name] = true
		}
	}
	return r, nil
}

// crumbParser turns the rows of one content into positions.
type crumbParser struct {
	parser    cellParser
	rejected  *contract.Fault // why the content is rejected whole
	columns   crumbColumns
	reference *crumbReference
	numbers   *crumbs.Names
	seen      [3]map[string]seenName
	last      [3]seenName
}

// seenName is a name that the content carries.
type seenName struct {
	text    string
	number  int32
	isKnown bool
}

func (c *crumbLoading) newParser(feed *feedLoader, content ContentKey, header []string) *crumbParser {
	p := &crumbParser{columns: newCrumbColumns(feed.contract), reference: c.reference, numbers: c.names}
	p.parser, p.rejected = feed.NewParser(content, header)
	for i := range p.seen {
		p.seen[i] = map[string]seenName{}
	}
	return p
}

// parse gives the position of a row, or its first fault. What the row itself is at fault for comes before what reference/ does not know.
func (p *crumbParser) parse(row delivery.Row) (position crumbs.Row, fault *contract.Fault) {
	values, fault := parseRow(p.parser, p.rejected, row)
	if fault != nil {
		return position, fault
	}
	c := &p.columns
	names := [3]int32{}
	for i, place := range [3]int{c.truck, c.material, c.crew} {
		if values[place].Null {
			continue
		}
		name := p.name(i, values[place].Text)
		if !name.isKnown && fault == nil {
			table := &p.reference.tables[i]
			fault = &contract.Fault{Column: table.column, Code: "unknown_" + table.what, Found: strconv.Quote(name.text)}
		}
		names[i] = name.number
	}
	if fault != nil {
		return position, fault
	}
	return crumbs.Row{Truck: names[0], Line: row.Line, Point: trace.Point{
		AtMS: values[c.at].Micros / 1000, Lon: values[c.lon].Number, Lat: values[c.lat].Number, SpeedMPH: numberOrNaN(values[c.speed]),
		RateLbPerLaneMi: numberOrNaN(values[c.rate]), TotalLb: numberOrNaN(values[c.total]), Lanes: numberOrNaN(values[c.lanes]),
		Material: names[1], Crew: names[2], Spreading: triOf(values[c.spreading]), PlowDown: triOf(values[c.plow]),
	}}, nil
}

// name finds a name among those that the content carries; most rows carry the same as the row before.
func (p *crumbParser) name(column int, text string) seenName {
	if p.last[column].text == text {
		return p.last[column]
	}
	name, isSeen := p.seen[column][text]
	if !isSeen {
		text = string(append([]byte(nil), text...)) // the cell would hold the whole row in memory
		name = seenName{text: text, isKnown: p.reference.tables[column].known[text]}
		if name.isKnown {
			name.number = p.numbers.Number(text)
		}
		p.seen[column][text] = name
	}
	p.last[column] = name
	return name
}

func numberOrNaN(value contract.Value) float64 {
	if value.Null {
		return math.NaN()
	}
	return value.Number
}

func triOf(value contract.Value) trace.Tri {
	if value.Null {
		return trace.Unknown
	}
	return trace.TriOf(value.Bool)
}
