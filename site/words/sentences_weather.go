package words

import (
	"fmt"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// SeveritySentence tells a storm's severity in a zone with its classes in words. isAir: no pavement was measured, so air stands in.
func SeveritySentence(u format.Units, zone string, s rows.StormSeverity, isAir bool) string {
	classes := SeverityClasses(u, s, isAir)
	switch {
	case len(classes) == 0:
		return fmt.Sprintf("Severity in %s: no class could be read, so there is none.", zone)
	case s.Severity == nil && s.SeverityOnly == nil:
		return fmt.Sprintf("Severity in %s: not known, for a class is missing; read were %s.", zone, strings.Join(classes, ", "))
	case s.Severity == nil:
		return fmt.Sprintf("Severity in %s: %s for the storm alone, what came after is not known: %s.", zone,
			format.Fixed(s.SeverityOnly, 2), strings.Join(classes, ", "))
	}
	return fmt.Sprintf("Severity in %s: %s of 1 (the storm alone %s): %s.", zone, format.Fixed(s.Severity, 2),
		format.Fixed(s.SeverityOnly, 2), strings.Join(classes, ", "))
}

// SeverityClasses writes out the classes that could be read, with what they were read from.
func SeverityClasses(u format.Units, s rows.StormSeverity, isAir bool) []string {
	var list []string
	add := func(class, words string) {
		if class != "" {
			list = append(list, words)
		}
	}
	with := func(words, figure, unit string) string {
		if figure == format.Missing {
			return words
		}
		return words + " (" + figure + " " + u.UnitWords(unit) + ")"
	}
	if s.ST == "freezing rain" {
		add(s.ST, "freezing rain or sleet")
	} else {
		add(s.ST, with(s.ST, u.Snow(s.SnowIn), u.Inch()+" over 24 h"))
	}
	add(s.Ti, with(TemperatureWords(u, s.Ti, isAir), u.Degrees(s.TiF), "°F"))
	add(s.Wi, with(s.Wi+" wind", u.Mph(s.WiMph), "mph"))
	add(s.Bi, "begun as "+s.Bi)
	add(s.Tp, with(afterWords(s.Tp), u.DegreesDifference(s.TpF), "°F"))
	add(s.Wp, with(s.Wp+" wind after", u.Mph(s.WpMph), "mph"))
	return list
}

// TemperatureWords puts a class of temperature into words, of the air where isAir; another class stays as it is.
func TemperatureWords(u format.Units, class string, isAir bool) string {
	what := "pavement"
	if isAir {
		what = "air in place of pavement"
	}
	switch class {
	case "warm":
		return "warm " + what
	case "mid":
		return u.Sprintf("%s between %s and %s °F", what, u.Rewritten(format.Temperature, "25"), u.Rewritten(format.Temperature, "32"))
	case "cold":
		return "cold " + what
	}
	return class
}

func afterWords(class string) string {
	if class == "same" {
		return "no warmer or colder after"
	}
	return class + " after"
}

// precipitationWords are the letters of FM-15 for what falls, by the Federal Meteorological Handbook No. 1.
var precipitationWords = map[string]string{"SN": "snow", "RA": "rain", "DZ": "drizzle", "PL": "sleet", "SG": "snow grains", "GR": "hail",
	"GS": "small hail", "UP": "unidentified precipitation",
	"IC": "ice crystals", "FZRA": "freezing rain", "FZDZ": "freezing drizzle", "TS": "thunder", "SHSN": "snow showers",
	"SHRA": "rain showers", "BLSN": "blowing snow"}

// RemarkWords says what a remark tells: "snow began".
func RemarkWords(what string, isBegin bool) string {
	name := precipitationWords[what]
	if name == "" {
		name = what
	}
	if isBegin {
		return name + " began"
	}
	return name + " ended"
}

// RemarksNote says that remarks decide nothing, and how many stand elsewhere.
func RemarksNote(n, most int) string {
	text := "A storm's onset and end come from observations, never from these."
	if n > most {
		text += fmt.Sprintf(" The first %d of %s stand here.", most, format.Whole(n))
	}
	return text
}

// WeatherFindingsSentence heads the doubts about weather reports.
func WeatherFindingsSentence(n, written int) string {
	if n == 0 {
		return "No station's reports are in doubt."
	}
	return format.Capital(format.Counted(n, "doubt", "doubts")) + " about stations' reports" + partWritten(n, written) +
		"; stuck and jumping readings are left out of every temperature."
}

// OutsideWords says why a pass outside storms was made, as far as pavement and dew point tell.
func OutsideWords(kind string) string {
	switch kind {
	case "frost", "refreeze":
		return kind
	}
	return "no frost or refreeze seen"
}

// OutsideNote says how many passes outside storms are not written out.
func OutsideNote(n, most int) string {
	if n <= most {
		return ""
	}
	return fmt.Sprintf("The latest %d of %s passes stand here.", most, format.Whole(n))
}

// GapsSentence heads the storm counts at other gaps.
func GapsSentence(n int) string {
	if n == 0 {
		return "No storm has been counted at any gap."
	}
	return "No standard says how long dry weather must last to end a storm. So many storms each season would have at other gaps; a " +
		"declared storm changes none of these."
}
