package site

import "fmt"

// ratesLabel says what a route's small picture shows, for readers that cannot see it; so do the labels below.
func ratesLabel(routeID string) string {
	return fmt.Sprintf("Rates of route %s by storm; the table holds each value.", routeID)
}

func routeCourseLabel(title, routeID string) string {
	return fmt.Sprintf("%s on route %s; the table below holds every value.", title, routeID)
}

func seasonCourseLabel(title string, storms int) string {
	return fmt.Sprintf("%s. Rate, hours to bare lane and lowest pavement temperature of %s; the table below holds every value.", title, counted(storms, "storm", "storms"))
}

func commonCurveLabel(u units, rates int) string {
	return u.sprintf("%s over {acetate} storms worked, with the common curve and its 90 %% interval; the table below holds the curve.", capital(counted(rates, "rate", "rates")))
}

func crewCurveLabel(rates int, crewID string) string {
	return fmt.Sprintf("%s of crew %s with its own curve and the common one; the table holds the same trend.", capital(counted(rates, "rate", "rates")), crewID)
}

func stormLabel(stormID, zone string) string {
	return fmt.Sprintf("Weather and passes of storm %s in %s; the table beneath holds the same passes summed.", stormID, zone)
}

func stripLabel(storms int) string {
	return fmt.Sprintf("%s along the season's dates with water and lowest pavement temperature; the table holds the same figures.", capital(counted(storms, "storm", "storms")))
}

func pairsLabel(u units, storms int, season string) string {
	return u.sprintf("Pounds per lane-mile of {acetate} and {chloride} routes in %s of %s, and their ratios; the table below holds each value.", counted(storms, "storm", "storms"), season)
}

// ratioLabel follows a truck's title.
func ratioLabel(u units, title string) string {
	return title + ". " + u.unitWords("Running ratio of weighed to spread pounds by week.")
}

// stormTitle is a storm of the strip in words.
func stormTitle(u units, e event, day string) string {
	title := u.sprintf("%s, %s: %s, %s h, %s %s of water, lowest pavement %s °F", e.ID, day, e.kind(), hours(e.length()), u.inches(e.water()), u.inch(), u.degrees(e.surfaceFMin()))
	if e.IsOpen {
		title += ", still open"
	}
	return title
}

// rateTitle is a dot of the learning curve in words.
func rateTitle(u units, p ratePoint) string {
	return u.sprintf("%s, route %s: %s lb per lane-mile after %s", p.stormID, p.routeID, u.rate(&p.rate), counted(p.prior, "storm", "storms"))
}

// pairTitle is a storm's pair of classes in words.
func pairTitle(u units, row Comparison) string {
	return u.sprintf("%s: {acetate} routes %s, {chloride} routes %s lb per lane-mile", row.StormID, u.rate(row.AcetateStormLb), u.rate(row.ChlorideStormLb))
}

// passTitle is a pass in words; began and ended are instants already written.
func passTitle(u units, pass StormPass, began, ended string) string {
	what := "plowed only"
	if pass.IsTreating && pass.MaterialClass != "" {
		what = u.sprintf("%s, %s lb on %s lane-miles", pass.MaterialID, u.pounds(pass.AppliedLb), u.laneMiles(pass.LaneMiles))
		if pass.LaneMiles == nil {
			what = u.sprintf("%s, %s lb, lane-miles not known", pass.MaterialID, u.pounds(pass.AppliedLb))
		}
	}
	return fmt.Sprintf("%s to %s, truck %s: %s", began, ended, pass.TruckID, what)
}

// regainTitle heads the panel of hours to bare lane; without any it is the drawn state.
func regainTitle(hasAny bool) string {
	if !hasAny {
		return "hours to bare lane: none reported"
	}
	return "hours from storm's end to bare lane"
}

// fanCaption stands under the fan of a material's stock.
func fanCaption(o StockOutlook) string {
	return "Line: half the draws leave more. Band: eight draws in ten. Below 0: what would lack. Drawn from " + o.Basis + "." + fewSeasonsWords(o.Basis)
}

// roadHeads head the lines of numbers beneath a zone's pounds.
func roadHeads(u units) []string {
	return u.eachWords([]string{"{acetate} bare after, h", "{chloride} bare after, h", "mean air, °F"})
}

// pairsCaption stands beneath the picture of a season's pairs; orders are the notes of those that took effect, or empty.
func pairsCaption(u units, orders string) string {
	return withOrders(u.unitWords("Discs: {acetate} routes; diamonds: {chloride} routes; joined where both are of one storm. Outlined: too much left out or nothing on one side, so no ratio. At the right, the season's ratio with its 90 % interval. Numbers: hours from the storm's end to bare lane, and the air."), orders)
}

// curveCaption stands beneath the common curve; left counts rates that are not public.
func curveCaption(u units, namesCrews bool, left int, orders string) string {
	caption := dotsSentence(namesCrews) + u.unitWords(" Line: the fit in mean weather, with its 90 % interval. At the left edge, where {acetate} usually begins: 1.25 to 1.50 times the {salt} rate that the fits put beside a first storm (common practice).")
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

func coverageLabel(rows int) string {
	return capital(counted(rows, "row", "rows")) + " of storm and material over the route's reference posts, with how often each stretch was treated; the table below names what was missed and doubled."
}

func stormCaption(timeZone string) string {
	return "Times in " + timeZone + ". Bars are passes: liquids half as high, plow-only passes as outlines. An upright stroke marks the first report of bare lane that lasted. Falling: one sign for each hour in which a station reported the kind; small ticks above it: begins and ends from remarks."
}
