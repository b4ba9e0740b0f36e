package delivery

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// plainBlock is the lines at the window's start that were looked at together: whole, without a quote or a NUL, and UTF-8, as nearly all
// lines are. Their cells are pieces of one text, so that a line costs no memory of its own.
type plainBlock struct {
	text      string // what is left of it
	notBefore int    // lines that begin before this place of the buffer are looked at one by one
}

// findPlain looks for a block at the window's start.
func (s *splitter) findPlain() bool {
	if s.start < s.plain.notBefore {
		return false
	}
	lines := s.window()
	lines = lines[:min(len(lines), MaxRecordBytes)]
	lines = lines[:bytes.LastIndexByte(lines, '\n')+1]
	looked := len(lines)
	if quote := bytes.IndexByte(lines, '"'); quote >= 0 {
		lines = lines[:bytes.LastIndexByte(lines[:quote], '\n')+1]
		looked = quote + 1
	}
	if len(lines) == 0 || bytes.IndexByte(lines, 0) >= 0 || !utf8.Valid(lines) {
		s.plain.notBefore = s.start + looked
		return false
	}
	s.plain.text = string(lines)
	return true
}

// nextPlain gives the next line of the block.
func (s *splitter) nextPlain() piece {
	line, end := s.cutPlain()
	p := piece{Row: Row{Line: s.line, Raw: s.buffer[s.start : s.start+len(line) : s.start+len(line)]}, end: end, isEmpty: line == ""}
	s.start += len(line) + end
	s.line++
	if line != "" {
		s.cells = appendCells(s.cells[:0], line)
		p.Cells = s.cells
	}
	return p
}

// cutPlain takes the next line off the block; end is the length of its line end.
func (s *splitter) cutPlain() (line string, end int) {
	size := strings.IndexByte(s.plain.text, '\n')
	line, end = s.plain.text[:size], 1
	s.plain.text = s.plain.text[size+1:]
	if size > 0 && line[size-1] == '\r' {
		line, end = line[:size-1], 2
	}
	return line, end
}

// fillPlain moves lines of the block into a batch, as nextPlain would give them but for the copies on the way; empty lines are no rows.
func (s *splitter) fillPlain(b *aheadBatch, faulty *faultyRows) {
	for s.plain.text != "" && !b.isFull() {
		line, end := s.cutPlain()
		if line != "" && faulty.isGiven(nil, 1+strings.Count(line, ","), len(line)) {
			b.cells = appendCells(b.cells, line)
			b.raw = append(b.raw, line...)
			b.rows = append(b.rows, aheadRow{s.line, nil, len(b.cells), len(b.raw), 0})
		}
		s.start += len(line) + end
		s.line++
	}
}

// appendCells appends the cells of a line without quotes.
func appendCells(cells []string, line string) []string {
	begin := 0
	for i := range len(line) {
		if line[i] == ',' {
			cells = append(cells, line[begin:i])
			begin = i + 1
		}
	}
	return append(cells, line[begin:])
}
