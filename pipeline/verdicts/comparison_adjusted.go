package verdicts

import (
	"math"
	"slices"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// adjustedMinRoutes is the number of converted routes below which the adjusted ratio has no interval, and so no verdict.
// Source: definitions, baseline-adjusted ratio.
const adjustedMinRoutes = 3

// routeStormsQuery gives every route of the comparison in every closed storm, storms in the order of their begins.
const routeStormsQuery = `
select season, storm_id, zone_id, route_id, route_class, left_out is null as counts, applied_ulb, route_ulane_mi
from comparison_routes
order by season, run_began_at, storm_id, route_id`

// routeStorm is a route in a storm, in millionths of a pound and of a lane-mile. Counts: it is not left out.
type routeStorm struct {
	Season     string `db:"season"`
	StormID    string `db:"storm_id"`
	ZoneID     string `db:"zone_id"`
	RouteID    string `db:"route_id"`
	RouteClass string `db:"route_class"`
	Counts     bool   `db:"counts"`
	AppliedUlb int64  `db:"applied_ulb"`
	LengthUlm  int64  `db:"route_ulane_mi"`
}

// besideControl is a converted route in one storm beside the routes of its zone that were always on the class beside.
type besideControl struct {
	stormID        string
	route, control classSums
}

// convertedRoute is a route on the compared class now, on the class beside in the seasons before: its storms in both periods.
type convertedRoute struct {
	now, before []besideControl
	seasons     []string // of before
}

// baselineOf finds the converted routes of a season. A route counts when its seasons up to this one are whole seasons of the class
// beside, then whole seasons of the compared one; one of the former counts when the route stands beside its control in at least
// compare_min_storms storms of it. The control of a zone are its routes on the class beside in every season, the same in both
// periods; a storm in which over a tenth of
// their lane-miles is left out counts in neither.
func baselineOf(rows []routeStorm, season string, s *district.Settings) []convertedRoute {
	var upToNow []routeStorm
	for _, row := range rows {
		if row.Season <= season {
			upToNow = append(upToNow, row)
		}
	}
	classes := classHistories(upToNow)
	controls := controlSums(upToNow, classes, s)
	bySeason := map[string]map[string][]besideControl{}
	for _, row := range upToNow {
		control, known := controls[[2]string{row.StormID, row.ZoneID}]
		if !known || !row.Counts || !isConverted(classes[row.RouteID], season, s) {
			continue
		}
		if bySeason[row.RouteID] == nil {
			bySeason[row.RouteID] = map[string][]besideControl{}
		}
		own := besideControl{row.StormID, classSums{applied: row.AppliedUlb, length: row.LengthUlm}, control}
		bySeason[row.RouteID][row.Season] = append(bySeason[row.RouteID][row.Season], own)
	}
	var converted []convertedRoute
	for _, routeID := range contract.SortedKeys(bySeason) {
		route := convertedRoute{now: bySeason[routeID][season]}
		for _, past := range contract.SortedKeys(bySeason[routeID]) {
			if storms := bySeason[routeID][past]; classes[routeID][past] == s.Beside && len(storms) >= s.CompareMinStorms {
				route.before = append(route.before, storms...)
				route.seasons = append(route.seasons, past)
			}
		}
		if _, known := route.logChange(""); known {
			converted = append(converted, route)
		}
	}
	return converted
}

// classHistories gives each route's class in each season: "" where it changed within it or had none.
func classHistories(rows []routeStorm) map[string]map[string]string {
	classes := map[string]map[string]string{}
	for _, row := range rows {
		if classes[row.RouteID] == nil {
			classes[row.RouteID] = map[string]string{}
		}
		if class, seen := classes[row.RouteID][row.Season]; seen && class != row.RouteClass {
			classes[row.RouteID][row.Season] = ""
		} else {
			classes[row.RouteID][row.Season] = row.RouteClass
		}
	}
	return classes
}

// isControl asks for the class beside in every season.
func isControl(history map[string]string, s *district.Settings) bool {
	for _, class := range history {
		if class != s.Beside {
			return false
		}
	}
	return true
}

// isConverted asks for whole seasons of the class beside, then whole seasons of the compared one up to this one.
func isConverted(history map[string]string, season string, s *district.Settings) bool {
	if history[season] != s.Compare {
		return false
	}
	turned := false
	for _, past := range contract.SortedKeys(history) {
		switch class := history[past]; {
		case class == s.Compare:
			turned = true
		case class != s.Beside || turned:
			return false
		}
	}
	return true
}

// controlSums gives the control's pounds and lane-miles by storm and zone, without those where over a tenth of them is left out.
func controlSums(rows []routeStorm, classes map[string]map[string]string, s *district.Settings) map[[2]string]classSums {
	counted, lost := map[[2]string]classSums{}, map[[2]string]int64{}
	for _, row := range rows {
		if !isControl(classes[row.RouteID], s) {
			continue
		}
		key := [2]string{row.StormID, row.ZoneID}
		if !row.Counts {
			lost[key] += row.LengthUlm
			continue
		}
		sums := counted[key]
		sums.add(classSums{applied: row.AppliedUlb, length: row.LengthUlm})
		counted[key] = sums
	}
	for key, length := range lost {
		if 10*length > length+counted[key].length {
			delete(counted, key)
		}
	}
	return counted
}

// logChange is the difference in differences: the log ratio of the route to its control now, less that before, each of sums over
// storms, the storm skip left out ("" for none). Not known where one of the sums is 0.
func (r convertedRoute) logChange(skip string) (float64, bool) {
	now, nowKnown := logBesideControl(r.now, skip)
	before, beforeKnown := logBesideControl(r.before, skip)
	return now - before, nowKnown && beforeKnown
}

func logBesideControl(storms []besideControl, skip string) (float64, bool) {
	var route, control classSums
	for _, storm := range storms {
		if storm.stormID != skip {
			route.add(storm.route)
			control.add(storm.control)
		}
	}
	if route.applied <= 0 || control.applied <= 0 {
		return 0, false
	}
	return math.Log(float64(route.applied)/float64(route.length)) - math.Log(float64(control.applied)/float64(control.length)), true
}

// adjustToBaseline fills the baseline-adjusted columns: exp of the mean log change over the k converted routes. The interval is
// t(k - 1) on the larger of two standard errors, between routes and between storms (each period's jackknife, added); it is left
// out below adjustedMinRoutes routes, or minStorms storms now.
func adjustToBaseline(row *rows.SeasonComparison, converted []convertedRoute, minStorms int) {
	changes, known := logChanges(converted, "")
	if !known || len(changes) == 0 {
		return
	}
	var now, before, seasons []string
	for _, route := range converted {
		now, before = append(now, stormIDs(route.now)...), append(before, stormIDs(route.before)...)
		seasons = append(seasons, route.seasons...)
	}
	now, before, seasons = distinct(now), distinct(before), distinct(seasons)
	row.AdjustedRoutes, row.AdjustedSeasons = int64(len(converted)), int64(len(seasons))
	mean := *meanOf(changes)
	ratio := math.Exp(mean)
	row.AdjustedRatio = &ratio
	if len(changes) < adjustedMinRoutes || len(now) < minStorms {
		return
	}
	betweenStorms, known := stormSE(converted, now, before)
	if !known {
		return
	}
	se := math.Max(betweenStorms, routeSE(changes, mean))
	interval := given(stats.TInterval(mean, se, float64(len(changes)-1), comparisonLevel))
	if interval == nil {
		return
	}
	low, high := math.Exp(interval.Low), math.Exp(interval.High)
	if !math.IsInf(high, 0) {
		row.AdjustedLow90, row.AdjustedHigh90 = &low, &high
	}
}

// logChanges gives each route's log change without the storm skip; not known where one route's is not.
func logChanges(converted []convertedRoute, skip string) ([]float64, bool) {
	changes := make([]float64, len(converted))
	for i, route := range converted {
		change, known := route.logChange(skip)
		if !known {
			return nil, false
		}
		changes[i] = change
	}
	return changes, true
}

// routeSE is the standard error of the mean of at least two changes between routes.
func routeSE(changes []float64, mean float64) float64 {
	squares := 0.0
	for _, change := range changes {
		squares += (change - mean) * (change - mean)
	}
	n := float64(len(changes))
	return math.Sqrt(squares / (n - 1) / n)
}

// stormSE is the jackknife standard error over storms; the storms of the two periods are independent, so their squares add.
func stormSE(converted []convertedRoute, now, before []string) (float64, bool) {
	squares := 0.0
	for _, period := range [][]string{now, before} {
		leftOut := make([]float64, len(period))
		for i, stormID := range period {
			changes, known := logChanges(converted, stormID)
			if !known {
				return 0, false
			}
			leftOut[i] = *meanOf(changes)
		}
		se := stats.JackknifeSE(leftOut)
		squares += se * se
	}
	return math.Sqrt(squares), true
}

func stormIDs(storms []besideControl) []string {
	ids := make([]string, len(storms))
	for i, storm := range storms {
		ids[i] = storm.stormID
	}
	return ids
}

// distinct sorts and drops repeats.
func distinct(texts []string) []string {
	slices.Sort(texts)
	return slices.Compact(texts)
}
