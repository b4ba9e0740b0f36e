package delivery

import (
	"bytes"
	"strings"
	"unicode/utf8"
)

// outcome is what a look at the start of a record found.
type outcome int

const (
	whole      outcome = iota // a whole record
	needMore                  // the window ends before the record does
	openQuote                 // a quoted field without an end
	afterQuote                // something else than a comma or line end behind a closing quote
)

// SplitRecord splits the bytes of one record, without its line end, into cells. It returns nil when the record
// does not follow RFC 4180.
func SplitRecord(raw []byte) []string {
	if bytes.IndexByte(raw, '"') < 0 {
		return strings.Split(string(raw), ",")
	}
	cells, size, found := splitQuoted(raw, true)
	if found != whole || size != len(raw) {
		return nil
	}
	return cells
}

// splitQuoted reads one record with quoted fields from the start of window (RFC 4180, sections 2.5 to 2.7). Quotes inside
// an unquoted field are text. size is the record's length without its line end.
func splitQuoted(window []byte, atEnd bool) (cells []string, size int, found outcome) {
	at := 0
	for {
		cell, next, result := splitField(window, at, atEnd)
		if result != whole {
			return nil, next, result
		}
		cells = append(cells, cell)
		if next < len(window) && window[next] == ',' {
			at = next + 1
			continue
		}
		return cells, next, whole
	}
}

// splitField reads the field that begins at window[at]; next is the place of the comma or line end behind it.
func splitField(window []byte, at int, atEnd bool) (cell string, next int, found outcome) {
	if at < len(window) && window[at] == '"' {
		return splitQuotedField(window, at+1, atEnd)
	}
	end := bytes.IndexAny(window[at:], ",\n")
	if end < 0 {
		if !atEnd {
			return "", len(window), needMore
		}
		return string(window[at:]), len(window), whole
	}
	next = at + end
	if window[next] == '\n' && next > at && window[next-1] == '\r' {
		next--
	}
	return string(window[at:next]), next, whole
}

// splitQuotedField reads a quoted field whose text begins at window[at].
func splitQuotedField(window []byte, at int, atEnd bool) (cell string, next int, found outcome) {
	var text strings.Builder
	for {
		end := bytes.IndexByte(window[at:], '"')
		if end < 0 {
			return "", len(window), unfinished(atEnd)
		}
		text.Write(window[at : at+end])
		at += end + 1
		if at < len(window) && window[at] == '"' {
			text.WriteByte('"')
			at++
			continue
		}
		return text.String(), at, behindQuote(window[at:], atEnd)
	}
}

// behindQuote judges the bytes behind a closing quote.
func behindQuote(rest []byte, atEnd bool) outcome {
	switch {
	case len(rest) == 0 && atEnd:
		return whole
	case len(rest) == 0 || (len(rest) == 1 && rest[0] == '\r' && !atEnd):
		return needMore
	case rest[0] == ',' || rest[0] == '\n' || bytes.HasPrefix(rest, []byte("\r\n")):
		return whole
	}
	return afterQuote
}

func unfinished(atEnd bool) outcome {
	if atEnd {
		return openQuote
	}
	return needMore
}

// textFault finds what makes bytes no text.
func textFault(raw []byte) *Fault {
	switch {
	case bytes.IndexByte(raw, 0) >= 0:
		return faultNUL
	case !utf8.Valid(raw):
		return faultNotUTF8
	}
	return nil
}

// appendRecord appends cells as one CSV record without a line end.
func appendRecord(to []byte, cells []string) []byte {
	for i, cell := range cells {
		if i > 0 {
			to = append(to, ',')
		}
		if !strings.ContainsAny(cell, ",\"\r\n") {
			to = append(to, cell...)
			continue
		}
		to = append(to, '"')
		to = append(to, strings.ReplaceAll(cell, `"`, `""`)...)
		to = append(to, '"')
	}
	return to
}
