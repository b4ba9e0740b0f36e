package words

import (
	"fmt"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// AlwaysPoints are cautions of every winter. Common practice.
var AlwaysPoints = []string{
	"Watch the pavement temperature, not the air: below a material's working temperature more of it does not help, " +
		"and plowing comes first.",
	"Treat again by what the road shows, not by the clock: dilution and refreeze decide when a treatment is spent.",
	"Say in the log what the numbers cannot: drifts, traffic, a blocked spinner, a stretch left out.",
}

// MoreRows says how many rows a sheet left out; "" for none.
func MoreRows(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf("%s did not fit on this page; the pages on screen have them all.",
		format.Capital(format.Counted(n, "more row", "more rows")))
}

// MoreZones says how many zones a sheet left out; "" for none.
func MoreZones(n int) string {
	if n <= 0 {
		return ""
	}
	return fmt.Sprintf("%s did not fit on this page; the storm's page on screen has them all.",
		format.Capital(format.Counted(n, "more zone", "more zones")))
}

// DotsLabel describes the picture of a storm's rates by zone.
func DotsLabel(stormID string) string {
	return fmt.Sprintf("Rates of solids in storm %s, one mark a route, zone by zone; the table below holds each value.", stormID)
}

// RouteRatesLabel describes a small picture of a route's rates.
func RouteRatesLabel(routeID string) string {
	return fmt.Sprintf("Rates of route %s by storm; its page holds each value.", routeID)
}

// CrewSheetSentence heads a crew's sheet.
func CrewSheetSentence(season string, routes int, through string) string {
	if season == "" || routes == 0 {
		return fmt.Sprintf("No route of this crew was treated in a storm of the season yet; %s.", reach(through))
	}
	return fmt.Sprintf("The %s on which this crew treated in the %s season: totals of the routes, whoever treated them; %s.",
		format.Counted(routes, "route", "routes"), season, reach(through))
}

// WentWellSentences tell how routes fared after storms, what went well first.
func WentWellSentences(t rows.Tally, best BareRoute, routes int) []string {
	reported := t.Bare + t.NotBare
	if routes == 0 || reported == 0 {
		return []string{"No road state was reported after the storms of these routes, so what went well on the road cannot be told."}
	}
	text := fmt.Sprintf("The road came bare after %s of %s with reports", format.Whole(t.Bare),
		format.Counted(reported, "route-storm", "route-storms"))
	if h := t.RegainH; h != nil {
		text += fmt.Sprintf(", on average %s h after the storm's end", format.Hours(h))
	}
	sentences := []string{text + "."}
	if best.Hours != nil && routes > 1 {
		sentences = append(sentences, fmt.Sprintf("Soonest bare on average: %s, after %s h.", best.Name, format.Hours(best.Hours)))
	}
	if t.NotBare > 0 {
		sentences = append(sentences, fmt.Sprintf("Not reported bare in time: %s; cold, wind and traffic take part in that.",
			format.Counted(t.NotBare, "route-storm", "route-storms")))
	}
	return sentences
}

// SharedWith says how many other crews treated a route this season.
func SharedWith(crews int) string {
	if crews == 0 {
		return "no other crew"
	}
	return format.Counted(crews, "other crew", "other crews")
}

// TimingPoint is a point about timing: how often it was so on the routes, and the usual reason.
func TimingPoint(words string, routeStorms int, reason string) string {
	return fmt.Sprintf("%s: %s on these routes. %s", format.Capital(words), format.Counted(routeStorms, "route-storm", "route-storms"),
		reason)
}

// FreezingPoint is the caution for freezing rain. Common practice.
func FreezingPoint(storms int64, freezingH float64) string {
	return fmt.Sprintf("Freezing rain fell in %s here, %s h in all: treat early, come back sooner, and never save material on ice.",
		format.Counted(storms, "storm", "storms"), format.Hours(&freezingH))
}

// BridgePoint is the caution for bridge decks. Common practice.
func BridgePoint(routes int) string {
	have := format.Whole(routes) + " of these routes have"
	if routes == 1 {
		have = "1 of these routes has"
	}
	return have + " bridge decks: they cool from above and below and freeze before the road beside them."
}

// BareRoute is the route that came bare soonest, on average.
type BareRoute struct {
	Name  string
	Hours *float64
}
