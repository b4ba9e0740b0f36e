package verdicts

import (
	"math"
	"slices"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/mixedmodel"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// Columns of the fits beside salt, and the constants of their definition.
const (
	acetateColumn     = "acetate"
	saltTrendColumn   = "w"
	acetateExpColumn  = "acetate_x"
	acetateAirColumn  = "acetate_air"
	acetateColdColumn = "acetate_cold"

	coldBelowF   = 25.0 // acetate's answer to the cold may turn steeper here
	leastRouteSD = 0.04 // a route's own answer to acetate varies at least so much, in ln; few routes cannot show it
	changedAfter = 5    // storms in each class that make a route one that changed
	leastChanged = 2    // routes that changed tell the material from the road
)

// questionFit is one question of acetate beside salt, fitted on rows up to a season's end. Estimates are logarithms of ratios
// acetate / chloride, but Net of the change with each doubling of storms worked; nil where the rows cannot tell them.
type questionFit struct {
	Question                   string
	Fit                        *LearningFit
	RoutesChanged              int
	Start, Season, Latest, Net *LearningEstimate

	rows    []BesideSaltRow
	centreF [2]float64 // means over the acetate rows used: air, and degrees below coldBelowF
	shift   float64    // logarithm of the ratio of treated shares, of pounds
	more    float64    // variance that is added to a ratio's
}

// fitQuestion fits the rows of one question up to the season's end; latestX is the crews' median latest experience.
func fitQuestion(question string, given []BesideSaltRow, season string, latestX float64, minRows, minStorms int) *questionFit {
	q := &questionFit{Question: question, rows: given, RoutesChanged: routesChanged(given)}
	d := q.design(minRows, minStorms)
	q.Fit = FitLearning(d)
	if q.Fit.IsFitted() && !hasBothClasses(pick(given, q.Fit.Choice.Rows), minRows, minStorms) {
		q.Fit.State, q.Fit.Reason = rows.TooEarly, "too few rows or storms of one class"
	}
	if !q.Fit.IsFitted() {
		return q
	}
	if q.Fit.has(acetateExpColumn) {
		q.Net = q.Fit.of(map[string]float64{acetateExpColumn: 1})
	}
	if !q.addVariance(season) {
		return q
	}
	q.Start = q.ratio(map[string]float64{acetateColumn: 1})
	q.Latest = q.ratio(map[string]float64{acetateColumn: 1, acetateExpColumn: latestX})
	if at := q.seasonMeans(season); at != nil {
		q.Season = q.ratio(at)
	}
	return q
}

// design is the model of definitions, beside salt.
func (q *questionFit) design(minRows, minStorms int) *learningDesign {
	n := len(q.rows)
	d := &learningDesign{MinRows: minRows, MinStorms: minStorms, Response: make([]float64, n), Unusable: make([]string, n),
		Slopes: []designSlope{{routeName, RouteFactor, acetateColumn}}}
	labels := [4][]string{}
	for i, row := range q.rows {
		switch {
		case row.Y == nil:
			d.Unusable[i] = rows.RoadNoReports
		case !(*row.Y > 0):
			d.Unusable[i] = "nothing put down"
		case row.X == nil:
			d.Unusable[i] = "no pounds"
		default:
			d.Response[i] = math.Log(*row.Y)
		}
		d.Weather = append(d.Weather, WeatherValues{row.AirF, row.Intensity, row.Freezing})
		class := row.StormID + " chloride"
		if row.IsAcetate {
			class = row.StormID + " acetate"
		}
		for k, label := range []string{row.StormID, class, row.RouteID, row.CrewID} {
			labels[k] = append(labels[k], label)
		}
	}
	d.Factors = []designFactor{{StormFactor, labels[0]}, {classFactor, labels[1]}, {RouteFactor, labels[2]}}
	if q.Question == rows.QuestionRate {
		d.Factors = append(d.Factors, designFactor{CrewFactor, labels[3]})
		d.Slopes = append(d.Slopes, designSlope{slopeName, CrewFactor, acetateExpColumn})
	}
	d.Columns = q.columns(d.choose())
	return d
}

// columns gives acetate's own columns, those of the weather centred on the acetate rows used. Zero beside.
func (q *questionFit) columns(choice rowChoice) []designColumn {
	names := []string{acetateColumn, saltTrendColumn, acetateExpColumn, acetateAirColumn, acetateColdColumn}
	columns := make([]designColumn, len(names))
	for k, name := range names {
		columns[k] = designColumn{Name: name, Values: make([]float64, len(q.rows)), IsOptional: k > 0}
	}
	var used []int
	for _, i := range choice.Rows {
		row := q.rows[i]
		columns[1].Values[i] = row.W
		if row.IsAcetate {
			used = append(used, i)
			columns[0].Values[i], columns[2].Values[i] = 1, *row.X
		}
	}
	if !slices.Contains(choice.Covariates, 0) { // of covariateNames: air
		return columns[:3]
	}
	for k := range q.centreF {
		values := make([]float64, len(used))
		for at, i := range used {
			values[at] = coldTerms(*q.rows[i].AirF)[k]
		}
		if mixedmodel.IsConstant(values) {
			continue
		}
		q.centreF[k] = *meanOf(values)
		for at, i := range used {
			columns[3+k].Values[i] = values[at] - q.centreF[k]
		}
	}
	return columns
}

// coldTerms are what lets acetate answer the cold differently from salt.
func coldTerms(airF float64) [2]float64 { return [2]float64{airF, math.Max(0, coldBelowF-airF)} }

// seasonMeans weighs the columns at the unweighted means over the season's acetate rows used; nil without any.
func (q *questionFit) seasonMeans(season string) map[string]float64 {
	var sums [3]float64
	n := 0.0
	for _, i := range q.Fit.Choice.Rows {
		row := q.rows[i]
		if row.Season != season || !row.IsAcetate {
			continue
		}
		n++
		sums[0] += *row.X
		if row.AirF != nil {
			for k, value := range coldTerms(*row.AirF) {
				sums[1+k] += value - q.centreF[k]
			}
		}
	}
	if n == 0 {
		return nil
	}
	return map[string]float64{acetateColumn: 1, acetateExpColumn: sums[0] / n, acetateAirColumn: sums[1] / n,
		acetateColdColumn: sums[2] / n}
}

// addVariance works out what a ratio carries beside the fit; false where there is no ratio of the material at all: with so few routes
// that the fit has neither their effect nor that of crews it would look far too sure.
func (q *questionFit) addVariance(season string) bool {
	if q.Fit.component(RouteFactor) < 0 && q.Fit.component(CrewFactor) < 0 {
		return false
	}
	acetateRoutes := map[string]bool{}
	for _, i := range q.Fit.Choice.Rows {
		if q.rows[i].IsAcetate {
			acetateRoutes[q.rows[i].RouteID] = true
		}
	}
	sd := 0.0
	if found := q.Fit.Sd(routeName); found != nil {
		sd = *found
	}
	q.more = math.Max(0, leastRouteSD*leastRouteSD-sd*sd) / float64(len(acetateRoutes))
	if q.Question != rows.QuestionPounds {
		return true
	}
	shift, variance, known := treatedShares(q.rows, season)
	q.shift, q.more = shift, q.more+variance
	return known
}

func (q *questionFit) ratio(weights map[string]float64) *LearningEstimate {
	return q.Fit.Estimate(q.Fit.Combination(weights), q.shift, q.more)
}

// treatedShares is the logarithm of acetate's share of treated lane-miles over chloride's in a season, among the route-storms with a
// record, and its variance by the jackknife over storms. Not known where a share is 0, whichever storm is left out.
func treatedShares(given []BesideSaltRow, season string) (logRatio, variance float64, known bool) {
	type sums [2]struct{ treated, all float64 } // acetate, chloride
	storms := map[string]*sums{}
	var order []string
	for _, row := range given {
		if row.Season != season {
			continue
		}
		if storms[row.StormID] == nil {
			storms[row.StormID] = &sums{}
			order = append(order, row.StormID)
		}
		side := &storms[row.StormID][sideOf(row.IsAcetate)]
		side.all += float64(row.LengthUlm)
		if row.Y == nil || *row.Y > 0 {
			side.treated += float64(row.LengthUlm)
		}
	}
	without := func(skip string) float64 {
		var total sums
		for _, id := range order {
			if id == skip {
				continue
			}
			for k := range total {
				total[k].treated += storms[id][k].treated
				total[k].all += storms[id][k].all
			}
		}
		return math.Log(total[0].treated/total[0].all) - math.Log(total[1].treated/total[1].all)
	}
	leftOut := make([]float64, len(order))
	for i, id := range order {
		leftOut[i] = without(id)
	}
	logRatio, se := without(""), stats.JackknifeSE(leftOut)
	return logRatio, se * se, ledger.Finite(logRatio) != nil && ledger.Finite(se) != nil
}

// sideOf numbers the classes: 0 the compared one, 1 the one beside.
func sideOf(isAcetate bool) int {
	if isAcetate {
		return 0
	}
	return 1
}

// hasBothClasses asks for rows and storms enough of each class.
func hasBothClasses(used []BesideSaltRow, minRows, minStorms int) bool {
	count, storms := [2]int{}, [2]map[string]bool{{}, {}}
	for _, row := range used {
		side := sideOf(row.IsAcetate)
		count[side]++
		storms[side][row.StormID] = true
	}
	return min(count[0], count[1]) >= minRows && min(len(storms[0]), len(storms[1])) >= minStorms
}

// routesChanged counts the routes with storms enough in each class to tell the material from the road.
func routesChanged(given []BesideSaltRow) int {
	storms := map[string]*[2]int{}
	seen := map[[2]string]bool{}
	for _, row := range given {
		if row.Y == nil || !(*row.Y > 0) || seen[[2]string{row.RouteID, row.StormID}] {
			continue
		}
		seen[[2]string{row.RouteID, row.StormID}] = true
		if storms[row.RouteID] == nil {
			storms[row.RouteID] = &[2]int{}
		}
		storms[row.RouteID][sideOf(row.IsAcetate)]++
	}
	changed := 0
	for _, count := range storms {
		if min(count[0], count[1]) >= changedAfter {
			changed++
		}
	}
	return changed
}
