package fleet

import (
	"math"
	"strconv"
	"time"
)

// appendFixed appends a number with so many digits behind the point.
func appendFixed(to []byte, number float64, digits int) []byte {
	scale := int64(math.Pow10(digits))
	whole := int64(math.Round(number * float64(scale)))
	if whole < 0 {
		to, whole = append(to, '-'), -whole
	}
	to = strconv.AppendInt(to, whole/scale, 10)
	if digits == 0 {
		return to
	}
	to = append(to, '.')
	rest := whole % scale
	for scale /= 10; scale > 1 && rest < scale; scale /= 10 {
		to = append(to, '0')
	}
	return strconv.AppendInt(to, rest, 10)
}

// appendTime appends a time, RFC 3339 in UTC.
func appendTime(to []byte, atS int64) []byte {
	return time.Unix(atS, 0).UTC().AppendFormat(to, "2006-01-02T15:04:05Z")
}
