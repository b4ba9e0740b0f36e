// Package localtime reads times as people and machines write them, and tells which instants a wall clock can mean.
//
// What comes in: text, and a time zone of the tz database. What goes out: either an instant (the text had an offset) or a
// wall-clock reading with its 0, 1 or 2 instants. Nothing is guessed: an hour that the clocks skipped has no instant, a
// repeated one has two, and the caller decides between them. Years run from 1900 to 2199; anything else is a slip.
package localtime

import (
	"errors"
	"fmt"
	"strings"
	"time"
)

// Years outside these bounds are taken for slips of the pen.
const (
	FirstYear = 1900
	LastYear  = 2199
)

// Civil is a wall-clock reading, counted in microseconds since 1970-01-01 00:00 on that clock, as if it never changed.
type Civil int64

// Stamp is a time as written: an instant in microseconds since 1970 UTC when HasOffset, else a wall-clock reading.
type Stamp struct {
	HasOffset bool
	Instant   int64
	Wall      Civil
}

// Errors of Parse. ErrNoOffset marks a T time without an offset, which could be local or UTC.
var (
	ErrFormat   = errors.New("not a time")
	ErrNoOffset = errors.New("a time with T but without an offset")
	ErrRange    = errors.New("no such date or time of day")
)

// clock is a time of writing taken apart.
type clock struct {
	year, month, day, hour, minute, second, micro int
	offsetSeconds                                 int
	hasOffset                                     bool
	half                                          string // am or pm; empty: none
}

// Parse reads RFC 3339 with an offset (seconds may be missing, a fraction may follow, a space may stand for the T) or
// YYYY-MM-DD HH:MM[:SS] without one. Digits of a fraction beyond the sixth are dropped. A leap second is no such time.
func Parse(text string) (Stamp, error) {
	if c, ok := parseUTC(text); ok {
		return c.stamp()
	}
	s := &scanner{text: text}
	c := clock{}
	c.year = s.digits(4)
	s.literal('-')
	c.month = s.digits(2)
	s.literal('-')
	c.day = s.digits(2)
	separator := s.oneOf("Tt ")
	c.hour = s.digits(2)
	s.literal(':')
	c.minute = s.digits(2)
	if s.skip(':') {
		c.second = s.digits(2)
		c.micro = s.fraction()
	}
	if !s.done() {
		c.offsetSeconds, c.hasOffset = s.offset()
	}
	if s.failed || !s.done() {
		return Stamp{}, ErrFormat
	}
	if !c.hasOffset && separator != ' ' {
		return Stamp{}, ErrNoOffset
	}
	return c.stamp()
}

// parseUTC reads YYYY-MM-DDThh:mm:ssZ, as most machines write, and leaves all other forms alone.
func parseUTC(text string) (clock, bool) {
	if len(text) != 20 || text[4] != '-' || text[7] != '-' || text[10] != 'T' || text[13] != ':' || text[16] != ':' || text[19] != 'Z' {
		return clock{}, false
	}
	bad := byte(0)
	two := func(at int) int {
		tens, ones := text[at]-'0', text[at+1]-'0'
		if tens > 9 || ones > 9 {
			bad = 1
		}
		return int(tens)*10 + int(ones)
	}
	c := clock{hasOffset: true, year: two(0)*100 + two(2), month: two(5), day: two(8), hour: two(11), minute: two(14), second: two(17)}
	return c, bad == 0
}

// ParseDate reads YYYY-MM-DD and gives days since 1970-01-01.
func ParseDate(text string) (int64, error) {
	s := &scanner{text: text}
	year := s.digits(4)
	s.literal('-')
	month := s.digits(2)
	s.literal('-')
	day := s.digits(2)
	if s.failed || !s.done() {
		return 0, ErrFormat
	}
	return civilDay(year, month, day)
}

func civilDay(year, month, day int) (int64, error) {
	if year < FirstYear || year > LastYear {
		return 0, fmt.Errorf("%w: the year lies outside %d to %d", ErrRange, FirstYear, LastYear)
	}
	at := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
	if int(at.Month()) != month || at.Day() != day { // such as 30 February
		return 0, ErrRange
	}
	return at.Unix() / secondsPerDay, nil
}

const (
	secondsPerDay   = 86400
	microsPerSecond = 1_000_000
)

func (c clock) stamp() (Stamp, error) {
	day, err := civilDay(c.year, c.month, c.day)
	if err != nil {
		return Stamp{}, err
	}
	if c.hour > 23 || c.minute > 59 || c.second > 59 {
		return Stamp{}, ErrRange
	}
	seconds := day*secondsPerDay + int64(c.hour*3600+c.minute*60+c.second)
	if c.hasOffset {
		instant := (seconds-int64(c.offsetSeconds))*microsPerSecond + int64(c.micro)
		return Stamp{HasOffset: true, Instant: instant}, nil
	}
	return Stamp{Wall: Civil(seconds*microsPerSecond + int64(c.micro))}, nil
}

// scanner walks over a text; after the first mismatch failed is set and stays set.
type scanner struct {
	text   string
	at     int
	failed bool
}

func (s *scanner) done() bool { return s.at == len(s.text) }

func (s *scanner) peekDigit() bool {
	return s.at < len(s.text) && s.text[s.at] >= '0' && s.text[s.at] <= '9'
}

// digits reads exactly count digits.
func (s *scanner) digits(count int) int { return s.digitsBetween(count, count) }

// digitsBetween reads as many digits as stand there, at least low and at most high.
func (s *scanner) digitsBetween(low, high int) int {
	value, read := 0, 0
	for read < high && s.peekDigit() {
		value = value*10 + int(s.text[s.at]-'0')
		s.at++
		read++
	}
	if read < low {
		s.failed = true
	}
	return value
}

func (s *scanner) skip(want byte) bool {
	if s.at < len(s.text) && s.text[s.at] == want {
		s.at++
		return true
	}
	return false
}

func (s *scanner) literal(want byte) {
	if !s.skip(want) {
		s.failed = true
	}
}

func (s *scanner) oneOf(set string) byte {
	if s.at < len(s.text) && strings.IndexByte(set, s.text[s.at]) >= 0 {
		s.at++
		return s.text[s.at-1]
	}
	s.failed = true
	return 0
}

// fraction reads a point and digits, where they stand, as microseconds.
func (s *scanner) fraction() int {
	if !s.skip('.') {
		return 0
	}
	micro, read := 0, 0
	for s.peekDigit() {
		if read < 6 {
			micro = micro*10 + int(s.text[s.at]-'0')
		}
		s.at++
		read++
	}
	if read == 0 {
		s.failed = true
	}
	for ; read < 6; read++ {
		micro *= 10
	}
	return micro
}

// offset reads Z or +hh:mm, as seconds east of UTC.
func (s *scanner) offset() (int, bool) {
	if s.skip('Z') || s.skip('z') {
		return 0, true
	}
	sign := s.oneOf("+-")
	hour := s.digits(2)
	s.literal(':')
	minute := s.digits(2)
	if s.failed || hour > 23 || minute > 59 {
		s.failed = true
		return 0, false
	}
	seconds := hour*3600 + minute*60
	if sign == '-' {
		seconds = -seconds
	}
	return seconds, true
}
