package site

import (
	"math"
	"strings"
	"time"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"
)

// missing is what a table shows where there is no value; never 0.
const missing = "–"

var printer = message.NewPrinter(language.AmericanEnglish)

// fixed writes x with the given number of decimals and thousands grouped; nil gives the missing sign. A value that
// rounds to 0 is written without a sign.
func fixed(x *float64, decimals int) string {
	rounded, found := roundedTo(x, decimals)
	if !found {
		return missing
	}
	return printer.Sprint(number.Decimal(rounded, number.MinFractionDigits(decimals), number.MaxFractionDigits(decimals)))
}

// roundedTo is x with the given number of decimals; found is false where there is no number.
func roundedTo(x *float64, decimals int) (rounded float64, found bool) {
	if x == nil || math.IsNaN(*x) || math.IsInf(*x, 0) {
		return 0, false
	}
	scale := math.Pow(10, float64(decimals))
	if rounded = math.Round(*x*scale) / scale; rounded == 0 {
		return 0, true // a plain 0, whatever its sign was
	}
	return rounded, true
}

// hours writes hours to a tenth.
func hours(x *float64) string { return fixed(x, 1) }

// applications writes applications to a hundredth.
func applications(x *float64) string { return fixed(x, 2) }

// dollars writes US dollars, whole.
func dollars(x *float64) string { return fixed(x, 0) }

// percent writes a share between 0 and 1 as whole percent, without the sign.
func percent(x *float64) string {
	return fixed(hundredfold(x), 0)
}

func hundredfold(x *float64) *float64 {
	if x == nil {
		return nil
	}
	return new(*x * 100)
}

// count writes a whole number with thousands grouped; nil gives the missing sign.
func count(n *int64) string {
	if n == nil {
		return missing
	}
	return whole(*n)
}

// whole writes a whole number with thousands grouped.
func whole[T int | int64](n T) string { return printer.Sprint(number.Decimal(int64(n))) }

// counted writes "no storms", "1 storm", "1,204 storms".
func counted[T int | int64](n T, one, many string) string {
	switch n {
	case 0:
		return "no " + many
	case 1:
		return "1 " + one
	}
	return whole(n) + " " + many
}

// clock writes instants in the district's time zone.
type clock struct{ zone *time.Location }

// moment writes 3 Dec 2029, 05:40.
func (c clock) moment(t time.Time) string { return t.In(c.zone).Format("2 Jan 2006, 15:04") }

// momentOf is moment for a value that may be missing.
func (c clock) momentOf(t *time.Time) string {
	if t == nil {
		return missing
	}
	return c.moment(*t)
}

// day writes 3 Dec 2029.
func (c clock) day(t time.Time) string { return t.In(c.zone).Format("2 Jan 2006") }

// dayShort writes 3 Dec.
func (c clock) dayShort(t time.Time) string { return t.In(c.zone).Format("2 Jan") }

// hour writes 05:40.
func (c clock) hour(t time.Time) string { return t.In(c.zone).Format("15:04") }

// date writes a calendar date, which has no time zone, as 3 Dec 2029.
func date(t time.Time) string { return t.UTC().Format("2 Jan 2006") }

// dateOf is date for a value that may be missing.
func dateOf(t *time.Time) string {
	if t == nil {
		return missing
	}
	return date(*t)
}

// signed writes x with a sign on either side of 0.
func signed(x *float64, decimals int) string {
	text := fixed(x, decimals)
	switch {
	case text == missing:
		return text
	case text[0] == '-':
		return "−" + text[1:]
	case strings.Trim(text, "0.,") == "":
		return text
	}
	return "+" + text
}

// ratios writes a ratio to a hundredth.
func ratios(x *float64) string { return fixed(x, 2) }

// interval writes both ends of an interval: "0.94 to 1.04"; the missing sign where one is missing.
func interval(low, high *float64, write func(*float64) string) string {
	if low == nil || high == nil {
		return missing
	}
	return write(low) + " to " + write(high)
}

// signedTenth writes a signed value to a tenth.
func signedTenth(x *float64) string { return signed(x, 1) }
