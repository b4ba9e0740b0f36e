package delivery

// Rows are read ahead in batches that end at the first of these.
const (
	aheadRows  = 2048
	aheadBytes = 1 << 20
)

// Ahead reads the rows of a Reader in a goroutine of its own, a few batches ahead of who takes them, so that splitting and digesting a large
// file goes on beside what is done with its rows. Rows, faults and order are the Reader's. Close it before the Reader is used again.
type Ahead struct {
	reader *Reader
	full   chan *aheadBatch
	empty  chan *aheadBatch
	done   chan struct{}
	batch  *aheadBatch
	at     int
	row    Row
	err    error
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
}

// NewAhead begins to read.
func NewAhead(reader *Reader) *Ahead {
	const batches = 4
	a := &Ahead{reader: reader, full: make(chan *aheadBatch, batches), empty: make(chan *aheadBatch, batches), done: make(chan struct{})}
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
		if !batch.fill(a.reader) {
			if len(batch.rows) > 0 || batch.err != nil {
				a.full <- batch
			}
			return
		}
		a.full <- batch
	}
}

// fill reads one batch; false at the end.
func (b *aheadBatch) fill(from *Reader) bool {
	b.rows, b.cells, b.raw = b.rows[:0], b.cells[:0], b.raw[:0]
	lines, _ := from.rows.(*textRows)
	for !b.isFull() {
		if lines != nil {
			lines.splitter.fillPlain(b)
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
		b.rows = append(b.rows, aheadRow{row.Line, row.Fault, len(b.cells), len(b.raw)})
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
	var before aheadRow
	if a.at > 0 {
		before = a.batch.rows[a.at-1]
	}
	row := a.batch.rows[a.at]
	a.row = Row{Line: row.line, Raw: a.batch.raw[before.raw:row.raw:row.raw], Fault: row.fault}
	if row.fault == nil {
		a.row.Cells = a.batch.cells[before.cells:row.cells:row.cells]
	}
	a.at++
	return true
}

// Row is the row that Next took.
func (a *Ahead) Row() Row { return a.row }

// Err is the *FileFault that ended reading early, or nil.
func (a *Ahead) Err() error { return a.err }

// Close ends reading and waits until the reader is at rest.
func (a *Ahead) Close() {
	close(a.empty)
	for range a.full {
	}
	<-a.done
}
