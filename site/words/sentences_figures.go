package words

import (
	"fmt"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// RatesLabel says what a route's small picture shows, for readers that cannot see it; so do the labels below.
func RatesLabel(routeID string) string {
	return fmt.Sprintf("Rates of route %s by storm; the table holds each value.", routeID)
}

// RouteCourseLabel follows the title of a route's chart of rates.
func RouteCourseLabel(title, routeID string) string {
	return fmt.Sprintf("%s on route %s; the table below holds every value.", title, routeID)
}

// SeasonCourseLabel follows the title of a season's chart of rates.
func SeasonCourseLabel(title string, storms int) string {
	return fmt.Sprintf("%s. Rate, hours to bare lane and lowest pavement temperature of %s; the table below holds every value.", title,
		format.Counted(storms, "storm", "storms"))
}

// CommonCurveLabel counts the rates that stand beside the common curve.
func CommonCurveLabel(u format.Units, rates int) string {
	return u.Sprintf("%s over {acetate} storms worked, with the common curve and its 90 %% interval; the table below holds the curve.",
		format.Capital(format.Counted(rates, "rate", "rates")))
}

// CrewCurveLabel counts the rates that stand beside a crew's own curve.
func CrewCurveLabel(rates int, crewID string) string {
	return fmt.Sprintf("%s of crew %s with its own curve and the common one; the table holds the same trend.",
		format.Capital(format.Counted(rates, "rate", "rates")), crewID)
}

// StormLabel names the storm and the zone of its picture.
func StormLabel(stormID, zone string) string {
	return fmt.Sprintf("Weather and passes of storm %s in %s; the table beneath holds the same passes summed.", stormID, zone)
}

// StripLabel counts the storms of a season's strip.
func StripLabel(storms int) string {
	return fmt.Sprintf("%s along the season's dates with water and lowest pavement temperature; the table holds the same figures.",
		format.Capital(format.Counted(storms, "storm", "storms")))
}

// PairsLabel counts the storms that a season's comparison shows.
func PairsLabel(u format.Units, storms int, season string) string {
	return u.Sprintf("Pounds per lane-mile of {acetate} and {chloride} routes in %s of %s, and their ratios; the table below holds "+
		"each value.", format.Counted(storms, "storm", "storms"), season)
}

// RatioLabel follows a truck's title.
func RatioLabel(u format.Units, title string) string {
	return title + ". " + u.UnitWords("Running ratio of weighed to spread pounds by week.")
}

// StormTitle is a storm of the strip in words.
func StormTitle(u format.Units, e book.Event, day string) string {
	title := u.Sprintf("%s, %s: %s, %s h, %s %s of water, lowest pavement %s °F", e.ID, day, e.Kind(), format.Hours(e.Length()),
		u.Inches(e.Water()), u.Inch(), u.Degrees(e.SurfaceFMin()))
	if e.IsOpen {
		title += ", still open"
	}
	return title
}

// RateTitle is a dot of the learning curve in words.
func RateTitle(u format.Units, p book.RatePoint) string {
	return u.Sprintf("%s, route %s: %s lb per lane-mile after %s", p.StormID, p.RouteID, u.Rate(&p.Rate),
		format.Counted(p.Prior, "storm", "storms"))
}

// PairTitle is a storm's pair of classes in words.
func PairTitle(u format.Units, row rows.Comparison) string {
	return u.Sprintf("%s: {acetate} routes %s, {chloride} routes %s lb per lane-mile", row.StormID, u.Rate(row.AcetateStormLb),
		u.Rate(row.ChlorideStormLb))
}

// PassTitle is a pass in words; began and ended are instants already written.
func PassTitle(u format.Units, pass rows.StormPass, began, ended string) string {
	what := "plowed only"
	if pass.IsTreating && pass.MaterialClass != "" {
		what = u.Sprintf("%s, %s lb on %s lane-miles", pass.MaterialID, u.Pounds(pass.AppliedLb), u.LaneMiles(pass.LaneMiles))
		if pass.LaneMiles == nil {
			what = u.Sprintf("%s, %s lb, lane-miles not known", pass.MaterialID, u.Pounds(pass.AppliedLb))
		}
	}
	return fmt.Sprintf("%s to %s, truck %s: %s", began, ended, pass.TruckID, what)
}

// RegainTitle heads the panel of hours to bare lane; without any it is the drawn state.
func RegainTitle(hasAny bool) string {
	if !hasAny {
		return "hours to bare lane: none reported"
	}
	return "hours from storm's end to bare lane"
}

// FanCaption stands under the fan of a material's stock.
func FanCaption(o rows.StockOutlook) string {
	return "Line: half the draws leave more. Band: eight draws in ten. Below 0: what would lack. Drawn from " + o.Basis + "." +
		fewSeasonsWords(o.Basis)
}

// RoadHeads head the lines of numbers beneath a zone's pounds.
func RoadHeads(u format.Units) []string {
	return u.EachWords([]string{"{acetate} bare after, h", "{chloride} bare after, h", "mean air, °F"})
}

// PairsCaption stands beneath the picture of a season's pairs; orders are the notes of those that took effect, or empty.
func PairsCaption(u format.Units, orders string) string {
	return withOrders(u.UnitWords("Discs: {acetate} routes; diamonds: {chloride} routes; joined where both are of one storm. Outlined: "+
		"too much left out or nothing on one side, so no ratio. At the right, the season's ratio with its 90 % interval. Numbers: "+
		"hours from the storm's end to bare lane, and the air."), orders)
}

// CurveCaption stands beneath the common curve; left counts rates that are not public.
func CurveCaption(u format.Units, namesCrews bool, left int, orders string) string {
	caption := dotsSentence(namesCrews) + u.UnitWords(" Line: the fit in mean weather, with its 90 % interval. At the left edge, where "+
		"{acetate} usually begins: 1.25 to 1.50 times the {salt} rate that the fits put beside a first storm (common practice).")
	if left > 0 {
		caption += " " + ratesNotPublicSentence(left)
	}
	return withOrders(caption, orders)
}

func withOrders(caption, orders string) string {
	if orders == "" {
		return caption
	}
	return caption + " Dotted: " + orders
}

// CoverageLabel counts the rows of a picture of coverage.
func CoverageLabel(rows int) string {
	return format.Capital(format.Counted(rows, "row", "rows")) + " of storm and material over the route's reference posts, with how " +
		"often each stretch was treated; the table below names what was missed and doubled."
}

// StormCaption explains the signs of a storm's picture, with the time zone of its axis.
func StormCaption(timeZone string) string {
	return "Times in " + timeZone + ". Bars are passes: liquids half as high, plow-only passes as outlines. An upright stroke marks " +
		"the first report of bare lane that lasted. Falling: one sign for each hour in which a station reported the kind; small ticks " +
		"above it: begins and ends from remarks."
}
