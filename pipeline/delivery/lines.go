package delivery

import (
	"bytes"
	"io"
)

// windowBytes holds the longest record, its line end, and room to read ahead.
const windowBytes = 4 * MaxRecordBytes

// readBytes is what is read at a time: little enough to be digested, looked through and split while it is in the processor's near memory.
const readBytes = 128 << 10

// piece is one record, or one empty line, as it stood in the stream.
type piece struct {
	Row
	end     int  // bytes of the line end: 0, 1 or 2
	dropped int  // bytes of a line too long that Raw lacks
	isEmpty bool // an empty line: no record
}

// splitter cuts a stream of CSV into records, in bounded memory.
type splitter struct {
	from       io.Reader
	buffer     []byte
	start, end int
	atEnd      bool
	line       int64 // the line that the next record begins on
	columns    int   // cells of the header; 0 while it is not known
	hasBOM     bool
	cutCR      int // 1 when the file ends with CR, which then belongs to no record
	plain      plainBlock
	cells      []string // of a plain line, used again
}

// newSplitter begins at the start of a file and steps over a byte order mark.
func newSplitter(from io.Reader) (*splitter, error) {
	s := &splitter{from: from, buffer: make([]byte, windowBytes), line: 1}
	for !s.atEnd && s.end < 3 {
		if err := s.fill(); err != nil {
			return nil, err
		}
	}
	if bytes.HasPrefix(s.window(), []byte("\ufeff")) {
		s.hasBOM = true
		s.start = 3
	}
	return s, nil
}

func (s *splitter) window() []byte { return s.buffer[s.start:s.end] }

// fill reads more behind the window, which it may move.
func (s *splitter) fill() error {
	if s.start > 0 && s.end == len(s.buffer) {
		copy(s.buffer, s.window())
		s.end -= s.start
		s.start = 0
	}
	n, err := s.from.Read(s.buffer[s.end:min(len(s.buffer), s.end+readBytes)])
	s.end += n
	s.plain.notBefore = 0
	if err != io.EOF {
		return err
	}
	s.atEnd = true
	if s.end > s.start && s.buffer[s.end-1] == '\r' {
		s.end-- // the file ends between CR and LF
		s.cutCR = 1
	}
	return nil
}

// next gives the next record or empty line; io.EOF at the end of the stream.
func (s *splitter) next() (piece, error) {
	if s.plain.text != "" || s.findPlain() {
		return s.nextPlain(), nil
	}
	size, hasEnd, err := s.lineSize()
	if err != nil {
		return piece{}, err
	}
	window := s.window()
	if size == 0 && !hasEnd {
		return piece{}, io.EOF
	}
	if size > MaxRecordBytes {
		return s.longLine()
	}
	if bytes.IndexByte(window[:size], '"') < 0 {
		return s.plainLine(size), nil
	}
	return s.quotedRecord(size)
}

// lineSize is the length of the line at the window's start, without its line end, looking no further than just
// over MaxRecordBytes.
func (s *splitter) lineSize() (size int, hasEnd bool, err error) {
	seen := 0
	for {
		seen = min(seen, len(s.window())) // the end of the stream may give up a CR
		if at := bytes.IndexByte(s.window()[seen:], '\n'); at >= 0 {
			size = seen + at
			if size > 0 && s.window()[size-1] == '\r' {
				size--
			}
			return size, true, nil
		}
		seen = len(s.window())
		if s.atEnd || seen > MaxRecordBytes+1 {
			return seen, false, nil
		}
		if err := s.fill(); err != nil {
			return 0, false, err
		}
	}
}

// refuseCR refuses a file whose first line holds a CR: its lines end with CR alone, so that all rows would stand in that line. The fault
// counts them. Of the CR that may end the line, spare are passed over.
func (s *splitter) refuseCR(spare string) error {
	size, _, err := s.lineSize()
	if err != nil || bytes.IndexByte(bytes.TrimRight(s.window()[:size], spare), '\r') < 0 {
		return err
	}
	fault := fileFault("", faultCR)
	wasEnd := false // the header is no row
	for {
		for _, b := range s.window() {
			isEnd := b == '\r' || b == '\n'
			if wasEnd && !isEnd {
				fault.Rows++
			}
			wasEnd = isEnd
		}
		s.start, s.end = 0, 0
		if s.atEnd {
			return fault
		}
		if err := s.fill(); err != nil {
			return err
		}
	}
}

// take gives the first size bytes of the window as a record and steps behind its line end.
func (s *splitter) take(size int) piece {
	raw := s.window()[:size:size]
	rest := s.window()[size:]
	end := 0
	switch {
	case bytes.HasPrefix(rest, []byte("\r\n")):
		end = 2
	case len(rest) > 0:
		end = 1
	}
	p := piece{Row: Row{Line: s.line, Raw: raw}, end: end}
	s.start += size + end
	s.line += 1 + int64(bytes.Count(raw, []byte{'\n'}))
	return p
}

// plainLine is the fast path: no quote in the line.
func (s *splitter) plainLine(size int) piece {
	p := s.take(size)
	p.isEmpty = size == 0
	p.Fault = textFault(p.Raw)
	if p.Fault == nil && !p.isEmpty {
		s.cells = appendCells(s.cells[:0], string(p.Raw))
		p.Cells = s.cells
	}
	return p
}

// quotedRecord is the slow path. A record over several lines counts only when its quotes close, it has the header's number
// of cells and it is not too long; otherwise its first line alone is faulty and reading resumes at the next.
func (s *splitter) quotedRecord(lineSize int) (piece, error) {
	cells, size, found := splitQuoted(s.window(), s.atEnd)
	for found == needMore && len(s.window()) <= MaxRecordBytes+1 {
		if err := s.fill(); err != nil {
			return piece{}, err
		}
		cells, size, found = splitQuoted(s.window(), s.atEnd)
	}
	if found == whole && size > lineSize && !s.isWanted(cells, size) {
		found = openQuote
	}
	if found == whole {
		p := s.take(size)
		if p.Fault = textFault(p.Raw); p.Fault == nil {
			p.Cells = cells
		}
		return p, nil
	}
	p := s.take(lineSize)
	p.Fault = faultOpenQuote
	if found == afterQuote && size <= lineSize {
		p.Fault = faultAfterQuote
	}
	if text := textFault(p.Raw); text != nil {
		p.Fault = text
	}
	return p, nil
}

func (s *splitter) isWanted(cells []string, size int) bool {
	return size <= MaxRecordBytes && (s.columns == 0 || len(cells) == s.columns)
}

// longLine keeps the first MaxRecordBytes of a line and steps over the rest of it.
func (s *splitter) longLine() (piece, error) {
	p := piece{Row: Row{Line: s.line, Fault: faultLongLine}}
	p.Raw = bytes.Clone(s.window()[:MaxRecordBytes])
	p.dropped = -MaxRecordBytes
	s.line++
	for {
		if at := bytes.IndexByte(s.window(), '\n'); at >= 0 {
			p.dropped += at
			p.end = 1
			s.start += at + 1
			return p, nil
		}
		p.dropped += len(s.window())
		s.start, s.end = 0, 0
		if s.atEnd {
			return p, nil
		}
		if err := s.fill(); err != nil {
			return piece{}, err
		}
	}
}
