package crumbs

import (
	"math"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/array"
	"github.com/apache/arrow-go/v18/arrow/memory"

	"lanetally/pipeline/trace"
)

// encoder turns rows into Parquet in a goroutine of its own, beside the work on the next trucks. After a fault it writes nothing more.
type encoder struct {
	names *Names
	jobs  chan encoderJob
	free  chan []Row
	firstFault
}

// encoderJob is a row group of a file. texts gives the texts of its numbers.
type encoderJob struct {
	to   *rowWriter
	rows []Row
	list [len(textColumns)]*numbered
}

// encoderJobs is how many row groups may wait: those of the days of a change fill at about one time, and the next trucks should not wait
// for them.
const encoderJobs = chunkDays

func newEncoder(names *Names) *encoder {
	e := &encoder{names: names, jobs: make(chan encoderJob, encoderJobs), free: make(chan []Row, encoderJobs+2)}
	go func() {
		for job := range e.jobs {
			e.encode(job)
		}
	}()
	return e
}

// close ends the goroutine.
func (e *encoder) close() { close(e.jobs) }

// give takes the rows that a writer has together and gives it room for the next.
func (e *encoder) give(to *rowWriter) {
	job := encoderJob{to: to, rows: to.batch}
	for i := range job.list {
		job.list[i] = newNumbered()
	}
	for i := range job.rows { // here, because names may grow while the job waits
		row := &job.rows[i]
		for k := range textColumns {
			job.list[k].add(*textColumns[k].of(row), e.names)
		}
	}
	for content := range job.list[len(job.list)-1].places { // the last of the texts is the content
		to.contents[content] = true
	}
	to.pending.Add(1)
	e.jobs <- job
	to.batch = e.room()
}

// room is an empty slice for the rows of a row group.
func (e *encoder) room() []Row {
	select {
	case rows := <-e.free:
		return rows[:0]
	default:
		return make([]Row, 0, batchRows)
	}
}

func (e *encoder) encode(job encoderJob) {
	defer job.to.pending.Done()
	if e.err() == nil {
		batch := job.batch()
		if err := job.to.parquet.Write(batch); err != nil {
			e.Store(&err)
		}
		batch.Release()
	}
	select {
	case e.free <- job.rows:
	default:
	}
}

// numbered gives the texts of a column numbers of their own, by first use, so that the same rows give the same bytes whatever Names holds.
type numbered struct {
	places     map[int32]int32
	texts      *array.StringBuilder
	last       int32
	lastPlace  int32
	placeOfRow []int32
}

func newNumbered() *numbered {
	return &numbered{places: map[int32]int32{}, texts: array.NewStringBuilder(memory.DefaultAllocator), last: -1,
		placeOfRow: make([]int32, 0, batchRows)}
}

func (n *numbered) add(number int32, names *Names) {
	if number != n.last {
		place, known := n.places[number]
		if !known {
			place = int32(len(n.places))
			n.places[number] = place
			n.texts.Append(names.Text(number))
		}
		n.last, n.lastPlace = number, place
	}
	n.placeOfRow = append(n.placeOfRow, n.lastPlace)
}

func (n *numbered) column(kind arrow.DataType) arrow.Array {
	builder := array.NewInt32Builder(memory.DefaultAllocator)
	builder.AppendValues(n.placeOfRow, nil)
	return array.NewDictionaryArray(kind, builder.NewArray(), n.texts.NewArray())
}

// batch gives the rows as columns.
func (j *encoderJob) batch() arrow.RecordBatch {
	columns := make([]arrow.Array, written.NumFields())
	for i, column := range textColumns {
		columns[column.number] = j.list[i].column(written.Field(column.number).Type)
	}
	for _, column := range numberColumns {
		columns[column.number] = j.numbers(column.of)
	}
	for _, column := range flagColumns {
		columns[column.number] = j.flags(column.of)
	}
	at := array.NewTimestampBuilder(memory.DefaultAllocator, schema.Field(atColumn).Type.(*arrow.TimestampType))
	line := array.NewInt64Builder(memory.DefaultAllocator)
	at.Reserve(len(j.rows))
	line.Reserve(len(j.rows))
	for i := range j.rows {
		at.UnsafeAppend(arrow.Timestamp(j.rows[i].Point.AtMS))
		line.UnsafeAppend(j.rows[i].Line)
	}
	columns[atColumn], columns[lineColumn] = at.NewArray(), line.NewArray()
	return array.NewRecordBatch(written, columns, int64(len(j.rows)))
}

func (j *encoderJob) numbers(value func(*Row) *float64) arrow.Array {
	builder := array.NewFloat64Builder(memory.DefaultAllocator)
	builder.Reserve(len(j.rows))
	for i := range j.rows {
		if number := *value(&j.rows[i]); math.IsNaN(number) {
			builder.UnsafeAppendBoolToBitmap(false)
		} else {
			builder.UnsafeAppend(number)
		}
	}
	return builder.NewArray()
}

func (j *encoderJob) flags(value func(*Row) *trace.Tri) arrow.Array {
	builder := array.NewBooleanBuilder(memory.DefaultAllocator)
	builder.Reserve(len(j.rows))
	for i := range j.rows {
		if flag := *value(&j.rows[i]); flag == trace.Unknown {
			builder.UnsafeAppendBoolToBitmap(false)
		} else {
			builder.UnsafeAppend(flag == trace.Yes)
		}
	}
	return builder.NewArray()
}
