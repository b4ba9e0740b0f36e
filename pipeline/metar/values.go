package metar

import "strings"

// Conversions. The knot is 1852 m and the mile 1609.344 m, both exact; 1.150779448 is their ratio to ten digits (NIST SP 811).
const (
	mphPerKnot           = 1.150779448
	mphPerMetrePerSecond = 3600 / metresPerMile
	mphPerKmPerHour      = 1000 / metresPerMile
	metresPerMile        = 1609.344
	unlimitedMetres      = 10000 // what 9999 and CAVOK stand for: this and more
)

// fahrenheit converts tenths of a degree Celsius with one rounding: F = C x 9/5 + 32 = (9 t + 1600) / 50.
func fahrenheit(tenthsC int) float64 { return float64(9*tenthsC+1600) / 50 }

// wind reads dddff(f)(Gff(f)) with KT, MPS or KMH; ddd may be VRB or ///, ff may be //, P stands for more than.
func (d *decoder) wind(word string) bool {
	var scale float64
	switch n := len(word); {
	case n >= 7 && word[n-2:] == "KT":
		scale, word = mphPerKnot, word[:n-2]
	case n >= 8 && word[n-3:] == "MPS":
		scale, word = mphPerMetrePerSecond, word[:n-3]
	case n >= 8 && word[n-3:] == "KMH":
		scale, word = mphPerKmPerHour, word[:n-3]
	default:
		return false
	}
	direction := word[:3]
	deg, hasDeg := digits(direction)
	if !hasDeg && direction != "VRB" && direction != "///" || deg > 360 {
		return false
	}
	speed, rest, ok := speedOf(word[3:])
	if !ok {
		return false
	}
	var gust Reading
	if rest != "" {
		if rest[0] != 'G' {
			return false
		}
		if gust, rest, ok = speedOf(rest[1:]); !ok || rest != "" {
			return false
		}
	}
	r := &d.report
	r.Carries |= Wind
	r.WindMph, r.GustMph = Reading{speed.Value * scale, speed.Known}, Reading{gust.Value * scale, gust.Known}
	r.IsWindVariable = direction == "VRB"
	r.WindDeg = Reading{}
	if hasDeg && deg > 0 {
		r.WindDeg = known(float64(deg))
	}
	return true
}

// speedOf reads two or three digits, or slashes, and gives what stands behind.
func speedOf(text string) (Reading, string, bool) {
	if len(text) > 0 && text[0] == 'P' {
		text = text[1:]
	}
	n := 0
	for n < len(text) && (isDigit(text[n]) || text[n] == '/') {
		n++
	}
	if n < 2 || n > 3 {
		return Reading{}, text, false
	}
	if text[:n] == "//" || text[:n] == "///" {
		return Reading{}, text[n:], true
	}
	value, ok := digits(text[:n])
	return known(float64(value)), text[n:], ok
}

// windRange reads 130V190.
func (d *decoder) windRange(word string) bool {
	if len(word) != 7 || word[3] != 'V' {
		return false
	}
	from, ok1 := digits(word[:3])
	to, ok2 := digits(word[4:])
	if !ok1 || !ok2 || from > 360 || to > 360 {
		return false
	}
	d.report.WindFromDeg, d.report.WindToDeg = known(float64(from)), known(float64(to))
	return true
}

// milesVisibility reads 10SM, 1/2SM, M1/4SM, P6SM, and the fraction after whole miles (1 1/2SM).
func (d *decoder) milesVisibility(word string) bool {
	n := len(word)
	if n < 3 || word[n-2:] != "SM" {
		return false
	}
	text := word[:n-2]
	isBelow, isBeyond := text[0] == 'M', text[0] == 'P'
	if isBelow || isBeyond {
		text = text[1:]
	}
	mi, isFraction, ok := milesOf(text)
	if !ok || d.miles >= 0 && (!isFraction || isBelow || isBeyond) {
		return false
	}
	if d.miles >= 0 {
		mi += float64(d.miles)
		d.miles = -1
	}
	r := &d.report
	r.Carries |= Visibility
	r.VisibilityMi, r.IsVisibilityBelow, r.IsVisibilityBeyond = known(mi), isBelow, isBeyond
	return true
}

// milesOf reads whole miles or a proper fraction.
func milesOf(text string) (mi float64, isFraction, ok bool) {
	if over, under, has := strings.Cut(text, "/"); has {
		above, ok1 := digits(over)
		below, ok2 := digits(under)
		if !ok1 || !ok2 || above == 0 || above >= below {
			return 0, true, false
		}
		return float64(above) / float64(below), true, true
	}
	whole, ok := digits(text)
	return float64(whole), false, ok && len(text) <= 3
}

// metresVisibility reads 3000, 9999, 8000NDV, and passes over the lowest visibility in a direction (1100SE).
func (d *decoder) metresVisibility(word string) bool {
	if len(word) < 4 || len(word) > 7 {
		return false
	}
	metres, ok := digits(word[:4])
	if !ok {
		return false
	}
	switch word[4:] {
	case "N", "NE", "E", "SE", "S", "SW", "W", "NW":
		return true
	case "", "NDV":
	default:
		return false
	}
	r := &d.report
	if r.VisibilityMi.Known {
		return true
	}
	r.Carries |= Visibility
	r.IsVisibilityBelow, r.IsVisibilityBeyond = metres == 0, metres == 9999
	if metres == 9999 {
		metres = unlimitedMetres
	}
	r.VisibilityMi = known(float64(metres) / metresPerMile)
	return true
}

// temperature reads M08/M12, M35/, 00/M00 and ///M12: whole degrees Celsius, M for minus.
func (d *decoder) temperature(word string) bool {
	airC, rest, hasAir := degrees(word)
	if !hasAir && (len(word) < 3 || word[:3] != "///") {
		return false
	}
	if !hasAir {
		rest = word[2:]
	}
	if rest == "" || rest[0] != '/' {
		return false
	}
	dewC, rest, hasDew := degrees(rest[1:])
	if !hasDew && rest != "" && rest != "//" || hasDew && rest != "" {
		return false
	}
	r := &d.report
	r.Carries |= Temperature
	if hasAir {
		r.AirF = known(fahrenheit(10 * airC))
	}
	if hasDew {
		r.DewF = known(fahrenheit(10 * dewC))
	}
	return true
}

// degrees reads two digits with or without M and gives what stands behind.
func degrees(text string) (value int, rest string, ok bool) {
	isMinus := len(text) > 0 && text[0] == 'M'
	tail := text
	if isMinus {
		tail = text[1:]
	}
	if len(tail) < 2 || !isDigit(tail[0]) || !isDigit(tail[1]) {
		return 0, text, false
	}
	value = int(tail[0]-'0')*10 + int(tail[1]-'0')
	if isMinus {
		value = -value
	}
	return value, tail[2:], true
}
