package contract

import (
	"errors"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"lanetally/pipeline/localtime"
)

// shownRunes is how much of a faulty cell a remedy quotes.
const shownRunes = 60

// Show quotes a cell for a remedy.
func Show(text string) string {
	if runes := []rune(text); len(runes) > shownRunes {
		text = string(runes[:shownRunes]) + "…"
	}
	return strconv.Quote(text)
}

func (p *RowParser) parseTextCell(col *column, text string, to *Value) *Fault {
	field := col.field
	if !isPlainASCII(text) && (!utf8.ValidString(text) || strings.ContainsFunc(text, isForbidden)) {
		return &Fault{Column: field.Name, Code: ReasonText, Found: Show(text)}
	}
	if enum := field.Constraints.Enum; len(enum) > 0 && !slices.Contains(enum, text) {
		return &Fault{Column: field.Name, Code: ReasonNotListed, Found: Show(text),
			Wanted: fmt.Sprintf("%s (the nearest is %q)", strings.Join(enum, ", "), Nearest(text, enum))}
	}
	if col.pattern != nil && !col.pattern.MatchString(text) {
		return &Fault{Column: field.Name, Code: ReasonForm, Found: Show(text), Wanted: field.Constraints.Pattern}
	}
	if col.isWx && p.Wx != nil {
		if err := p.Wx(text); err != nil {
			return &Fault{Column: field.Name, Code: ReasonPresentWx, Found: fmt.Sprintf("%s: %v", Show(text), err)}
		}
	}
	to.Text = text
	return nil
}

// isPlainASCII: nothing but the printable characters of ASCII, as nearly every text.
func isPlainASCII(text string) bool {
	for i := range len(text) {
		if text[i] < ' ' || text[i] > '~' {
			return false
		}
	}
	return true
}

// isForbidden finds control characters; line ends and tabs may stand in a quoted note.
func isForbidden(r rune) bool { return unicode.IsControl(r) && r != '\n' && r != '\r' && r != '\t' }

func parseNumberCell(col *column, text string, to *Value) *Fault {
	field := col.field
	if field.TraceText != "" && text == field.TraceText {
		to.Trace = true
		return nil
	}
	number, fault := parseNumber(field.Name, text)
	if fault != nil {
		return fault
	}
	if col.change != nil {
		number = col.change.apply(number)
	}
	if field.Type == "integer" && (number != math.Trunc(number) || math.Abs(number) > 1<<53) {
		return &Fault{Column: field.Name, Code: ReasonInteger, Found: Show(text)}
	}
	if IsOutOfRange(&field.Constraints, number) {
		return &Fault{Column: field.Name, Code: ReasonOutOfRange, Found: Show(text),
			Wanted: BoundsText(&field.Constraints) + UnitSuffix(field.Unit)}
	}
	to.Number = number + 0 // turns -0 into 0
	return nil
}

// UnitSuffix is a unit in brackets after a space, to follow a number; "" for no unit.
func UnitSuffix(unit string) string {
	if unit == "" {
		return ""
	}
	return " (" + unit + ")"
}

// parseNumber reads digits with at most one sign, one point and one exponent; the result is finite.
func parseNumber(column, text string) (float64, *Fault) {
	if number, isPlain := plainDecimal(text); isPlain {
		return number, nil
	}
	if !isNumber(text) {
		return 0, &Fault{Column: column, Code: ReasonNumber, Found: Show(text)}
	}
	number, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return 0, &Fault{Column: column, Code: ReasonOutOfRange + ".stored", Found: Show(text)}
	}
	return number, nil
}

// exactPowers are the powers of ten that a double holds exactly, as far as plainDecimal needs them.
var exactPowers = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// plainDecimal reads [-] digits [. digits] of at most 15 digits: an integer and a power of ten that doubles hold exactly, so that one
// division rounds correctly. It leaves every other text to the parser that takes longer.
func plainDecimal(text string) (number float64, isPlain bool) {
	digits := strings.TrimPrefix(text, "-")
	if len(digits) == 0 || len(digits) > 16 {
		return 0, false
	}
	whole, count, point := int64(0), 0, -1
	for i := range len(digits) {
		switch c := digits[i]; {
		case c >= '0' && c <= '9':
			whole = whole*10 + int64(c-'0')
			count++
		case c == '.' && point < 0:
			point = i
		default:
			return 0, false
		}
	}
	if count == 0 || count > 15 {
		return 0, false
	}
	number = float64(whole)
	if point >= 0 {
		number /= exactPowers[len(digits)-1-point]
	}
	if len(digits) < len(text) {
		number = -number
	}
	return number, true
}

// isNumber accepts [+-] digits [. digits] [e [+-] digits], with a digit before or after the point.
func isNumber(text string) bool {
	text = dropSign(text)
	whole := len(text) - len(strings.TrimLeft(text, "0123456789"))
	text = text[whole:]
	fraction := 0
	if strings.HasPrefix(text, ".") {
		text = text[1:]
		fraction = len(text) - len(strings.TrimLeft(text, "0123456789"))
		text = text[fraction:]
	}
	if whole+fraction == 0 {
		return false
	}
	if text == "" {
		return true
	}
	if text[0] != 'e' && text[0] != 'E' {
		return false
	}
	exponent := dropSign(text[1:])
	return exponent != "" && strings.TrimLeft(exponent, "0123456789") == ""
}

func dropSign(text string) string {
	if text != "" && (text[0] == '+' || text[0] == '-') {
		return text[1:]
	}
	return text
}

// IsOutOfRange: a number lies outside its bounds.
func IsOutOfRange(c *Constraints, number float64) bool {
	isLow := c.Minimum != nil && number < *c.Minimum || c.ExclusiveMinimum != nil && number <= *c.ExclusiveMinimum
	return isLow || c.Maximum != nil && number > *c.Maximum
}

// BoundsText puts the bounds of a column into words, "" where there are none.
func BoundsText(c *Constraints) string {
	var words []string
	if c.Minimum != nil {
		words = append(words, "at least "+PlainNumber(*c.Minimum))
	}
	if c.ExclusiveMinimum != nil {
		words = append(words, "more than "+PlainNumber(*c.ExclusiveMinimum))
	}
	if c.Maximum != nil {
		words = append(words, "at most "+PlainNumber(*c.Maximum))
	}
	return strings.Join(words, " and ")
}

func parseBooleanCell(field *Field, text string, to *Value) *Fault {
	switch text {
	case "true", "1":
		to.Bool = true
		return nil
	case "false", "0":
		return nil
	}
	switch strings.ToLower(text) {
	case "true", "yes":
		to.Bool = true
		return nil
	case "false", "no":
		return nil
	}
	return &Fault{Column: field.Name, Code: ReasonBoolean, Found: Show(text)}
}

func parseDateCell(field *Field, text string, to *Value) *Fault {
	days, err := localtime.ParseDate(text)
	if err != nil {
		return &Fault{Column: field.Name, Code: ReasonDate, Found: Show(text), Wanted: err.Error()}
	}
	to.Micros = days
	return nil
}

func (p *RowParser) parseTimeCell(field *Field, text string, readings *localtime.Readings, to *Value) *Fault {
	stamp, fault := p.parseStamp(field, text)
	if fault != nil {
		return fault
	}
	if stamp.HasOffset {
		to.Micros = stamp.Instant
		return OutsideYears(field.Name, stamp.Instant, text)
	}
	*readings = p.zone.Readings(stamp.Wall)
	if readings.Count == 0 {
		return &Fault{Column: field.Name, Code: ReasonSkippedHour, Found: Show(text)}
	}
	to.Micros = readings.First
	return OutsideYears(field.Name, readings.First, text)
}

// Instants outside these years (UTC, the last not included) come from a clock that was never set, such as 1970 or 1980, or stand for "no
// end", such as 2099. The machine's own clock is not asked: what counted yesterday must count tomorrow.
const (
	firstYear = 1990
	lastYear  = 2090
)

var (
	firstMicros = time.Date(firstYear, time.January, 1, 0, 0, 0, 0, time.UTC).UnixMicro()
	lastMicros  = time.Date(lastYear, time.January, 1, 0, 0, 0, 0, time.UTC).UnixMicro()
)

// OutsideYears is the fault of an instant that no device with a set clock wrote.
func OutsideYears(column string, micros int64, text string) *Fault {
	if micros >= firstMicros && micros < lastMicros {
		return nil
	}
	return &Fault{Column: column, Code: ReasonOutOfRange + ".clock", Found: Show(text),
		Wanted: fmt.Sprintf("%d to %d", firstYear, lastYear-1)}
}

func (p *RowParser) parseStamp(field *Field, text string) (localtime.Stamp, *Fault) {
	if text == p.lastTime {
		return p.lastStamp, nil
	}
	code, value, wanted := ReasonTime, ReasonTime+".value", ""
	var stamp localtime.Stamp
	var err error
	if p.format != nil {
		code, value, wanted = ReasonTime+".mapped", ReasonTime+".mapped_value", p.format.Text
		stamp, err = p.format.Parse(text)
	} else {
		stamp, err = localtime.Parse(text)
	}
	switch {
	case err == nil:
		p.lastTime, p.lastStamp = text, stamp
		return stamp, nil
	case errors.Is(err, localtime.ErrFormat):
		return stamp, &Fault{Column: field.Name, Code: code, Found: Show(text), Wanted: wanted}
	default:
		return stamp, &Fault{Column: field.Name, Code: value, Found: fmt.Sprintf("%s: %v", Show(text), err), Wanted: wanted}
	}
}
