package intake

import (
	"sync"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/delivery"
	"lanetally/pipeline/ledger"
)

// rowSource gives the rows of one content, from the inbox or from the archive.
type rowSource interface {
	Next() bool
	Row() delivery.Row
	Err() error
}

// cellParser turns the cells of one row into values in the order of the contract, those of a report behind them, and faults.
type cellParser interface {
	ParseAll(cells []string) ([]contract.Value, []contract.Fault)
	UnknownColumns() []string
}

// leadingFields are the columns of every raw table ahead of the contract's.
var leadingFields = []arrow.Field{
	{Name: "sha256", Type: arrow.BinaryTypes.String},
	{Name: "line", Type: arrow.PrimitiveTypes.Int64},
	{Name: "raw", Type: arrow.BinaryTypes.Binary},
	{Name: "fault_column", Type: arrow.BinaryTypes.String, Nullable: true},
	{Name: "fault_code", Type: arrow.BinaryTypes.String, Nullable: true},
	{Name: "fault_found", Type: arrow.BinaryTypes.String, Nullable: true},
	{Name: "fault_wanted", Type: arrow.BinaryTypes.String, Nullable: true},
}

// rawRows turns the rows of one content into Arrow records of its feed's raw table, as they are asked for. It is an array.RecordReader; the
// database may ask for each record from another thread.
type rawRows struct {
	asked     sync.Mutex
	from      rowSource
	parser    cellParser      // nil for a content that is rejected whole
	rejected  *contract.Fault // why, then
	sha256    string
	rows      int64 // read so far
	leftOut   leftOut
	schema    *arrow.Schema
	builder   *array.RecordBuilder
	trace     int // place of the contract's column that may be a trace; -1 without
	batch     arrow.RecordBatch
	err       error
	fieldless []contract.Value // one empty value a column
	columns   int              // of the contract
	extras    int              // columns of a raw report behind the contract's
}

func newRawRows(c *contract.Contract, content ContentKey, from rowSource) *rawRows {
	fields := append([]arrow.Field(nil), leadingFields...)
	r := &rawRows{from: from, sha256: content.Sha256, trace: -1, leftOut: newLeftOut()}
	for i := range c.Fields {
		fields = append(fields, ledger.ArrowField(&c.Fields[i]))
		r.fieldless = append(r.fieldless, contract.Value{Null: true})
		if c.Fields[i].TraceText != "" {
			r.trace = i
		}
	}
	if r.trace >= 0 {
		fields = append(fields, arrow.Field{Name: "precip_is_trace", Type: arrow.FixedWidthTypes.Boolean, Nullable: true})
	}
	r.columns = len(c.Fields)
	if c.Name == contract.ReportsFeed {
		fields = append(fields, reportFields...)
		r.extras = len(reportFields)
	}
	r.schema = arrow.NewSchema(fields, nil)
	r.builder = array.NewRecordBuilder(memory.DefaultAllocator, r.schema)
	return r
}

// Next builds the next record; false at the end, or when Err is not nil.
func (r *rawRows) Next() bool {
	r.asked.Lock()
	defer r.asked.Unlock()
	r.dropBatch()
	bytes, count := 0, 0
	for count < ledger.BatchRows && bytes < ledger.BatchBytes && r.from.Next() {
		row := r.from.Row()
		r.rows += row.Count()
		if r.add(row) {
			bytes += len(row.Raw)
			count++
		}
	}
	if r.err = r.from.Err(); r.err != nil || count == 0 {
		return false
	}
	r.batch = r.builder.NewRecordBatch()
	return true
}

// outcome gives the number of rows read and what ended reading early.
func (r *rawRows) outcome() (int64, error) {
	r.asked.Lock()
	defer r.asked.Unlock()
	return r.rows, r.err
}

// add adds a row to the record, unless the ledger does not keep it.
func (r *rawRows) add(row delivery.Row) bool {
	values, fault := parseRow(r.parser, r.rejected, row)
	if values == nil {
		if !r.leftOut.isKept(&row, fault) {
			return false
		}
		values = r.fieldless
	}
	r.builder.Field(0).(*array.StringBuilder).Append(r.sha256)
	r.builder.Field(1).(*array.Int64Builder).Append(row.Line)
	r.builder.Field(2).(*array.BinaryBuilder).Append(row.Raw)
	r.addFault(fault)
	at := len(leadingFields)
	for _, value := range values[:r.columns] {
		ledger.AppendValue(r.builder.Field(at), value)
		at++
	}
	if r.trace >= 0 {
		r.builder.Field(at).(*array.BooleanBuilder).Append(values[r.trace].Trace)
		at++
	}
	for i := range r.extras {
		value := contract.Value{Null: true}
		if len(values) > r.columns {
			value = values[r.columns+i]
		}
		ledger.AppendValue(r.builder.Field(at+i), value)
	}
	return true
}

// parseRow gives what could be read of a row, and its first fault; without a parser its content is rejected whole.
func parseRow(parser cellParser, rejected *contract.Fault, row delivery.Row) ([]contract.Value, *contract.Fault) {
	switch {
	case row.Fault != nil:
		return nil, row.Fault
	case parser == nil:
		return nil, rejected
	}
	values, faults := parser.ParseAll(row.Cells)
	if len(faults) > 0 {
		return values, &faults[0]
	}
	return values, nil
}

func (r *rawRows) addFault(fault *contract.Fault) {
	texts := [4]string{}
	if fault != nil {
		texts = [4]string{fault.Column, fault.Code, fault.Found, fault.Wanted}
	}
	for i, text := range texts {
		to := r.builder.Field(3 + i).(*array.StringBuilder)
		if text == "" {
			to.AppendNull()
		} else {
			to.Append(text)
		}
	}
}

func (r *rawRows) dropBatch() {
	if r.batch != nil {
		r.batch.Release()
		r.batch = nil
	}
}

// Schema is the schema of every record.
func (r *rawRows) Schema() *arrow.Schema { return r.schema }

// RecordBatch is the record that Next built, valid until the next call of Next.
func (r *rawRows) RecordBatch() arrow.RecordBatch {
	r.asked.Lock()
	defer r.asked.Unlock()
	return r.batch
}

// Record is RecordBatch under its former name.
func (r *rawRows) Record() arrow.RecordBatch {
	r.asked.Lock()
	defer r.asked.Unlock()
	return r.batch
}

// Err is what ended reading early, or nil.
func (r *rawRows) Err() error {
	_, err := r.outcome()
	return err
}

// Retain does nothing: the Go collector frees the memory.
func (r *rawRows) Retain() {}

// Release does nothing: the Go collector frees the memory.
func (r *rawRows) Release() {}
