package localtime

import (
	"fmt"
	"strings"
)

// Format is a written form of a time, such as MM/DD/YYYY hh:mm, made of the parts of Parts; square brackets hold a piece
// that may be missing, such as [:ss]. Every other letter is an error, T between date and time excepted.
type Format struct {
	pieces []piece
	// Text is the form as it was written.
	Text string
}

// piece is one part of a form, or the text between two parts.
type piece struct {
	part     string
	literal  string
	optional []piece
}

// Parts are the parts that a form may use, in the order in which they are looked for, each with its meaning.
var Parts = [][2]string{
	{"YYYY", "year, four digits"},
	{"YY", "year of this century, two digits"},
	{"MMM", "month by its English name, three letters"},
	{"MM", "month, two digits"},
	{"M", "month, one or two digits"},
	{"DD", "day, two digits"},
	{"D", "day, one or two digits"},
	{"hh", "hour, two digits"},
	{"h", "hour, one or two digits"},
	{"mm", "minute"},
	{"ss", "second; a fraction may follow, unless a point stands behind it in the form"},
	{"AM", "AM or PM, either case; the hour then runs from 1 to 12"},
	{"Z", "Z or an offset such as -06:00 or -0600"},
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
	for _, part := range Parts {
		if strings.HasPrefix(*rest, part[0]) {
			*rest = (*rest)[len(part[0]):]
			return piece{part: part[0]}, nil
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
	half := ""
	readPieces(s, f.pieces, &c, &half)
	if s.failed || !s.done() {
		return Stamp{}, ErrFormat
	}
	if half != "" {
		if c.hour < 1 || c.hour > 12 {
			return Stamp{}, ErrRange
		}
		c.hour %= 12
		if half == "pm" {
			c.hour += 12
		}
	}
	return c.stamp()
}

func readPieces(s *scanner, pieces []piece, c *clock, half *string) {
	for i, p := range pieces {
		switch {
		case p.part == "ss" && i+1 < len(pieces) && pieces[i+1].literal == ".":
			c.second = s.digits(2) // the point is the form's own, so no fraction follows
		case p.optional != nil:
			start, keep, keepHalf := s.at, *c, *half
			readPieces(s, p.optional, c, half)
			if s.failed {
				s.at, s.failed = start, false
				*c, *half = keep, keepHalf
			}
		case p.literal != "":
			s.literal(p.literal[0])
		default:
			readPart(s, p.part, c, half)
		}
		if s.failed {
			return
		}
	}
}

func readPart(s *scanner, part string, c *clock, half *string) {
	switch part {
	case "YYYY":
		c.year = s.digits(4)
	case "YY":
		c.year = 2000 + s.digits(2)
	case "MMM":
		c.month = s.monthName()
	case "MM":
		c.month = s.digits(2)
	case "M":
		c.month = s.digitsBetween(1, 2)
	case "DD":
		c.day = s.digits(2)
	case "D":
		c.day = s.digitsBetween(1, 2)
	case "hh":
		c.hour = s.digits(2)
	case "h":
		c.hour = s.digitsBetween(1, 2)
	case "mm":
		c.minute = s.digits(2)
	case "ss":
		c.second = s.digits(2)
		c.micro = s.fraction()
	case "AM":
		*half = s.half()
	case "Z":
		c.offsetSeconds, c.hasOffset = s.looseOffset()
	}
}

// monthName reads three letters, 1 for January.
func (s *scanner) monthName() int {
	if len(s.text)-s.at >= 3 {
		name := strings.ToLower(s.text[s.at : s.at+3])
		for i, month := range monthNames {
			if name == month {
				s.at += 3
				return i + 1
			}
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
