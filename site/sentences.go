package site

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Every generated sentence stands in a sentences file, by subject; the test beside it lists what each says for none, one, too few and many, and
// sentences_metric_test.go what it says in metric units.

const (
	// caution stands at the foot of every page.
	caution = "A report of the past, no instruction to cut rates. Local policy and licensed practice decide."
	// notTheRoad stands beside it.
	notTheRoad = "Counts of material and reports, not the state of a road at a time and place."
	// noVerdict closes the season's answer.
	noVerdict = "These are pounds as reported by spreaders, and no verdict: weather differs from storm to storm, and a lower rate is no success where roads take longer to come bare. Below a material's working temperature less is not safer; these figures set no rate."
)

// reach ends a sentence with the date that the data reaches.
func reach(through string) string {
	if through == "" {
		return "no data has been loaded yet"
	}
	return "the data reaches " + through
}

// capital gives a sentence its capital letter.
func capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}

// seasonSentence answers the season page's question.
func seasonSentence(u units, season string, closed, open int, ac, cl classTally, through string) string {
	if through == "" {
		return "No data has been loaded yet, so there is no season to show."
	}
	if closed+open == 0 {
		return fmt.Sprintf("No storm has been counted in the %s season; %s.", season, reach(through))
	}
	return fmt.Sprintf("In the %s season spreaders reported %s and %s, over %s%s; %s.",
		season, classAnswer(u, ac), classAnswer(u, cl), counted(closed, "closed storm", "closed storms"), stillOpen(open), reach(through))
}

// classAnswer is a class's rate, with its road state beside it.
func classAnswer(u units, c classTally) string {
	if c.season.rate() == nil {
		return "no rate for solid " + c.class
	}
	return u.sprintf("%s lb per lane-mile of %s (%s)", u.rate(c.season.rate()), c.class, bareWords(c.season, "a storm", "route-storm"))
}

// bareWords is the road state beside a rate: hours after what, and how many of the things counted did not come bare.
func bareWords(t Tally, after, thing string) string {
	h := t.regainH()
	switch {
	case h == nil && t.NotBare > 0:
		return fmt.Sprintf("%s not bare", counted(t.NotBare, thing, thing+"s"))
	case h == nil && t.RegainOpen > 0:
		return "no road state yet"
	case h == nil:
		return "no road state reported"
	case t.NotBare > 0:
		return fmt.Sprintf("bare lane %s h after %s, %s not bare", hours(h), after, counted(t.NotBare, thing, thing+"s"))
	}
	return fmt.Sprintf("bare lane %s h after %s", hours(h), after)
}

func stillOpen(open int) string {
	switch open {
	case 0:
		return ""
	case 1:
		return " (1 more is still open and not in these figures)"
	}
	return fmt.Sprintf(" (%s more are still open and not in these figures)", whole(open))
}

// thirdsSentence sets the first third of a class's storms beside the latest.
func thirdsSentence(u units, c classTally) string {
	n := c.season.Storms
	switch {
	case n == 0:
		return fmt.Sprintf("No solid %s was reported in a closed storm.", c.class)
	case c.first == nil:
		return fmt.Sprintf("%s: too few storms for a first and a latest third (%d, %d needed).", capital(c.class), n, fewestForThirds)
	}
	return u.sprintf("%s: %s lb per lane-mile in the first %s, %s in the latest %s; %s; mean air %s °F, then %s °F.",
		capital(c.class), u.rate(c.first.rate()), counted(c.first.Storms, "storm", "storms"), u.rate(c.latest.rate()),
		counted(c.latest.Storms, "storm", "storms"), bareThen(c.first.regainH(), c.latest.regainH()),
		u.degrees(c.first.airF()), u.degrees(c.latest.airF()))
}

// useSentence says what a class's routes got each time they were treated.
func useSentence(u units, c classTally) string {
	if c.season.RouteStorms == 0 {
		return ""
	}
	return u.sprintf("%s: a route treated in a storm got %s applications and %s lb per lane-mile in all; %s.",
		capital(c.class), applications(c.season.applications()), u.rate(c.season.stormPounds()), roadSentence(c.season))
}

// roadSentence tells the road state of what a tally holds.
func roadSentence(t Tally) string {
	reported := t.Bare + t.NotBare
	if reported == 0 {
		return "no road state was reported after the storms"
	}
	return fmt.Sprintf("%s of %s with reports came bare, after %s h on average", whole(t.Bare),
		counted(reported, "route-storm", "route-storms"), hours(t.regainH()))
}

// setAsideSentence says what is not counted yet; "" when everything is.
func setAsideSentence(u units, rows int64, lb float64, trucks int) string {
	if rows == 0 {
		return ""
	}
	of := ""
	if trucks > 0 {
		of = " of " + counted(trucks, "truck", "trucks") + ","
	}
	return u.sprintf("%s with %s lb,%s set aside and in no figure on these pages until mended.", capital(counted(rows, "pass row", "pass rows")), u.pounds(&lb), of)
}

// namedTrucks is how many trucks asideTrucksSentence names.
const namedTrucks = 4

// asideTrucksSentence names the trucks with the most pounds set aside; sums come with the most pounds first.
func asideTrucksSentence(u units, sums []SetAsideTruck) string {
	var parts []string
	more, nameless := 0, int64(0)
	for _, sum := range sums {
		switch {
		case sum.TruckID == "":
			nameless += sum.Rows
		case len(parts) == namedTrucks:
			more++
		default:
			parts = append(parts, u.sprintf("%s %s lb (%s)", sum.TruckID, u.pounds(new(orZero(sum.DispensedLb))), counted(sum.Rows, "row", "rows")))
		}
	}
	if more > 0 {
		parts = append(parts, fmt.Sprintf("and %d more", more))
	}
	var sentences []string
	if len(parts) > 0 {
		sentences = append(sentences, "By truck: "+strings.Join(parts, ", ")+".")
	}
	if nameless > 0 {
		sentences = append(sentences, capital(counted(nameless, "row names", "rows name"))+" no truck.")
	}
	return strings.Join(sentences, " ")
}

// changesSentence counts the past figures that moved since the last release, and the storms that appeared or vanished.
func changesSentence(m changeCounts) string {
	text := "No figure of a past storm moved since the last release."
	if m.figures > 0 {
		text = fmt.Sprintf("%s of %s moved since the last release, by late or corrected deliveries or a changed reference table.",
			capital(counted(m.figures, "figure", "figures")), counted(len(m.moved), "past storm", "past storms"))
	}
	if n := len(m.appeared); n > 0 {
		text += fmt.Sprintf(" %s appeared.", capital(counted(n, "storm", "storms")))
	}
	if n := len(m.vanished); n > 0 {
		text += fmt.Sprintf(" %s vanished.", capital(counted(n, "storm", "storms")))
	}
	return text
}

// courseTitle heads the chart of a season: what changed from the first to the latest third, or why that is not known.
func courseTitle(u units, storms int, ac, cl classTally) string {
	var parts []string
	for _, c := range []classTally{ac, cl} {
		if c.first != nil {
			parts = append(parts, u.sprintf("%s %s, then %s lb per lane-mile", c.class, u.rate(c.first.rate()), u.rate(c.latest.rate())))
		}
	}
	if len(parts) == 0 || storms < fewestForThirds {
		return ratesTitle(storms)
	}
	return "First and latest third: " + strings.Join(parts, "; ")
}

// ratesTitle heads the chart of rates over a season.
func ratesTitle(storms int) string {
	switch storms {
	case 0:
		return "No storm has a rate yet"
	case 1:
		return "One storm so far: no course can be read from it"
	}
	return fmt.Sprintf("Rate, hours to bare lane and pavement temperature over %d storms", storms)
}

// attentionSentence heads what needs attention.
func attentionSentence(findings, kinds int) string {
	if findings == 0 {
		return "Nothing in the data asks for attention."
	}
	return fmt.Sprintf("%s of %s; the data page lists each one.", capital(counted(findings, "finding", "findings")),
		counted(kinds, "kind", "kinds"))
}

// stormsSentence answers the list of storms.
func stormsSentence(storms, open, seasons int, through string) string {
	if storms == 0 {
		return fmt.Sprintf("No storm has been counted; %s.", reach(through))
	}
	tail := ""
	if open > 0 {
		tail = fmt.Sprintf(", %d of them still open", open)
	}
	return fmt.Sprintf("%s in %s%s; %s.", capital(counted(storms, "storm", "storms")), counted(seasons, "season", "seasons"), tail, reach(through))
}

// routesSentence answers the list of routes.
func routesSentence(u units, routes, onAcetate, onChloride int, season, through string) string {
	if routes == 0 {
		return fmt.Sprintf("No route is listed; %s.", reach(through))
	}
	return u.sprintf("%s: %d got solid {acetate} and %d solid {chloride} in the %s season; %s.",
		capital(counted(routes, "route", "routes")), onAcetate, onChloride, season, reach(through))
}

// routeSentence answers a route's page, season by season.
func routeSentence(u units, name string, storms int, season string, ac, cl Tally, through string) string {
	if storms == 0 {
		return fmt.Sprintf("%s had no pass in a storm yet; %s.", name, reach(through))
	}
	var parts []string
	for _, c := range []struct {
		class string
		t     Tally
	}{{u.compareClass(), ac}, {u.besideClass(), cl}} {
		if c.t.RouteStorms > 0 {
			parts = append(parts, u.sprintf("%s lb per lane-mile of %s in %s (%s)", u.rate(c.t.rate()), c.class,
				counted(c.t.Storms, "storm", "storms"), roadSentence(c.t)))
		}
	}
	if len(parts) == 0 {
		parts = []string{"no solids"}
	}
	return fmt.Sprintf("%s had passes in %s; in the %s season it got %s; %s.", name, counted(storms, "storm", "storms"),
		season, strings.Join(parts, " and "), reach(through))
}

// crewsSentence answers the list of crews.
func crewsSentence(u units, crews int, through string) string {
	if crews == 0 {
		return fmt.Sprintf("No crew is listed; %s.", reach(through))
	}
	return u.sprintf("%s, in the order of their ids; crews are not ranked by pounds; %s.", capital(counted(crews, "crew", "crews")), reach(through))
}

// latestStormsSentence says that a crew's page shows the latest of its storms; "" where it shows all.
func latestStormsSentence(shown, all int) string {
	if shown == all {
		return ""
	}
	return fmt.Sprintf("The latest %s of the crew's %s; the pages of its routes have the earlier ones.", whole(shown), counted(all, "storm", "storms"))
}

// crewSentence answers a crew's page.
func crewSentence(u units, name string, storms, routes int, prior *int64, through string) string {
	if storms == 0 {
		return fmt.Sprintf("Crew %s has no treating pass in a storm yet; %s.", name, reach(through))
	}
	experience := ""
	if prior != nil {
		experience = u.sprintf(", and came to its latest {acetate} storm with %s before it", u.unitWords(counted(*prior, "{acetate} storm", "{acetate} storms")))
	}
	return fmt.Sprintf("Crew %s treated %s in %s%s; %s.", name, counted(routes, "route", "routes"),
		counted(storms, "storm", "storms"), experience, reach(through))
}

// dataSentence answers the data page.
func dataSentence(files int, read, accepted, duplicates, corrections, quarantined int64, through string) string {
	if files == 0 {
		return "No delivery has been loaded yet."
	}
	return fmt.Sprintf("%s held %s: %s counted, %s, %s, %s set aside; %s.",
		capital(counted(files, "delivery", "deliveries")), counted(read, "row", "rows"), whole(accepted),
		counted(duplicates, "duplicate", "duplicates"), counted(corrections, "correction", "corrections"), whole(quarantined), reach(through))
}

// positionsSentence says how many of the delivered positions lie on a drawn route.
func positionsSentence(u units, points, onRoute int64) string {
	if points == 0 {
		return "No truck delivers positions."
	}
	share := float64(onRoute) / float64(points)
	return u.sprintf("%s, %s %% on a drawn route. Off the routes is no fault in itself: yards and roads of others are not drawn. Pounds on no pass, jumps and frozen receivers are worth a look.", capital(counted(points, "position", "positions")), percent(&share))
}

// methodsSentence answers the methods page.
func methodsSentence(storms int, through string) string {
	return fmt.Sprintf("How every figure on these pages is made, from %s; %s.", counted(storms, "storm", "storms"), reach(through))
}

// unitsSentence says which units stand where.
func unitsSentence(u units) string {
	if !u.isMetric {
		return "Pages and files are in US units; the setting units of publish turns the pages to metric ones."
	}
	return "Pages are in metric units (setting units of publish). Files, settings and the definitions here stay in US units, as their names say: 1 lb is 0.45359237 kg, 1 mile 1.609344 km, 1 inch 2.54 cm, a ton 2,000 lb, and °C are (°F − 32) × 5/9."
}

// stripSentence heads the strip of storms.
func stripSentence(events []event) string {
	if len(events) == 0 {
		return "No storm yet."
	}
	first, last := events[0], events[len(events)-1]
	if len(events) == 1 {
		return fmt.Sprintf("One storm so far, %s.", first.ID)
	}
	return fmt.Sprintf("%s, from %s to %s; the tables lead to the page of each.", capital(counted(len(events), "storm", "storms")), first.ID, last.ID)
}

// orderSentence writes out an order that a chart marks by its number.
func orderSentence(number int, from, text, class, routeID string) string {
	about := ""
	if class != "" && !strings.HasPrefix(strings.ToLower(text), class) { // no "acetate: Acetate: ..."
		about += ", " + class
	}
	if routeID != "" {
		about += ", route " + routeID
	}
	return fmt.Sprintf("Order %d, from %s%s: %s", number, from, about, ended(text))
}

// ended is a text with a full stop at its end, where it has no mark of its own there.
func ended(text string) string {
	if text == "" || strings.ContainsAny(text[len(text)-1:], ".!?") {
		return text
	}
	return text + "."
}

// flurriesSentence says how many wintry spells were too small to be storms.
func flurriesSentence(n int64) string {
	if n == 0 {
		return ""
	}
	return capital(counted(n, "wintry spell was too small to be a storm and is", "wintry spells were too small to be storms and are")) + " not listed."
}

// quarantineSentence heads the rows set aside.
func quarantineSentence(rows, written int) string {
	if rows == 0 {
		return "Every delivered row could be read."
	}
	return capital(counted(rows, "row is", "rows are")) + " set aside" + partWritten(rows, written) + ". Mend the row or the reference table, deliver again, and it is counted the next night."
}

// findingsSentence heads the list of findings.
func findingsSentence(findings, written int) string {
	return capital(counted(findings, "finding", "findings")) + partWritten(findings, written) + ". None of them is about a crew."
}

func partWritten(all, written int) string {
	if written == all {
		return ""
	}
	return "; the first " + whole(written) + " stand here"
}

// reasonsSentence names at most three reasons.
func reasonsSentence(reasons []string) string {
	if len(reasons) <= 3 {
		return strings.Join(reasons, "; ")
	}
	return strings.Join(reasons[:3], "; ") + fmt.Sprintf("; %d more", len(reasons)-3)
}
