package contract

import (
	"fmt"
	"regexp"
	"slices"
	"sort"
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/localtime"
)

// WxCheck tells whether a present_wx text is readable; nil when it is.
type WxCheck func(string) error

// RowParser turns the cells of one delivery's rows into values. It remembers, per truck or station, where the file
// stands within a repeated hour; so one parser serves one file, rows in file order, in one goroutine.
type RowParser struct {
	// Wx checks present_wx; nil accepts every text.
	Wx WxCheck

	contract *Contract
	columns  []column
	header   []string
	unknown  []string
	format   *localtime.Format
	zone     *localtime.Zone
	clocks   clockOrder
	rules    []rowRule
	values   []Value               // of the row at hand; a cell that repeats the one of the row before leaves its value as it is
	readings [2]localtime.Readings // of its times

	lastTime  string // many trucks report at one time
	lastStamp localtime.Stamp
}

// column is a field of the contract and where its cells come from. Source is -1 when no header gives it. Others are the places of the
// further headers of which the lowest number counts.
type column struct {
	field   *Field
	kind    fieldKind
	source  int
	others  []int
	fixed   string
	values  map[string]string
	change  *unitChange
	pattern *regexp.Regexp
	isWx    bool

	repeats  bool // it reads one header and is no time: most rows repeat most such cells of the row before
	isSound  bool // its latest cell was, whose text is lastText
	lastText string
}

// fieldKind is how a cell is read: as text unless the field's type says otherwise.
type fieldKind uint8

const (
	textCell fieldKind = iota
	numberCell
	booleanCell
	timeCell
	dateCell
)

var fieldKinds = map[string]fieldKind{"number": numberCell, "integer": numberCell, "boolean": booleanCell, "datetime": timeCell,
	"date": dateCell}

// cellFault is a fault and the place of its column in the contract.
type cellFault struct {
	place int
	fault Fault
}

// NewRowParser fits a contract and a mapping to a file's header. A nil loc means UTC. The fault rejects the file whole.
func NewRowParser(c *Contract, m Mapping, loc *time.Location, header []string) (*RowParser, *Fault) {
	if loc == nil {
		loc = time.UTC
	}
	p := &RowParser{contract: c, zone: localtime.NewZone(loc), clocks: newClockOrder(c), rules: rulesOf(c)}
	seen := map[string]bool{}
	for _, name := range header {
		name = trim(name)
		if seen[name] {
			return nil, &Fault{Column: name, Code: ReasonHeaderTwice, Found: strconv.Quote(name)}
		}
		seen[name] = name != ""
		p.header = append(p.header, name)
	}
	if m.TimeFormat != "" {
		format, err := localtime.Compile(m.TimeFormat)
		if err != nil {
			return nil, &Fault{Code: ReasonMapping + ".time_format", Wanted: fmt.Sprintf("%q: %v", m.TimeFormat, err)}
		}
		p.format = format
	}
	for i := range c.Fields {
		source, isMapped := m.Columns[c.Fields[i].Name]
		if !isMapped {
			source = ColumnSource{From: c.Fields[i].Name}
		}
		column, fault := p.newColumn(&c.Fields[i], source, isMapped)
		if fault != nil {
			return nil, fault
		}
		column.repeats = len(column.others) == 0 && column.kind != timeCell
		p.columns = append(p.columns, column)
	}
	p.unknown = p.findUnknown()
	p.values = make([]Value, len(p.columns))
	return p, nil
}

func (p *RowParser) newColumn(field *Field, from ColumnSource, isMapped bool) (column, *Fault) {
	col := column{field: field, kind: fieldKinds[field.Type], source: -1, values: from.Values, isWx: field.Name == "present_wx"}
	if field.Constraints.Pattern != "" {
		col.pattern = regexp.MustCompile("^(?:" + field.Constraints.Pattern + ")$")
	}
	if from.Unit != "" {
		change, err := UnitChangeTo(field.Unit, from.Unit)
		if err != nil {
			return col, &Fault{Column: field.Name, Code: ReasonMapping, Wanted: err.Error()}
		}
		col.change = &change
	}
	if from.Value != nil {
		col.fixed = *from.Value
		return col, nil
	}
	headers := from.FromLowest
	if len(headers) == 0 {
		headers = []string{from.From}
	}
	for i, header := range headers {
		place := slices.Index(p.header, trim(header))
		switch {
		case place < 0 && isMapped:
			return col, &Fault{Column: field.Name, Code: ReasonMappedMissing,
				Found: strconv.Quote(Nearest(header, p.header)), Wanted: strconv.Quote(header)}
		case i == 0:
			col.source = place
		default:
			col.others = append(col.others, place)
		}
	}
	if col.source >= 0 {
		return col, nil
	}
	if field.Constraints.Required {
		return col, &Fault{Column: field.Name, Code: ReasonColumnMissing}
	}
	return col, nil
}

// findUnknown names the headers that no column reads.
func (p *RowParser) findUnknown() []string {
	read := make([]bool, len(p.header))
	for _, col := range p.columns {
		if col.source >= 0 {
			read[col.source] = true
		}
		for _, place := range col.others {
			read[place] = true
		}
	}
	var unknown []string
	for i, name := range p.header {
		if !read[i] && name != "" {
			unknown = append(unknown, name)
		}
	}
	return unknown
}

// UnknownColumns names the header's columns that nothing reads, in header order.
func (p *RowParser) UnknownColumns() []string { return p.unknown }

// Parse gives the values of one row in the order of the contract's fields, or the first fault by that order.
func (p *RowParser) Parse(cells []string) ([]Value, *Fault) {
	values, faults := p.ParseAll(cells)
	if len(faults) > 0 {
		return nil, &faults[0]
	}
	return slices.Clone(values), nil
}

// ParseAll gives the values of one row, null where a cell is at fault, and every fault, by the order of the contract's fields. The values
// are valid until the next call.
func (p *RowParser) ParseAll(cells []string) ([]Value, []Fault) {
	if fault := p.countCells(cells); fault != nil {
		return nil, []Fault{*fault}
	}
	values, readings := p.values, &p.readings
	*readings = [2]localtime.Readings{}
	var faults []cellFault
	for i := range p.columns {
		col, text := &p.columns[i], p.columns[i].fixed
		if col.source >= 0 {
			text = cells[col.source]
		}
		if col.isSound && text == col.lastText {
			continue
		}
		values[i] = Value{}
		fault := p.parseColumn(col, text, cells, p.clocks.readingsAt(i, readings), &values[i])
		if fault != nil {
			values[i] = Value{Null: true}
			faults = append(faults, cellFault{i, *fault})
		}
		if col.repeats {
			col.isSound, col.lastText = fault == nil, text
		}
	}
	p.clocks.settle(values, readings)
	for _, rule := range p.rules {
		if place, fault := rule(values); fault != nil && !hasFault(faults, place) {
			faults = append(faults, cellFault{place, *fault})
		}
	}
	if len(faults) == 0 {
		return values, nil
	}
	return values, inContractOrder(faults)
}

func (p *RowParser) countCells(cells []string) *Fault {
	found, wanted := len(cells), len(p.header)
	if found == wanted {
		return nil
	}
	reason := ReasonFewerCells
	if found > wanted {
		reason = ReasonMoreCells
	}
	return &Fault{Code: reason, Found: strconv.Itoa(found), Wanted: strconv.Itoa(wanted)}
}

func hasFault(faults []cellFault, place int) bool {
	return slices.ContainsFunc(faults, func(f cellFault) bool { return f.place == place })
}

func inContractOrder(faults []cellFault) []Fault {
	sort.SliceStable(faults, func(i, j int) bool { return faults[i].place < faults[j].place })
	ordered := make([]Fault, len(faults))
	for i := range faults {
		ordered[i] = faults[i].fault
	}
	return ordered
}

// parseColumn reads the cell of a column, text, into to, which is zero; of several sensors the lowest that reports, a fault in any of them
// being the column's.
func (p *RowParser) parseColumn(col *column, text string, cells []string, readings *localtime.Readings, to *Value) *Fault {
	fault := p.parseCell(col, text, readings, to)
	for _, place := range col.others {
		if fault != nil {
			return fault
		}
		var value Value
		fault = p.parseCell(col, cells[place], readings, &value)
		if fault == nil && !value.Null && (to.Null || value.Number < to.Number) {
			*to = value
		}
	}
	return fault
}

// parseCell reads one cell into to, which is zero. Readings, for a time whose clock may repeat, receives both its instants.
func (p *RowParser) parseCell(col *column, text string, readings *localtime.Readings, to *Value) *Fault {
	text = trim(text)
	if col.values != nil {
		if replaced, ok := col.values[text]; ok {
			text = trim(replaced)
		}
	}
	field := col.field
	if text == "" {
		if field.Constraints.Required {
			return &Fault{Column: field.Name, Code: ReasonEmpty}
		}
		to.Null = true
		return nil
	}
	switch col.kind {
	case numberCell:
		return parseNumberCell(col, text, to)
	case booleanCell:
		return parseBooleanCell(field, text, to)
	case timeCell:
		return p.parseTimeCell(field, text, readings, to)
	case dateCell:
		return parseDateCell(field, text, to)
	default:
		return p.parseTextCell(col, text, to)
	}
}

// trim drops the spaces and tabs around a cell.
func trim(text string) string {
	if text == "" || text[0] > ' ' && text[len(text)-1] > ' ' {
		return text
	}
	return strings.Trim(text, " \t")
}
