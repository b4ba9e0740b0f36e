// Package format writes numbers, instants and names as pages show them, in US units or metric ones, and the names of the classes compared.
package format

import (
	"math"
	"strconv"
	"strings"
	"time"

	"golang.org/x/text/language"
	"golang.org/x/text/message"
	"golang.org/x/text/number"

	"lanetally/pipeline/rows"
)

// Missing is what a table shows where there is no value; never 0.
const Missing = "–"

// NotShown stands where a figure is withheld, because it would tell one of a crew too small for figures.
const NotShown = "not shown: too few people"

var printer = message.NewPrinter(language.AmericanEnglish)

// Fixed writes x with the given number of decimals and thousands grouped; nil gives the missing sign. A value that
// rounds to 0 is written without a sign.
func Fixed(x *float64, decimals int) string {
	rounded, found := RoundedTo(x, decimals)
	if !found {
		return Missing
	}
	return printer.Sprint(number.Decimal(rounded, number.MinFractionDigits(decimals), number.MaxFractionDigits(decimals)))
}

// RoundedTo is x with the given number of decimals; found is false where there is no number.
func RoundedTo(x *float64, decimals int) (rounded float64, found bool) {
	if x == nil || math.IsNaN(*x) || math.IsInf(*x, 0) {
		return 0, false
	}
	scale := math.Pow(10, float64(decimals))
	if rounded = math.Round(*x*scale) / scale; rounded == 0 {
		return 0, true // a plain 0, whatever its sign was
	}
	return rounded, true
}

// Hours writes hours to a tenth.
func Hours(x *float64) string { return Fixed(x, 1) }

// Applications writes applications to a hundredth.
func Applications(x *float64) string { return Fixed(x, 2) }

// Dollars writes US dollars, whole.
func Dollars(x *float64) string { return Fixed(x, 0) }

// Percent writes a share between 0 and 1 as whole percent, without the sign.
func Percent(x *float64) string {
	return Fixed(Hundredfold(x), 0)
}

// Hundredfold is 100 x, such as the percent of a share; nil stays nil.
func Hundredfold(x *float64) *float64 {
	if x == nil {
		return nil
	}
	return new(*x * 100)
}

// Count writes a whole number with thousands grouped; nil gives the missing sign.
func Count(n *int64) string {
	if n == nil {
		return Missing
	}
	return Whole(*n)
}

// Whole writes a whole number with thousands grouped.
func Whole[T int | int64](n T) string { return printer.Sprint(number.Decimal(int64(n))) }

// Counted writes "no storms", "1 storm", "1,204 storms".
func Counted[T int | int64](n T, one, many string) string {
	switch n {
	case 0:
		return "no " + many
	case 1:
		return "1 " + one
	}
	return Whole(n) + " " + many
}

// Clock writes instants in the district's time zone.
type Clock struct{ Zone *time.Location }

// Moment writes 3 Dec 2029, 05:40.
func (c Clock) Moment(t time.Time) string { return t.In(c.Zone).Format("2 Jan 2006, 15:04") }

// MomentOf is moment for a value that may be missing.
func (c Clock) MomentOf(t *time.Time) string {
	if t == nil {
		return Missing
	}
	return c.Moment(*t)
}

// Day writes 3 Dec 2029.
func (c Clock) Day(t time.Time) string { return t.In(c.Zone).Format("2 Jan 2006") }

// DayShort writes 3 Dec.
func (c Clock) DayShort(t time.Time) string { return t.In(c.Zone).Format("2 Jan") }

// Hour writes 05:40.
func (c Clock) Hour(t time.Time) string { return t.In(c.Zone).Format("15:04") }

// Date writes a calendar date, which has no time zone, as 3 Dec 2029.
func Date(t time.Time) string { return t.UTC().Format("2 Jan 2006") }

// DateOf is date for a value that may be missing.
func DateOf(t *time.Time) string {
	if t == nil {
		return Missing
	}
	return Date(*t)
}

// Signed writes x with a sign on either side of 0.
func Signed(x *float64, decimals int) string {
	text := Fixed(x, decimals)
	switch {
	case text == Missing:
		return text
	case text[0] == '-':
		return "−" + text[1:]
	case strings.Trim(text, "0.,") == "":
		return text
	}
	return "+" + text
}

// Ratios writes a ratio to a hundredth.
func Ratios(x *float64) string { return Fixed(x, 2) }

// Interval writes both ends of an interval: "0.94 to 1.04"; the missing sign where one is missing.
func Interval(low, high *float64, write func(*float64) string) string {
	if low == nil || high == nil {
		return Missing
	}
	return write(low) + " to " + write(high)
}

// SignedTenth writes a signed value to a tenth.
func SignedTenth(x *float64) string { return Signed(x, 1) }

// Tick writes a value of an axis without needless decimals.
func Tick(v float64) string { return Minused(strconv.FormatFloat(v, 'g', 4, 64)) }

// Minused writes a minus sign in place of the hyphen of a negative number.
func Minused(text string) string { return strings.Replace(text, "-", "−", 1) }

// YesNo writes yes or no.
func YesNo(is bool) string {
	if is {
		return "yes"
	}
	return "no"
}

// Regain writes hours to bare lane, or the state in words where there are none.
func Regain(row rows.StormRoute) string {
	if row.RegainH != nil {
		return Hours(row.RegainH)
	}
	if row.RegainState == "" {
		return Missing
	}
	return row.RegainState
}
