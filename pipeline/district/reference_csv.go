package district

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"slices"

	"lanetally/pipeline/contract"
)

var byteOrderMark = []byte("\xef\xbb\xbf")

// readCSV parses one table; rows at fault are left out of it and named.
func (r *referenceReader) readCSV(table *ReferenceTable, text []byte) {
	reader := csv.NewReader(bytes.NewReader(bytes.TrimPrefix(text, byteOrderMark)))
	reader.FieldsPerRecord = -1 // the row parser counts cells, so that the others are still read
	header, err := reader.Read()
	if errors.Is(err, io.EOF) {
		r.fault(table, 1, "", "the file is empty; write its header")
		return
	}
	if err != nil {
		r.csvFault(table, err)
		return
	}
	parser, fault := contract.NewRowParser(table.Contract, contract.Mapping{}, r.settings.Location, header)
	if fault != nil {
		r.fault(table, 1, fault.Column, "%s", fault.Remedy())
		return
	}
	for _, name := range parser.UnknownColumns() {
		r.warn(table, 1, name, "nothing reads this column; the nearest that is read is %q",
			contract.Nearest(name, fieldNames(table.Contract)))
	}
	r.readRows(table, reader, parser)
}

func (r *referenceReader) readRows(table *ReferenceTable, reader *csv.Reader, parser *contract.RowParser) {
	for {
		cells, err := reader.Read()
		if errors.Is(err, io.EOF) {
			return
		}
		if err != nil {
			r.csvFault(table, err)
			return
		}
		line, _ := reader.FieldPos(0)
		parsed, faults := parser.ParseAll(cells)
		for _, fault := range faults {
			r.fault(table, line, fault.Column, "%s", fault.Remedy())
		}
		if len(faults) > 0 {
			continue
		}
		values := slices.Clone(parsed) // the parser's own are those of the next row soon
		fillDefaults(table.Contract, values)
		table.Rows = append(table.Rows, values)
		table.Lines = append(table.Lines, line)
	}
}

func (r *referenceReader) csvFault(table *ReferenceTable, err error) {
	line, text := 0, err.Error()
	var parse *csv.ParseError
	if errors.As(err, &parse) {
		line, text = parse.StartLine, parse.Err.Error()
	}
	r.fault(table, line, "", "%s; double a quote that stands inside a quoted cell, and close every quote", text)
}

// fillDefaults puts the contract's default where a cell is empty.
func fillDefaults(c *contract.Contract, values []contract.Value) {
	for i := range values {
		if values[i].Null && c.Fields[i].Default != nil {
			values[i] = contract.Value{Number: *c.Fields[i].Default}
		}
	}
}

func fieldNames(c *contract.Contract) []string {
	names := make([]string, len(c.Fields))
	for i := range c.Fields {
		names[i] = c.Fields[i].Name
	}
	return names
}
