package metar

import "regexp"

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

// windForm is dddff(f)(Gff(f)) with its unit; ddd may be VRB or ///, ff may be //, P stands for more than.
var windForm = regexp.MustCompile(`^(VRB|///|\d{3})P?(\d{2,3}|///?)(?:GP?(\d{2,3}|///?))?(KT|MPS|KMH)$`)

var windScales = map[string]float64{"KT": mphPerKnot, "MPS": mphPerMetrePerSecond, "KMH": mphPerKmPerHour}

func (d *decoder) wind(word string) bool {
	parts := windForm.FindStringSubmatch(word)
	if parts == nil {
		return false
	}
	deg, hasDeg := digits(parts[1])
	if deg > 360 {
		return false
	}
	r := &d.report
	r.Carries |= Wind
	r.WindMph, r.GustMph = scaled(parts[2], windScales[parts[4]]), scaled(parts[3], windScales[parts[4]])
	r.IsWindVariable = parts[1] == "VRB"
	r.WindDeg = Reading{}
	if hasDeg && deg > 0 {
		r.WindDeg = known(float64(deg))
	}
	return true
}

// scaled reads digits; slashes and nothing are not known.
func scaled(text string, scale float64) Reading {
	value, ok := digits(text)
	return Reading{float64(value) * scale, ok}
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

// milesForm is 10SM, 1/2SM, M1/4SM, P6SM; M stands for less than, P for more than.
var milesForm = regexp.MustCompile(`^([MP]?)(\d{1,9})(?:/(\d{1,9}))?SM$`)

// milesVisibility reads miles, and the fraction after whole miles (1 1/2SM).
func (d *decoder) milesVisibility(word string) bool {
	parts := milesForm.FindStringSubmatch(word)
	if parts == nil {
		return false
	}
	over, _ := digits(parts[2])
	under, isFraction := digits(parts[3])
	if isFraction && (over == 0 || over >= under) || !isFraction && len(parts[2]) > 3 || d.miles >= 0 && (!isFraction || parts[1] != "") {
		return false
	}
	mi := float64(over)
	if isFraction {
		mi /= float64(under)
	}
	if d.miles >= 0 {
		mi += float64(d.miles)
		d.miles = -1
	}
	r := &d.report
	r.Carries |= Visibility
	r.VisibilityMi, r.IsVisibilityBelow, r.IsVisibilityBeyond = known(mi), parts[1] == "M", parts[1] == "P"
	return true
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

// temperatureForm is M08/M12, M35/, 00/M00 and ///M12: whole degrees Celsius, M for minus.
var temperatureForm = regexp.MustCompile(`^(?:(M?)(\d\d)|//)/(?:(M?)(\d\d)|//)?$`)

func (d *decoder) temperature(word string) bool {
	parts := temperatureForm.FindStringSubmatch(word)
	if parts == nil {
		return false
	}
	r := &d.report
	r.Carries |= Temperature
	if parts[2] != "" {
		r.AirF = celsius(parts[1], parts[2])
	}
	if parts[4] != "" {
		r.DewF = celsius(parts[3], parts[4])
	}
	return true
}

func celsius(sign, text string) Reading {
	value, _ := digits(text)
	if sign == "M" {
		value = -value
	}
	return known(fahrenheit(10 * value))
}
