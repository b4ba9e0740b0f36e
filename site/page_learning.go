package site

import (
	"cmp"
	"slices"
	"strings"
)

// residuals are the fit's rows in the order of storms, crews and routes.
func (b *book) residuals() []LearningResidual {
	return sorted(b.data.LearningResiduals, func(x, y LearningResidual) int {
		return cmp.Or(b.began(x.StormID).Compare(b.began(y.StormID)), cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.CrewID, y.CrewID), cmp.Compare(x.RouteID, y.RouteID))
	})
}

// learningPage answers whether acetate rates come down as crews gain storms, and what the roads did meanwhile.
func (b *book) learningPage() page {
	l := b.learningOf(allCrews)
	p := page{Title: "Learning", Nav: "learning", Lead: learningSentence(b.units, l, b.setting("learning_min_storms"), b.setting("learning_min_rows"), b.through())}
	points := b.ratePoints()
	scales := b.curveScales(points)
	p.Sections = append(p.Sections, b.curveSection(l, points, scales), b.basesSection(points), b.besideSaltSection(l), b.learningCrewsSection(points, scales),
		b.fitsSection(), b.outliersSection())
	return p
}

func (b *book) curveSection(l *Learning, points []ratePoint, scales curveScales) Section {
	s := Section{ID: "curve", Title: curveTitle(b.units, l), Picture: "curve-picture", Text: append(b.learningWarnings(l), noRate)}
	if len(b.curveOf(allCrews)) == 0 {
		words := b.unitWords("no {acetate} rate yet")
		switch {
		case l == nil:
		case isEarly(l) && float64(l.Storms) < b.setting("learning_min_storms"):
			words = tooFewWords(l.Storms, b.setting("learning_min_storms"), "storms")
		case isEarly(l):
			words = tooFewWords(l.Rows, b.setting("learning_min_rows"), "rates")
		default:
			words = "the fit gives no curve; the reason stands below"
		}
		s.Figures = []Figure{{Drawing: stateDrawing(words)}}
		return s
	}
	caption := curveCaption(b.units, b.namesCrews(), b.ratesNotPublic(), b.orderNotes())
	s.Figures = []Figure{{Drawing: b.commonCurve(points, scales), IsWide: true, Caption: caption}}
	s.Tables = []Table{b.curveTable(points)}
	return s
}

// learningWarnings are what must stand beside every trend.
func (b *book) learningWarnings(l *Learning) []string {
	if l == nil {
		return nil
	}
	var list []string
	if _, caveats := partVerdict(l.Verdict); len(caveats) > 0 {
		list = append(list, reserveSentence(caveats))
	}
	var service *LearningService
	if len(b.data.LearningService) > 0 {
		service = &b.data.LearningService[0]
	}
	list = append(list, guardSentence(l.ServiceVerdict, service))
	for _, o := range sorted(b.data.LearningOrders, func(x, y LearningOrder) int {
		return cmp.Or(x.FromDate.Compare(y.FromDate), cmp.Compare(x.Text, y.Text), cmp.Compare(x.RouteID, y.RouteID))
	}) {
		list = append(list, orderStepSentence(o))
	}
	return list
}

// median is the middle of values, or the mean of the middle two; nil without values.
func median(values []float64) *float64 {
	if len(values) == 0 {
		return nil
	}
	slices.Sort(values)
	middle := (values[(len(values)-1)/2] + values[len(values)/2]) / 2
	return &middle
}

// curveTable holds the common curve at whole doublings and at the latest experience.
func (b *book) curveTable(points []ratePoint) Table {
	type row struct {
		LearningCurve
		rates  int
		beside beside
	}
	var rows []row
	curve := b.curveOf(allCrews)
	for i, p := range curve {
		if slices.Contains(experienceTicks, p.PriorStorms) || i == len(curve)-1 {
			upTo := slices.DeleteFunc(slices.Clone(points), func(rate ratePoint) bool { return rate.prior > p.PriorStorms })
			rows = append(rows, row{p, len(upTo), b.besideOf(upTo)})
		}
	}
	return filled(b, Table{ID: "curve-table", Caption: "The common curve in mean weather",
		Note: "The curve is the fit's own and in no file" +
			b.ifCrewStorms("; its rates are the rows of crew_storms.csv that the learning fit used") + "."},
		besideRates(b, func(r row) beside { return r.beside }, []Column[row]{
			wholes("{Acetate} storms worked before", "", func(r row) int64 { return r.PriorStorms }),
			numbers(b, "Fitted", "lb per lane-mile", massRate, func(r row) *float64 { return r.Rate }),
			numbers(b, "90 % interval from", "lb per lane-mile", massRate, func(r row) *float64 { return r.RateLow90 }),
			numbers(b, "to", "lb per lane-mile", massRate, func(r row) *float64 { return r.RateHigh90 }),
			wholes("Rates up to there", "", func(r row) int { return r.rates })}), rows)
}

func (b *book) besideSaltSection(l *Learning) Section {
	s := Section{ID: "beside-salt", Title: b.unitWords("Beside {salt}")}
	if l == nil {
		s.Text = []string{b.unitWords("No fit, so nothing beside {salt}.")}
		return s
	}
	s.Text = slices.DeleteFunc([]string{capital(startSentence(b.units, l)) + ".", latestSentence(l), controlSentence(b.units, l)}, func(text string) bool { return text == "" })
	return s
}

// learningCrewsSection sets the crews side by side in the order of their ids, where there are enough of them; there is no rank.
func (b *book) learningCrewsSection(points []ratePoint, scales curveScales) Section {
	s := Section{ID: "crews", Title: "Crew by crew, in the order of their ids", Picture: "crew-curves", Text: []string{sideBySideSentence(b.namesCrews(), len(b.comparedCrews()), len(b.crewsWithFigures()))}}
	if len(b.comparedCrews()) == 0 {
		s.Title = "All crews together"
	}
	rows := b.learningRows()
	for _, l := range rows {
		if l.CrewID != allCrews && len(b.curveOf(l.CrewID)) > 0 {
			s.Figures = append(s.Figures, Figure{Title: crewTrend(b.crewName(l.CrewID), &l), Drawing: b.crewCurve(l.CrewID, points, scales), IsSmall: true})
		}
	}
	s.Tables = []Table{b.learningTable(rows, points)}
	return s
}

// learningRows lists the rows of learning: `all`, then the crews that may be set side by side, by id.
func (b *book) learningRows() []Learning {
	list := slices.DeleteFunc(slices.Clone(b.data.Learning), func(l Learning) bool { return l.CrewID != allCrews && !b.isCompared(l.CrewID) })
	return sorted(list, func(x, y Learning) int {
		if (x.CrewID == allCrews) != (y.CrewID == allCrews) {
			if x.CrewID == allCrews {
				return -1
			}
			return 1
		}
		return cmp.Compare(x.CrewID, y.CrewID)
	})
}

func (b *book) learningTable(rows []Learning, points []ratePoint) Table {
	crew := func(l Learning) Cell {
		if l.CrewID == allCrews {
			return Cell{Text: "all crews"}
		}
		return b.crewCell("", l.CrewID)
	}
	besides := map[string]beside{allCrews: b.besideOf(points)}
	for crewID, own := range grouped(points, func(p ratePoint) string { return p.crewID }) {
		besides[crewID] = b.besideOf(own)
	}
	return filled(b, Table{ID: "learning-table", Caption: "The fit", Download: "learning.csv", Empty: "No {acetate} rate has been fitted.",
		Note: "First storm and latest: in mean weather. Each interval is 90 %. Service is judged for all crews together only."},
		besideRates(b, func(l Learning) beside { return besides[l.CrewID] }, []Column[Learning]{
			cells("Crew", crew).ofCrews(),
			wholes("Storms", "", func(l Learning) int64 { return l.Storms }),
			wholes("Rates", "used", func(l Learning) int64 { return l.Rows }),
			wholes("Rates", "left out", func(l Learning) int64 { return l.RowsLeftOut }),
			numbers(b, "Storms before", "latest", ones, func(l Learning) *float64 { return l.PriorStormsLatest }),
			numbers(b, "First storm", "lb per lane-mile", massRate, func(l Learning) *float64 { return l.StartRate }),
			numbers(b, "Latest", "lb per lane-mile", massRate, func(l Learning) *float64 { return l.LatestRate }),
			signedNumbers(b, "Change", "% per doubling", tenths, func(l Learning) *float64 { return l.ChangePct }),
			signedNumbers(b, "from", "%", tenths, func(l Learning) *float64 { return l.ChangeLow90Pct }),
			signedNumbers(b, "to", "%", tenths, func(l Learning) *float64 { return l.ChangeHigh90Pct }),
			numbers(b, "Freedom", "degrees", tenths, func(l Learning) *float64 { return l.DF }),
			prose("Verdict", func(l Learning) string { return verdictWords(l.Verdict) }),
			words("Service", func(l Learning) string { return cmp.Or(l.ServiceVerdict, missing) })}), rows)
}

// fitsSection says how many rows each fit used, which it left out and why, and what it could not adjust for.
func (b *book) fitsSection() Section {
	s := Section{ID: "rows-used", Title: "Rows used and left out"}
	byFit := grouped(sorted(b.data.LearningLeftOut, func(x, y LearningLeftOut) int { return cmp.Compare(x.Reason, y.Reason) }), func(o LearningLeftOut) string { return o.Fit })
	list := sorted(b.data.LearningFits, func(x, y LearningFit) int { return cmp.Compare(fitOrder(x.Fit), fitOrder(y.Fit)) })
	for _, f := range list {
		s.Text = append(s.Text, fitSentence(b.units, f, byFit[f.Fit]))
	}
	state := func(f LearningFit) string {
		if f.Reason != "" {
			return f.State + ": " + f.Reason
		}
		return f.State
	}
	s.Tables = []Table{filled(b, Table{ID: "fits-table", Caption: "The fits", Empty: "No fit yet."}, []Column[LearningFit]{
		words("Fit", func(f LearningFit) string { return capital(fitName(b.units, f.Fit)) }), prose("State", state),
		wholes("Given", "rows", func(f LearningFit) int64 { return f.RowsGiven }),
		wholes("Used", "rows", func(f LearningFit) int64 { return f.RowsUsed }),
		wholes("Storms", "", func(f LearningFit) int64 { return f.Storms }),
		prose("Not adjusted for", func(f LearningFit) string { return listed(f.NotAdjusted) }),
		prose("Constant in all rows", func(f LearningFit) string { return listed(f.Constant) }),
		prose("Not to be told apart", func(f LearningFit) string { return listed(f.Dropped) }),
		prose("Warnings", func(f LearningFit) string { return listed(f.Warnings) }),
	}, list)}
	return s
}

func fitOrder(fit string) int {
	return slices.Index([]string{"curve", "corrected curve", "beside salt", "service"}, fit)
}

// listed writes a list that `;` separates.
func listed(list string) string {
	return cmp.Or(strings.ReplaceAll(list, ";", ", "), missing)
}

// outliersSection marks the rates that lie far from the fit, with the weather beside them.
func (b *book) outliersSection() Section {
	rows := slices.DeleteFunc(latestFirst(b.residuals()), func(r LearningResidual) bool { return !r.IsOutlier })
	own := func(c Column[LearningResidual]) Column[LearningResidual] { // of one crew alone, where its route was
		shown := c.Cell
		c.Cell = func(r LearningResidual) Cell {
			if !b.isPublicRate(r.StormID, r.RouteID, r.CrewID) {
				return Cell{Text: sharedRate}
			}
			return shown(r)
		}
		return c
	}
	road := func(r LearningResidual) StormRoute { return b.solidsOf(r.StormID, r.RouteID, b.compareClass()) }
	storm := func(r LearningResidual) Storm { return b.stormIn(r.StormID, b.routes[r.RouteID].ZoneID) }
	columns := slices.Concat([]Column[LearningResidual]{
		stormColumn(b, "", func(r LearningResidual) string { return r.StormID }),
		routeColumn(b, "", func(r LearningResidual) string { return r.RouteID }).asProse(),
		own(numbers(b, "Rate", "lb per lane-mile", massRate, func(r LearningResidual) *float64 { return r.Rate })),
		own(numbers(b, "Fitted", "lb per lane-mile", massRate, func(r LearningResidual) *float64 { return r.Fitted })),
		own(signedNumbers(b, "Away", "robust deviations", tenths, func(r LearningResidual) *float64 { return r.Deviations })),
	}, at(road, []Column[StormRoute]{b.bareAfter()}), at(storm, slices.Concat([]Column[Storm]{kindColumn()}, b.airColumns(),
		[]Column[Storm]{b.waterColumn(), b.freezingRain(), b.mostWind()})))
	table := filled(b, Table{ID: "outliers-table", Caption: "Rates marked for review, the latest storm first",
		Note: "The weather stands in storms.csv" +
			b.ifCrewStorms(", the rates in crew_storms.csv") + "; what the fit expected and the deviations are in no file."}, columns, rows)
	return Section{ID: "review", Title: "For review", Text: []string{outliersSentence(len(rows))}, Tables: []Table{table}}
}

// beside is what the roads and the pavement were in the storms of a set of rates: medians.
type beside struct{ regainH, surfaceF *float64 }

func (b *book) besideOf(points []ratePoint) beside {
	var regainH, surfaceF []float64
	for _, p := range points {
		if h := b.solidsOf(p.stormID, p.routeID, b.compareClass()).RegainH; h != nil {
			regainH = append(regainH, *h)
		}
		if storm := b.stormIn(p.stormID, b.routes[p.routeID].ZoneID); storm.SurfaceFMin != nil {
			surfaceF = append(surfaceF, *storm.SurfaceFMin)
		}
	}
	return beside{median(regainH), median(surfaceF)}
}

// besideRates are the columns of beside, behind those of the rates.
func besideRates[T any](b *book, get func(T) beside, columns []Column[T]) []Column[T] {
	return append(columns, numbers(b, "Bare lane after", "h, median", tenths, func(row T) *float64 { return get(row).regainH }),
		numbers(b, "Lowest pavement", "°F, median", temperature, func(row T) *float64 { return get(row).surfaceF }))
}
