package metar

import (
	"fmt"
	"regexp"
	"time"
)

// Month is the month that a report's day belongs to when the line does not say; the zero Month is not known.
type Month struct {
	Year  int
	Month time.Month
}

// farthestHours is how far a report's own time may lie from the time before it on the line.
const farthestHours = 36

// Decode decodes one line: a report, with or without a leading time YYYY-MM-DDTHH:MMZ. The report's own day of the month belongs to the
// month that brings it nearest to the leading time, and without one to ref. Remarks that are plain language are passed over; a group of the
// body that is not of a known kind is an error. The error is a *GroupError that names the group (empty where one is missing).
func Decode(line string, ref Month) (Report, error) {
	d := decoder{rest: line}
	if err := d.header(ref); err != nil {
		return Report{}, err
	}
	if err := d.body(); err != nil {
		return Report{}, err
	}
	d.remarks()
	return d.report, nil
}

type decoder struct {
	report  Report
	rest    string // what is not read yet
	isEnded bool   // the sign = stood behind the last word
	miles   int    // whole miles read, before their fraction; -1 when none
}

// next gives the next word, without the = that ends a report; empty at the end.
func (d *decoder) next() string {
	if d.isEnded {
		return ""
	}
	var word string
	word, d.rest = nextWord(d.rest)
	if n := len(word); n > 0 && word[n-1] == '=' {
		d.isEnded = true
		return word[:n-1]
	}
	return word
}

// header reads the leading time, the kind, the station and the day and time.
func (d *decoder) header(ref Month) error {
	word := d.next()
	leading, hasLeading := leadingTime(word)
	d.report.IsDated = hasLeading
	if hasLeading {
		word = d.next()
	}
	switch word {
	case "METAR":
		d.report.Kind, word = Routine, d.next()
	case "SPECI":
		d.report.Kind, word = Special, d.next()
	}
	if word == "COR" {
		d.report.IsCorrection, word = true, d.next()
	}
	if !stationForm.MatchString(word) {
		return &GroupError{Group: word, Want: "begin with METAR or SPECI, then a station of four letters or digits"}
	}
	d.report.StationID = word
	word = d.next()
	day, minute, ok := dayTime(word)
	if !ok {
		return &GroupError{Group: word, Want: "give day, hour and minute in UTC as DDHHMMZ after the station"}
	}
	if hasLeading {
		d.report.ObservedAt, ok = nearest(leading, day, minute)
	} else {
		d.report.ObservedAt, ok = within(ref, day, minute)
	}
	if !ok {
		return &GroupError{Group: word, Want: wantDay(leading, hasLeading, ref)}
	}
	return nil
}

func wantDay(leading time.Time, hasLeading bool, ref Month) string {
	switch {
	case hasLeading:
		return fmt.Sprintf("give a day and time within %d h of %s", farthestHours, leading.Format("2006-01-02T15:04Z"))
	case ref == Month{}:
		return "name the month: YYYY-MM-DDTHH:MMZ before the report, or YYYY-MM in the file's name"
	}
	return fmt.Sprintf("give a day of %04d-%02d", ref.Year, ref.Month)
}

// leadingTime reads YYYY-MM-DDTHH:MMZ.
func leadingTime(word string) (time.Time, bool) {
	if len(word) != len("2006-01-02T15:04Z") {
		return time.Time{}, false
	}
	at, err := time.Parse("2006-01-02T15:04Z", word)
	return at, err == nil
}

// dayOf gives an instant by minutes of the UTC day; ok is false when the month has no such day.
func dayOf(year int, month time.Month, day, minute int) (time.Time, bool) {
	at := time.Date(year, month, day, minute/60, minute%60, 0, 0, time.UTC)
	return at, day >= 1 && at.Day() == day && at.Month() == month
}

var stationForm = regexp.MustCompile(`^[A-Z][A-Z0-9]{3}$`)

// dayTime reads DDHHMMZ into the day and the minute of the day.
func dayTime(word string) (day, minute int, ok bool) {
	if len(word) != 7 || word[6] != 'Z' {
		return 0, 0, false
	}
	all, ok := digits(word[:6])
	day, hour, minute := all/10000, all/100%100, all%100
	return day, hour*60 + minute, ok && day >= 1 && day <= 31 && hour <= 23 && minute <= 59
}

// nearest is the instant with that day of the month and minute that lies nearest to the leading time.
func nearest(leading time.Time, day, minute int) (time.Time, bool) {
	const farthest = farthestHours * time.Hour
	year, month, leadingDay := leading.Date()
	switch {
	case day-leadingDay > 15:
		month--
	case leadingDay-day > 15:
		month++
	}
	year, month, _ = time.Date(year, month, 1, 0, 0, 0, 0, time.UTC).Date() // of the year before or after
	at, ok := dayOf(year, month, day, minute)
	gap := at.Sub(leading)
	return at, ok && gap <= farthest && gap >= -farthest
}

func within(ref Month, day, minute int) (time.Time, bool) {
	if ref.Month < time.January || ref.Month > time.December {
		return time.Time{}, false
	}
	return dayOf(ref.Year, ref.Month, day, minute)
}

func isLetter(c byte) bool { return c >= 'A' && c <= 'Z' }

func isDigit(c byte) bool { return c >= '0' && c <= '9' }

// digits reads one to nine digits and nothing else.
func digits(text string) (value int, ok bool) {
	if len(text) == 0 || len(text) > 9 {
		return 0, false
	}
	for i := range len(text) {
		if !isDigit(text[i]) {
			return 0, false
		}
		value = value*10 + int(text[i]-'0')
	}
	return value, true
}
