package localtime

import (
	"fmt"
	"slices"
	"strings"
)

// Format is a written form of a time, such as MM/DD/YYYY hh:mm, made of parts; square brackets hold a piece
// that may be missing, such as [:ss]. Every other letter is an error, T between date and time excepted.
type Format struct {
	pieces []piece
	// Text is the form as it was written.
	Text string
}

// piece is one part of a form, or the text between two parts.
type piece struct {
	part     string
	read     func(*scanner, *clock) // the part
	literal  string
	optional []piece
}

// parts are the parts that a form may use, in the order in which they are looked for; a new district.toml tells what each means.
var parts = []struct {
	name string
	read func(s *scanner, c *clock)
}{
	{"YYYY", func(s *scanner, c *clock) { c.year = s.digits(4) }},
	{"YY", func(s *scanner, c *clock) { c.year = 2000 + s.digits(2) }},
	{"MMM", func(s *scanner, c *clock) { c.month = s.monthName() }},
	{"MM", func(s *scanner, c *clock) { c.month = s.digits(2) }},
	{"M", func(s *scanner, c *clock) { c.month = s.digitsBetween(1, 2) }},
	{"DD", func(s *scanner, c *clock) { c.day = s.digits(2) }},
	{"D", func(s *scanner, c *clock) { c.day = s.digitsBetween(1, 2) }},
	{"hh", func(s *scanner, c *clock) { c.hour = s.digits(2) }},
	{"h", func(s *scanner, c *clock) { c.hour = s.digitsBetween(1, 2) }},
	{"mm", func(s *scanner, c *clock) { c.minute = s.digits(2) }},
	{"ss", func(s *scanner, c *clock) { c.second, c.micro = s.digits(2), s.fraction() }},
	{"AM", func(s *scanner, c *clock) { c.half = s.half() }},
	{"Z", func(s *scanner, c *clock) { c.offsetSeconds, c.hasOffset = s.looseOffset() }},
}

var monthNames = []string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

// Compile reads a form. It must hold year, month, day and hour.
func Compile(text string) (*Format, error) {
	format := &Format{Text: text}
	rest := text
	pieces, err := compilePieces(&rest, false)
	if err != nil {
		return nil, err
	}
	format.pieces = pieces
	seen := map[byte]bool{}
	for _, p := range pieces {
		if p.part == "" {
			continue
		}
		if seen[p.part[0]] {
			return nil, fmt.Errorf("%q stands twice", p.part)
		}
		seen[p.part[0]] = true
	}
	for _, need := range [][2]string{{"Y", "year (YYYY)"}, {"M", "month (MM)"}, {"D", "day (DD)"}, {"h", "hour (hh)"}} {
		if !seen[need[0][0]] {
			return nil, fmt.Errorf("the %s is missing", need[1])
		}
	}
	return format, nil
}

func compilePieces(rest *string, inside bool) ([]piece, error) {
	var pieces []piece
	for *rest != "" {
		switch head := (*rest)[0]; {
		case head == ']' && inside:
			*rest = (*rest)[1:]
			return pieces, nil
		case head == '[' && !inside:
			*rest = (*rest)[1:]
			optional, err := compilePieces(rest, true)
			if err != nil {
				return nil, err
			}
			pieces = append(pieces, piece{optional: optional})
		case head == '[' || head == ']':
			return nil, fmt.Errorf("a bracket without its partner")
		default:
			next, err := compilePiece(rest)
			if err != nil {
				return nil, err
			}
			pieces = append(pieces, next)
		}
	}
	if inside {
		return nil, fmt.Errorf("a bracket without its partner")
	}
	return pieces, nil
}

func compilePiece(rest *string) (piece, error) {
	for _, part := range parts {
		if after, isPart := strings.CutPrefix(*rest, part.name); isPart {
			*rest = after
			return piece{part: part.name, read: part.read}, nil
		}
	}
	head := (*rest)[0]
	isLetter := head >= 'a' && head <= 'z' || head >= 'A' && head <= 'Z'
	if isLetter && head != 'T' || head >= '0' && head <= '9' {
		return piece{}, fmt.Errorf("%q is no part of a time; use YYYY MM DD hh mm ss, and AM, MMM or Z where needed", string(head))
	}
	literal := (*rest)[:1] // one byte, of a letter of several bytes too
	*rest = (*rest)[1:]
	return piece{literal: literal}, nil
}

// Parse reads a text of this form.
func (f *Format) Parse(text string) (Stamp, error) {
	s := &scanner{text: text}
	c := clock{}
	readPieces(s, f.pieces, &c)
	if s.failed || !s.done() {
		return Stamp{}, ErrFormat
	}
	if c.half != "" {
		if c.hour < 1 || c.hour > 12 {
			return Stamp{}, ErrRange
		}
		c.hour %= 12
		if c.half == "pm" {
			c.hour += 12
		}
	}
	return c.stamp()
}

func readPieces(s *scanner, pieces []piece, c *clock) {
	for i, p := range pieces {
		switch {
		case p.part == "ss" && i+1 < len(pieces) && pieces[i+1].literal == ".":
			c.second = s.digits(2) // the point is the form's own, so no fraction follows
		case p.optional != nil:
			start, keep := s.at, *c
			if readPieces(s, p.optional, c); s.failed {
				s.at, s.failed, *c = start, false, keep
			}
		case p.literal != "":
			s.literal(p.literal[0])
		default:
			p.read(s, c)
		}
		if s.failed {
			return
		}
	}
}

// monthName reads three letters, 1 for January.
func (s *scanner) monthName() int {
	if len(s.text)-s.at >= 3 {
		if i := slices.Index(monthNames, strings.ToLower(s.text[s.at:s.at+3])); i >= 0 {
			s.at += 3
			return i + 1
		}
	}
	s.failed = true
	return 0
}

// half reads AM or PM, as am or pm.
func (s *scanner) half() string {
	if len(s.text)-s.at >= 2 {
		if half := strings.ToLower(s.text[s.at : s.at+2]); half == "am" || half == "pm" {
			s.at += 2
			return half
		}
	}
	s.failed = true
	return ""
}

// looseOffset reads Z, +hh:mm or +hhmm.
func (s *scanner) looseOffset() (int, bool) {
	rest := s.text[s.at:]
	if len(rest) == 5 && (rest[0] == '+' || rest[0] == '-') {
		loose := &scanner{text: rest[:3] + ":" + rest[3:]}
		s.at += len(rest)
		seconds, ok := loose.offset()
		s.failed = s.failed || !ok
		return seconds, ok
	}
	return s.offset()
}
