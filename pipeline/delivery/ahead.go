package delivery

// Rows are read ahead in batches that end at the first of these.
const (
	aheadRows  = 2048
	aheadBytes = 1 << 20
)

// Ahead reads the rows of a Reader in a goroutine of its own, a few batches ahead of who takes them, so that splitting and digesting a
// large file goes on beside what is done with its rows. Rows, faults and order are the Reader's. Close it before the Reader is used again.
type Ahead struct {
	reader *Reader
	keeper Keeper
	full   chan *aheadBatch
	empty  chan *aheadBatch
	done   chan struct{}
	batch  *aheadBatch
	at     int
	row    Row
	err    error
}

// Keeper keeps rows as they are read, ahead of who takes them, in the goroutine that reads. An error of Keep ends reading.
type Keeper interface {
	Keep(Row) error
	// End tells that all rows were read, the last of them kept.
	End()
}

type aheadBatch struct {
	rows  []aheadRow
	cells []string
	raw   []byte
	err   error
}

// aheadRow is a row in its batch: where its cells and bytes end there.
type aheadRow struct {
	line       int64
	fault      *Fault
	cells, raw int
	rest       int64
}

// NewAhead begins to read. Where keeper is not nil it gets every row.
func NewAhead(reader *Reader, keeper Keeper) *Ahead {
	const batches = 4
	a := &Ahead{reader: reader, keeper: keeper, full: make(chan *aheadBatch, batches), empty: make(chan *aheadBatch, batches),
		done: make(chan struct{})}
	for range batches {
		a.empty <- &aheadBatch{}
	}
	go a.read()
	return a
}

// read fills batches until the reader ends or Close closes empty.
func (a *Ahead) read() {
	defer close(a.done)
	defer close(a.full)
	for batch := range a.empty {
		more := batch.fill(a.reader)
		if err := a.keep(batch); err != nil {
			batch.err, more = err, false
		} else if !more && batch.err == nil && a.keeper != nil {
			a.keeper.End()
		}
		if len(batch.rows) > 0 || batch.err != nil {
			a.full <- batch
		}
		if !more {
			return
		}
	}
}

func (a *Ahead) keep(batch *aheadBatch) error {
	if a.keeper == nil {
		return nil
	}
	for i := range batch.rows {
		if err := a.keeper.Keep(batch.row(i)); err != nil {
			return err
		}
	}
	return nil
}

// fill reads one batch; false at the end.
func (b *aheadBatch) fill(from *Reader) bool {
	b.rows, b.cells, b.raw = b.rows[:0], b.cells[:0], b.raw[:0]
	lines, _ := from.rows.(*textRows)
	for !b.isFull() {
		if lines != nil {
			lines.splitter.fillPlain(b, &from.faulty)
		}
		if b.isFull() {
			break
		}
		if !from.Next() {
			b.err = from.Err()
			return false
		}
		row := &from.row
		b.cells = append(b.cells, row.Cells...)
		b.raw = append(b.raw, row.Raw...)
		b.rows = append(b.rows, aheadRow{row.Line, row.Fault, len(b.cells), len(b.raw), row.Rest})
	}
	return true
}

func (b *aheadBatch) isFull() bool { return len(b.rows) >= aheadRows || len(b.raw) >= aheadBytes }

// Next takes the next row; false at the end, or when Err is not nil.
func (a *Ahead) Next() bool {
	for a.batch == nil || a.at == len(a.batch.rows) {
		if a.batch != nil {
			a.err = a.batch.err
			a.empty <- a.batch
		}
		var more bool
		if a.batch, more = <-a.full; !more {
			a.batch = nil
			return false
		}
		a.at = 0
	}
	a.row = a.batch.row(a.at)
	a.at++
	return true
}

// row is one row of the batch.
func (b *aheadBatch) row(i int) Row {
	var before aheadRow
	if i > 0 {
		before = b.rows[i-1]
	}
	at := b.rows[i]
	row := Row{Line: at.line, Raw: b.raw[before.raw:at.raw:at.raw], Fault: at.fault, Rest: at.rest}
	if at.fault == nil {
		row.Cells = b.cells[before.cells:at.cells:at.cells]
	}
	return row
}

// Row is the row that Next took.
func (a *Ahead) Row() Row { return a.row }

// Err is what ended reading early, a *FileFault or the keeper's error, or nil.
func (a *Ahead) Err() error { return a.err }

// Close ends reading and waits until the reader is at rest.
func (a *Ahead) Close() {
	close(a.empty)
	for range a.full {
	}
	<-a.done
}
