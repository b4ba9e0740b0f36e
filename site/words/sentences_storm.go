package words

import (
	"fmt"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// StormSentence answers a storm's page. Length is in hours, the figures are sums over its routes.
func StormSentence(u format.Units, id string, isOpen bool, length *float64, zones int, ac, cl rows.Tally, plowOnly int,
	through string) string {
	return stormIn(u, id, isOpen, length, format.Counted(zones, "zone", "zones"), ac, cl, plowOnly, through)
}

// ZoneStormSentence answers the page of one zone in a storm; figures as in StormSentence.
func ZoneStormSentence(u format.Units, id, zone string, isOpen bool, length *float64, ac, cl rows.Tally, plowOnly int,
	through string) string {
	return stormIn(u, id, isOpen, length, format.Named("zone", zone), ac, cl, plowOnly, through)
}

func stormIn(u format.Units, id string, isOpen bool, length *float64, where string, ac, cl rows.Tally, plowOnly int,
	through string) string {
	state := "lasted " + format.Hours(length) + " h"
	if isOpen {
		state = "is still open after " + format.Hours(length) + " h"
	}
	return fmt.Sprintf("Storm %s %s in %s: %s; %s%s; %s.", id, state, where,
		stormClass(u, u.CompareClass(), ac), stormClass(u, u.BesideClass(), cl), plowedOnly(plowOnly), reach(through))
}

func stormClass(u format.Units, class string, t rows.Tally) string {
	if t.RouteStorms == 0 {
		return "no solid " + class + " reported"
	}
	return u.Sprintf("%s %s lb per lane-mile in %s applications on %s (%s)", class, u.Rate(t.RateLbPerLaneMi),
		format.Applications(t.Applications), format.Counted(t.RouteStorms, "route", "routes"), BareWords(t, "its end", "route"))
}

func plowedOnly(routes int) string {
	if routes == 0 {
		return ""
	}
	return fmt.Sprintf("; %s plowed only", format.Counted(routes, "route", "routes"))
}
