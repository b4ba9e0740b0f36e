package delivery

import (
	"bytes"
	"io"
)

// ReportCells gives the cells of one line of a file of reports: the line itself. Quotes and commas in it mean nothing.
func ReportCells(raw []byte) []string { return []string{string(raw)} }

// reportRows are the lines of a file of weather reports: no header, one report a line, empty lines passed over.
type reportRows struct{ splitter *splitter }

func (r *reportRows) header() ([]string, []byte, *Fault, error) {
	return nil, nil, nil, r.splitter.refuseCR("\r") // bulletins end lines with CR LF
}

func (r *reportRows) next() (Row, error) { return nextRow(r.splitter.nextLine) }

// nextLine gives the next physical line, or empty line; io.EOF at the end of the stream.
func (s *splitter) nextLine() (piece, error) {
	size, hasEnd, err := s.lineSize()
	switch {
	case err != nil:
		return piece{}, err
	case size == 0 && !hasEnd:
		return piece{}, io.EOF
	case size > MaxRecordBytes:
		return s.longLine()
	}
	p := s.take(size)
	p.isEmpty = len(bytes.TrimSpace(p.Raw)) == 0
	if p.Fault = textFault(p.Raw); p.Fault == nil {
		p.Cells = ReportCells(p.Raw)
	}
	return p, nil
}
