package site

import (
	"fmt"
	"strings"
)

// severitySentence tells a storm's severity in a zone with its classes in words. isAir: no pavement was measured, so air stands in.
func severitySentence(u units, zone string, s StormSeverity, isAir bool) string {
	classes := severityClasses(u, s, isAir)
	switch {
	case len(classes) == 0:
		return fmt.Sprintf("Severity in %s: no class could be read, so there is none.", zone)
	case s.Severity == nil && s.SeverityOnly == nil:
		return fmt.Sprintf("Severity in %s: not known, for a class is missing; read were %s.", zone, strings.Join(classes, ", "))
	case s.Severity == nil:
		return fmt.Sprintf("Severity in %s: %s for the storm alone, what came after is not known: %s.", zone, fixed(s.SeverityOnly, 2), strings.Join(classes, ", "))
	}
	return fmt.Sprintf("Severity in %s: %s of 1 (the storm alone %s): %s.", zone, fixed(s.Severity, 2), fixed(s.SeverityOnly, 2), strings.Join(classes, ", "))
}

// severityClasses writes out the classes that could be read, with what they were read from.
func severityClasses(u units, s StormSeverity, isAir bool) []string {
	var list []string
	add := func(class, words string) {
		if class != "" {
			list = append(list, words)
		}
	}
	with := func(words, figure, unit string) string {
		if figure == missing {
			return words
		}
		return words + " (" + figure + " " + u.unitWords(unit) + ")"
	}
	if s.ST == "freezing rain" {
		add(s.ST, "freezing rain or sleet")
	} else {
		add(s.ST, with(s.ST, u.snow(s.SnowIn), u.inch()+" over 24 h"))
	}
	add(s.Ti, with(temperatureWords(u, s.Ti, isAir), u.degrees(s.TiF), "°F"))
	add(s.Wi, with(s.Wi+" wind", u.mph(s.WiMph), "mph"))
	add(s.Bi, "begun as "+s.Bi)
	add(s.Tp, with(afterWords(s.Tp), u.degreesDifference(s.TpF), "°F"))
	add(s.Wp, with(s.Wp+" wind after", u.mph(s.WpMph), "mph"))
	return list
}

func temperatureWords(u units, class string, isAir bool) string {
	what := "pavement"
	if isAir {
		what = "air in place of pavement"
	}
	switch class {
	case "warm":
		return "warm " + what
	case "mid":
		return u.sprintf("%s between %s and %s °F", what, u.rewritten(temperature, "25"), u.rewritten(temperature, "32"))
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
var precipitationWords = map[string]string{"SN": "snow", "RA": "rain", "DZ": "drizzle", "PL": "sleet", "SG": "snow grains", "GR": "hail", "GS": "small hail", "UP": "unidentified precipitation",
	"IC": "ice crystals", "FZRA": "freezing rain", "FZDZ": "freezing drizzle", "TS": "thunder", "SHSN": "snow showers", "SHRA": "rain showers", "BLSN": "blowing snow"}

// remarkWords says what a remark tells: "snow began".
func remarkWords(what string, isBegin bool) string {
	name := precipitationWords[what]
	if name == "" {
		name = what
	}
	if isBegin {
		return name + " began"
	}
	return name + " ended"
}

// remarksNote says that remarks decide nothing, and how many stand elsewhere.
func remarksNote(n, most int) string {
	text := "A storm's onset and end come from observations, never from these."
	if n > most {
		text += fmt.Sprintf(" The first %d of %s stand here.", most, whole(n))
	}
	return text
}

// weatherFindingsSentence heads the doubts about weather reports.
func weatherFindingsSentence(n, written int) string {
	if n == 0 {
		return "No station's reports are in doubt."
	}
	return capital(counted(n, "doubt", "doubts")) + " about stations' reports" + partWritten(n, written) + "; stuck and jumping readings are left out of every temperature."
}

// outsideWords says why a pass outside storms was made, as far as pavement and dew point tell.
func outsideWords(kind string) string {
	switch kind {
	case "frost", "refreeze":
		return kind
	}
	return "no frost or refreeze seen"
}

// outsideNote says how many passes outside storms are not written out.
func outsideNote(n, most int) string {
	if n <= most {
		return ""
	}
	return fmt.Sprintf("The latest %d of %s passes stand here.", most, whole(n))
}

// gapsSentence heads the storm counts at other gaps.
func gapsSentence(n int) string {
	if n == 0 {
		return "No storm has been counted at any gap."
	}
	return "No standard says how long dry weather must last to end a storm. So many storms each season would have at other gaps; a declared storm changes none of these."
}
