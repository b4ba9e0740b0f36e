package site

import "fmt"

// stormSentence answers a storm's page. Length is in hours, the figures are sums over its routes.
func stormSentence(u units, id string, isOpen bool, length *float64, zones int, ac, cl Tally, plowOnly int, through string) string {
	return stormIn(u, id, isOpen, length, counted(zones, "zone", "zones"), ac, cl, plowOnly, through)
}

// zoneStormSentence answers the page of one zone in a storm; figures as in stormSentence.
func zoneStormSentence(u units, id, zone string, isOpen bool, length *float64, ac, cl Tally, plowOnly int, through string) string {
	return stormIn(u, id, isOpen, length, named("zone", zone), ac, cl, plowOnly, through)
}

func stormIn(u units, id string, isOpen bool, length *float64, where string, ac, cl Tally, plowOnly int, through string) string {
	state := "lasted " + hours(length) + " h"
	if isOpen {
		state = "is still open after " + hours(length) + " h"
	}
	return fmt.Sprintf("Storm %s %s in %s: %s; %s%s; %s.", id, state, where,
		stormClass(u, u.compareClass(), ac), stormClass(u, u.besideClass(), cl), plowedOnly(plowOnly), reach(through))
}

func stormClass(u units, class string, t Tally) string {
	if t.RouteStorms == 0 {
		return "no solid " + class + " reported"
	}
	return u.sprintf("%s %s lb per lane-mile in %s applications on %s (%s)", class, u.rate(t.rate()),
		applications(t.applications()), counted(t.RouteStorms, "route", "routes"), bareWords(t, "its end", "route"))
}

func plowedOnly(routes int) string {
	if routes == 0 {
		return ""
	}
	return fmt.Sprintf("; %s plowed only", counted(routes, "route", "routes"))
}
