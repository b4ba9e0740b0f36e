package crumbs

import (
	"encoding/binary"
	"errors"
	"io"
	"math"
	"os"

	"lanetally/pipeline/trace"
)

// A spill holds rows as what differs from the row before, which of one truck is little: its time and place, its counter. Each span of a day
// begins at an empty row, so that it can be read alone.

// rowBytes is the most that a row takes in a spill: what differs, six numbers, four names, two flags, two differences.
const rowBytes = 2 + 6*8 + 4*binary.MaxVarintLen32 + 2 + 2*binary.MaxVarintLen64

// spillBufferBytes is what a span that is being read holds in memory.
const spillBufferBytes = 32 << 10

func numbersOf(row *Row) [6]*float64 {
	p := &row.Point
	return [...]*float64{&p.Lon, &p.Lat, &p.SpeedMPH, &p.RateLbPerLaneMi, &p.TotalLb, &p.Lanes}
}

func namesOf(row *Row) [4]*int32 {
	return [...]*int32{&row.Point.Material, &row.Point.Crew, &row.Truck, &row.Content}
}

// The bits of what differs: from these on, numbers, names, and the flags.
const (
	firstNumberBit = 0
	firstNameBit   = firstNumberBit + 6
	flagsBit       = firstNameBit + 4
)

// appendRow writes a row as its difference from the one before.
func appendRow(to []byte, row, before *Row) []byte {
	at, differs := len(to), uint16(0)
	to = binary.AppendVarint(append(to, 0, 0), row.Point.AtMS-before.Point.AtMS)
	to = binary.AppendVarint(to, row.Line-before.Line)
	old := numbersOf(before)
	for i, number := range numbersOf(row) {
		if bits := math.Float64bits(*number); bits != math.Float64bits(*old[i]) {
			differs |= 1 << (firstNumberBit + i)
			to = binary.LittleEndian.AppendUint64(to, bits)
		}
	}
	known := namesOf(before)
	for i, name := range namesOf(row) {
		if *name != *known[i] {
			differs |= 1 << (firstNameBit + i)
			to = binary.AppendUvarint(to, uint64(uint32(*name)))
		}
	}
	if row.Point.Spreading != before.Point.Spreading || row.Point.PlowDown != before.Point.PlowDown {
		differs |= 1 << flagsBit
		to = append(to, byte(row.Point.Spreading), byte(row.Point.PlowDown))
	}
	binary.LittleEndian.PutUint16(to[at:], differs)
	return to
}

// takeRow turns row, the one before, into the next and gives what follows it. From holds all of it, with room to spare behind the last.
func takeRow(row *Row, from []byte) []byte {
	differs := binary.LittleEndian.Uint16(from)
	from = from[2:]
	atMS, n := binary.Varint(from)
	line, k := binary.Varint(from[n:])
	from = from[n+k:]
	row.Point.AtMS += atMS
	row.Line += line
	for i, number := range numbersOf(row) {
		if differs&(1<<(firstNumberBit+i)) != 0 {
			*number = math.Float64frombits(binary.LittleEndian.Uint64(from))
			from = from[8:]
		}
	}
	for i, name := range namesOf(row) {
		if differs&(1<<(firstNameBit+i)) != 0 {
			number, n := binary.Uvarint(from)
			*name, from = int32(uint32(number)), from[n:]
		}
	}
	if differs&(1<<flagsBit) != 0 {
		row.Point.Spreading, row.Point.PlowDown = trace.Tri(from[0]), trace.Tri(from[1])
		from = from[2:]
	}
	return from
}

// spillReader reads one span of a spill.
type spillReader struct {
	file   *os.File
	at     int64 // of what is not in the buffer yet
	end    int64
	buffer []byte
	left   []byte // of the buffer
	row    Row    // the latest
}

func newSpillReader(file *os.File, span daySpan) *spillReader {
	return &spillReader{file: file, at: span.at, end: span.at + span.bytes, buffer: make([]byte, min(spillBufferBytes, span.bytes))}
}

// next reads a row.
func (r *spillReader) next() error {
	if len(r.left) < rowBytes && r.at < r.end {
		kept := copy(r.buffer, r.left)
		fresh := r.buffer[kept:min(int64(len(r.buffer)), int64(kept)+r.end-r.at)]
		n, err := r.file.ReadAt(fresh, r.at)
		if n < len(fresh) {
			if errors.Is(err, io.EOF) {
				err = io.ErrUnexpectedEOF
			}
			return err
		}
		r.at += int64(n)
		r.left = r.buffer[:kept+n]
	}
	r.left = takeRow(&r.row, r.left)
	return nil
}
