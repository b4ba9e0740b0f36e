// Package words writes the sentences of the pages and the texts of the methods page.
//
// In: rows and figures. Out: whole sentences, in the units and the names of classes that the pages show.
package words

import (
	"fmt"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// Every generated sentence stands in a sentences file, by subject; the test beside it lists what each says for none, one, too few and many,
// and
// sentences_metric_test.go what it says in metric units.

const (
	// Caution stands at the foot of every page.
	Caution = "A report of the past, no instruction to cut rates. Local policy and licensed practice decide."
	// NotTheRoad stands beside it.
	NotTheRoad = "Counts of material and reports, not the state of a road at a time and place."
	// NoVerdict closes the season's answer.
	NoVerdict = "These are pounds as reported by spreaders, and no verdict: weather differs from storm to storm, and a lower rate is " +
		"no success where roads take longer to come bare. Below a material's working temperature less is not safer; these figures set " +
		"no rate."
)

// reach ends a sentence with the date that the data reaches.
func reach(through string) string {
	if through == "" {
		return "no data has been loaded yet"
	}
	return "the data reaches " + through
}

// SeasonSentence answers the season page's question.
func SeasonSentence(u format.Units, season string, closed, open int, ac, cl book.ClassTally, through string) string {
	if through == "" {
		return "No data has been loaded yet, so there is no season to show."
	}
	if closed+open == 0 {
		return fmt.Sprintf("No storm has been counted in the %s season; %s.", season, reach(through))
	}
	return fmt.Sprintf("In the %s season spreaders reported %s and %s, over %s%s; %s.",
		season, classAnswer(u, ac), classAnswer(u, cl), format.Counted(closed, "closed storm", "closed storms"), stillOpen(open),
		reach(through))
}

// classAnswer is a class's rate, with its road state beside it.
func classAnswer(u format.Units, c book.ClassTally) string {
	if c.Season.RateLbPerLaneMi == nil {
		return "no rate for solid " + c.Class
	}
	return u.Sprintf("%s lb per lane-mile of %s (%s)", u.Rate(c.Season.RateLbPerLaneMi), c.Class,
		BareWords(c.Season, "a storm", "route-storm"))
}

// BareWords is the road state beside a rate: hours after what, and how many of the things counted did not come bare.
func BareWords(t rows.Tally, after, thing string) string {
	h := t.RegainH
	switch {
	case h == nil && t.NotBare > 0:
		return fmt.Sprintf("%s not bare", format.Counted(t.NotBare, thing, thing+"s"))
	case h == nil && t.RegainOpen > 0:
		return "no road state yet"
	case h == nil:
		return "no road state reported"
	case t.NotBare > 0:
		return fmt.Sprintf("bare lane %s h after %s, %s not bare", format.Hours(h), after, format.Counted(t.NotBare, thing, thing+"s"))
	}
	return fmt.Sprintf("bare lane %s h after %s", format.Hours(h), after)
}

func stillOpen(open int) string {
	switch open {
	case 0:
		return ""
	case 1:
		return " (1 more is still open and not in these figures)"
	}
	return fmt.Sprintf(" (%s more are still open and not in these figures)", format.Whole(open))
}

// ThirdsSentence sets the first third of a class's storms beside the latest.
func ThirdsSentence(u format.Units, c book.ClassTally) string {
	n := c.Season.Storms
	switch {
	case n == 0:
		return fmt.Sprintf("No solid %s was reported in a closed storm.", c.Class)
	case c.First == nil:
		return fmt.Sprintf("%s: too few storms for a first and a latest third (%d, %d needed).", format.Capital(c.Class), n,
			rows.FewestForThirds)
	}
	return u.Sprintf("%s: %s lb per lane-mile in the first %s, %s in the latest %s; %s; mean air %s °F, then %s °F.",
		format.Capital(c.Class), u.Rate(c.First.RateLbPerLaneMi), format.Counted(c.First.Storms, "storm", "storms"),
		u.Rate(c.Latest.RateLbPerLaneMi),
		format.Counted(c.Latest.Storms, "storm", "storms"), BareThen(c.First.RegainH, c.Latest.RegainH),
		u.Degrees(c.First.AirFMean), u.Degrees(c.Latest.AirFMean))
}

// UseSentence says what a class's routes got each time they were treated.
func UseSentence(u format.Units, c book.ClassTally) string {
	if c.Season.RouteStorms == 0 {
		return ""
	}
	return u.Sprintf("%s: a route treated in a storm got %s applications and %s lb per lane-mile in all; %s.",
		format.Capital(c.Class), format.Applications(c.Season.Applications), u.Rate(c.Season.StormLbPerLaneMi), RoadSentence(c.Season))
}

// RoadSentence tells the road state of what a tally holds.
func RoadSentence(t rows.Tally) string {
	reported := t.Bare + t.NotBare
	if reported == 0 {
		return "no road state was reported after the storms"
	}
	return fmt.Sprintf("%s of %s with reports came bare, after %s h on average", format.Whole(t.Bare),
		format.Counted(reported, "route-storm", "route-storms"), format.Hours(t.RegainH))
}

// SetAsideSentence says what is not counted yet; "" when everything is.
func SetAsideSentence(u format.Units, rows int64, lb float64, trucks int) string {
	if rows == 0 {
		return ""
	}
	of := ""
	if trucks > 0 {
		of = " of " + format.Counted(trucks, "truck", "trucks") + ","
	}
	return u.Sprintf("%s with %s lb,%s set aside and in no figure on these pages until mended.",
		format.Capital(format.Counted(rows, "pass row", "pass rows")), u.Pounds(&lb), of)
}

// namedTrucks is how many trucks AsideTrucksSentence names.
const namedTrucks = 4

// AsideTrucksSentence names the trucks with the most pounds set aside; sums come with the most pounds first.
func AsideTrucksSentence(u format.Units, sums []rows.SetAsideTruck) string {
	var parts []string
	more, nameless := 0, int64(0)
	for _, sum := range sums {
		switch {
		case sum.TruckID == "":
			nameless += sum.Rows
		case len(parts) == namedTrucks:
			more++
		default:
			parts = append(parts, u.Sprintf("%s %s lb (%s)", sum.TruckID, u.Pounds(new(rows.OrZero(sum.DispensedLb))),
				format.Counted(sum.Rows, "row", "rows")))
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
		sentences = append(sentences, format.Capital(format.Counted(nameless, "row names", "rows name"))+" no truck.")
	}
	return strings.Join(sentences, " ")
}

// ChangesSentence counts the past figures that moved since the last release, and the storms that appeared or vanished.
func ChangesSentence(m ChangeCounts) string {
	text := "No figure of a past storm moved since the last release."
	if m.Figures > 0 {
		text = fmt.Sprintf("%s of %s moved since the last release, by late or corrected deliveries or a changed reference table.",
			format.Capital(format.Counted(m.Figures, "figure", "figures")), format.Counted(len(m.Moved), "past storm", "past storms"))
	}
	if n := len(m.Appeared); n > 0 {
		text += fmt.Sprintf(" %s appeared.", format.Capital(format.Counted(n, "storm", "storms")))
	}
	if n := len(m.Vanished); n > 0 {
		text += fmt.Sprintf(" %s vanished.", format.Capital(format.Counted(n, "storm", "storms")))
	}
	return text
}

// CourseTitle heads the chart of a season: what changed from the first to the latest third, or why that is not known.
func CourseTitle(u format.Units, storms int, ac, cl book.ClassTally) string {
	var parts []string
	for _, c := range []book.ClassTally{ac, cl} {
		if c.First != nil {
			parts = append(parts, u.Sprintf("%s %s, then %s lb per lane-mile", c.Class, u.Rate(c.First.RateLbPerLaneMi),
				u.Rate(c.Latest.RateLbPerLaneMi)))
		}
	}
	if len(parts) == 0 || storms < rows.FewestForThirds {
		return RatesTitle(storms)
	}
	return "First and latest third: " + strings.Join(parts, "; ")
}

// RatesTitle heads the chart of rates over a season.
func RatesTitle(storms int) string {
	switch storms {
	case 0:
		return "No storm has a rate yet"
	case 1:
		return "One storm so far: no course can be read from it"
	}
	return fmt.Sprintf("Rate, hours to bare lane and pavement temperature over %d storms", storms)
}

// AttentionSentence heads what needs attention.
func AttentionSentence(findings, kinds int) string {
	if findings == 0 {
		return "Nothing in the data asks for attention."
	}
	return fmt.Sprintf("%s of %s; the data page lists each one.", format.Capital(format.Counted(findings, "finding", "findings")),
		format.Counted(kinds, "kind", "kinds"))
}

// StormsSentence answers the list of storms.
func StormsSentence(storms, open, seasons int, through string) string {
	if storms == 0 {
		return fmt.Sprintf("No storm has been counted; %s.", reach(through))
	}
	tail := ""
	if open > 0 {
		tail = fmt.Sprintf(", %d of them still open", open)
	}
	return fmt.Sprintf("%s in %s%s; %s.", format.Capital(format.Counted(storms, "storm", "storms")),
		format.Counted(seasons, "season", "seasons"), tail, reach(through))
}

// RoutesSentence answers the list of routes.
func RoutesSentence(u format.Units, routes, onAcetate, onChloride int, season, through string) string {
	if routes == 0 {
		return fmt.Sprintf("No route is listed; %s.", reach(through))
	}
	return u.Sprintf("%s: %d got solid {acetate} and %d solid {chloride} in the %s season; %s.",
		format.Capital(format.Counted(routes, "route", "routes")), onAcetate, onChloride, season, reach(through))
}

// RouteSentence answers a route's page, season by season.
func RouteSentence(u format.Units, name string, storms int, season string, ac, cl rows.Tally, through string) string {
	if storms == 0 {
		return fmt.Sprintf("%s had no pass in a storm yet; %s.", name, reach(through))
	}
	var parts []string
	for _, c := range []struct {
		class string
		t     rows.Tally
	}{{u.CompareClass(), ac}, {u.BesideClass(), cl}} {
		if c.t.RouteStorms > 0 {
			parts = append(parts, u.Sprintf("%s lb per lane-mile of %s in %s (%s)", u.Rate(c.t.RateLbPerLaneMi), c.class,
				format.Counted(c.t.Storms, "storm", "storms"), RoadSentence(c.t)))
		}
	}
	if len(parts) == 0 {
		parts = []string{"no solids"}
	}
	return fmt.Sprintf("%s had passes in %s; in the %s season it got %s; %s.", name, format.Counted(storms, "storm", "storms"),
		season, strings.Join(parts, " and "), reach(through))
}

// CrewsSentence answers the list of crews.
func CrewsSentence(u format.Units, crews int, through string) string {
	if crews == 0 {
		return fmt.Sprintf("No crew is listed; %s.", reach(through))
	}
	return u.Sprintf("%s, in the order of their ids; crews are not ranked by pounds; %s.",
		format.Capital(format.Counted(crews, "crew", "crews")), reach(through))
}

// LatestStormsSentence says that a crew's page shows the latest of its storms; "" where it shows all.
func LatestStormsSentence(shown, all int) string {
	if shown == all {
		return ""
	}
	return fmt.Sprintf("The latest %s of the crew's %s; the pages of its routes have the earlier ones.", format.Whole(shown),
		format.Counted(all, "storm", "storms"))
}

// CrewSentence answers a crew's page.
func CrewSentence(u format.Units, name string, storms, routes int, prior *int64, through string) string {
	if storms == 0 {
		return fmt.Sprintf("Crew %s has no treating pass in a storm yet; %s.", name, reach(through))
	}
	experience := ""
	if prior != nil {
		experience = u.Sprintf(", and came to its latest {acetate} storm with %s before it",
			u.UnitWords(format.Counted(*prior, "{acetate} storm", "{acetate} storms")))
	}
	return fmt.Sprintf("Crew %s treated %s in %s%s; %s.", name, format.Counted(routes, "route", "routes"),
		format.Counted(storms, "storm", "storms"), experience, reach(through))
}

// DataSentence answers the data page.
func DataSentence(files int, read, accepted, duplicates, corrections, quarantined int64, through string) string {
	if files == 0 {
		return "No delivery has been loaded yet."
	}
	return fmt.Sprintf("%s held %s: %s counted, %s, %s, %s set aside; %s.",
		format.Capital(format.Counted(files, "delivery", "deliveries")), format.Counted(read, "row", "rows"), format.Whole(accepted),
		format.Counted(duplicates, "duplicate", "duplicates"), format.Counted(corrections, "correction", "corrections"),
		format.Whole(quarantined), reach(through))
}

// PositionsSentence says how many of the delivered positions lie on a drawn route.
func PositionsSentence(u format.Units, points, onRoute int64) string {
	if points == 0 {
		return "No truck delivers positions."
	}
	share := float64(onRoute) / float64(points)
	return u.Sprintf("%s, %s %% on a drawn route. Off the routes is no fault in itself: yards and roads of others are not drawn. "+
		"Pounds on no pass, jumps and frozen receivers are worth a look.", format.Capital(format.Counted(points, "position", "positions")),
		format.Percent(&share))
}

// MethodsSentence answers the methods page.
func MethodsSentence(storms int, through string) string {
	return fmt.Sprintf("How every figure on these pages is made, from %s; %s.", format.Counted(storms, "storm", "storms"), reach(through))
}

// UnitsSentence says which units stand where.
func UnitsSentence(u format.Units) string {
	if !u.IsMetric {
		return "Pages and files are in US units; the setting units of publish turns the pages to metric ones."
	}
	return "Pages are in metric units (setting units of publish). Files, settings and the definitions here stay in US units, as their " +
		"names say: 1 lb is 0.45359237 kg, 1 mile 1.609344 km, 1 inch 2.54 cm, a ton 2,000 lb, and °C are (°F − 32) × 5/9."
}

// StripSentence heads the strip of storms.
func StripSentence(events []book.Event) string {
	if len(events) == 0 {
		return "No storm yet."
	}
	first, last := events[0], events[len(events)-1]
	if len(events) == 1 {
		return fmt.Sprintf("One storm so far, %s.", first.ID)
	}
	return fmt.Sprintf("%s, from %s to %s; the tables lead to the page of each.",
		format.Capital(format.Counted(len(events), "storm", "storms")), first.ID, last.ID)
}

// OrderSentence writes out an order that a chart marks by its number.
func OrderSentence(number int, from, text, class, routeID string) string {
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

// FlurriesSentence says how many wintry spells were too small to be storms.
func FlurriesSentence(n int64) string {
	if n == 0 {
		return ""
	}
	return format.Capital(format.Counted(n, "wintry spell was too small to be a storm and is",
		"wintry spells were too small to be storms and are")) + " not listed."
}

// QuarantineSentence heads the rows set aside.
func QuarantineSentence(rows, written int) string {
	if rows == 0 {
		return "Every delivered row could be read."
	}
	return format.Capital(format.Counted(rows, "row is", "rows are")) + " set aside" + partWritten(rows, written) +
		". Mend the row or the reference table, deliver again, and it is counted the next night."
}

// FindingsSentence heads the list of findings.
func FindingsSentence(findings, written int) string {
	return format.Capital(format.Counted(findings, "finding", "findings")) + partWritten(findings, written) +
		". None of them is about a crew."
}

func partWritten(all, written int) string {
	if written == all {
		return ""
	}
	return "; the first " + format.Whole(written) + " stand here"
}

// ReasonsSentence names at most three reasons.
func ReasonsSentence(reasons []string) string {
	if len(reasons) <= 3 {
		return strings.Join(reasons, "; ")
	}
	return strings.Join(reasons[:3], "; ") + fmt.Sprintf("; %d more", len(reasons)-3)
}
