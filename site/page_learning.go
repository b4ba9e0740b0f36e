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
		words := "no acetate rate yet"
		switch {
		case l == nil:
		case isEarly(l) && float64(orNone(l.Storms)) < b.setting("learning_min_storms"):
			words = tooFewWords(l.Storms, b.setting("learning_min_storms"), "storms")
		case isEarly(l):
			words = tooFewWords(l.Rows, b.setting("learning_min_rows"), "rates")
		default:
			words = "the fit gives no curve; the reason stands below"
		}
		s.Figures = []Figure{{Drawing: stateDrawing(words)}}
		return s
	}
	caption := curveCaption(b.namesCrews(), b.ratesNotPublic(), b.orderNotes())
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

// besideColumns head what the roads and the pavement were in the storms of a set of rates; besideTexts fills them.
var besideColumns = []Column{figures("Bare lane after", "h, median"), figures("Lowest pavement", "°F, median")}

func (b *book) besideTexts(points []ratePoint) []string {
	var regainH, surfaceF []float64
	for _, p := range points {
		if h := b.stormRoute(CrewStorm{StormID: p.stormID, RouteID: p.routeID, MaterialClass: acetate, Form: solid}).RegainH; h != nil {
			regainH = append(regainH, *h)
		}
		if storm, _ := b.zoneRow(p.stormID, b.routes[p.routeID].ZoneID); storm.SurfaceFMin != nil {
			surfaceF = append(surfaceF, *storm.SurfaceFMin)
		}
	}
	return []string{hours(median(regainH)), b.degrees(median(surfaceF))}
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
	table := Table{ID: "curve-table", Caption: "The common curve in mean weather", Note: "The curve is the fit's own and in no file" + b.ifCrewStorms("; its rates are the rows of crew_storms.csv that the learning fit used") + ".",
		Columns: []Column{figures("Acetate storms worked before", ""), figures("Fitted", "lb per lane-mile"), figures("90 % interval from", "lb per lane-mile"), figures("to", "lb per lane-mile"), figures("Rates up to there", "")}}
	table.Columns = append(table.Columns, besideColumns...)
	curve := b.curveOf(allCrews)
	for i, p := range curve {
		if !slices.Contains(experienceTicks, *p.PriorStorms) && i != len(curve)-1 {
			continue
		}
		upTo := slices.DeleteFunc(slices.Clone(points), func(rate ratePoint) bool { return rate.prior > *p.PriorStorms })
		table.Rows = append(table.Rows, Row{Cells: cells(append([]string{count(p.PriorStorms), b.rate(p.Rate), b.rate(p.RateLow90), b.rate(p.RateHigh90), whole(len(upTo))}, b.besideTexts(upTo)...)...)})
	}
	return table
}

func (b *book) besideSaltSection(l *Learning) Section {
	s := Section{ID: "beside-salt", Title: "Beside salt"}
	if l == nil {
		s.Text = []string{"No fit, so nothing beside salt."}
		return s
	}
	s.Text = slices.DeleteFunc([]string{capital(startSentence(l)) + ".", latestSentence(l), controlSentence(l)}, func(text string) bool { return text == "" })
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
	table := Table{ID: "learning-table", Caption: "The fit", Download: "learning.csv", Empty: "No acetate rate has been fitted.",
		Note:    "First storm and latest: in mean weather. Each interval is 90 %. Service is judged for all crews together only.",
		Columns: []Column{words("Crew"), figures("Storms", ""), figures("Rates", "used"), figures("Rates", "left out"), figures("Storms before", "latest"), figures("First storm", "lb per lane-mile"), figures("Latest", "lb per lane-mile"), figures("Change", "% per doubling"), figures("from", "%"), figures("to", "%"), figures("Freedom", "degrees"), prose("Verdict"), words("Service")}}
	table.Columns = append(table.Columns, besideColumns...)
	for _, l := range rows {
		head, own := Cell{Text: "all crews"}, points
		if l.CrewID != allCrews {
			own = slices.DeleteFunc(slices.Clone(points), func(p ratePoint) bool { return p.crewID != l.CrewID })
			head = link(b.crewName(l.CrewID), b.crewHref("", l.CrewID))
		}
		texts := append([]string{count(l.Storms), count(l.Rows), count(l.RowsLeftOut), fixed(l.PriorStormsLatest, 0), b.rate(l.StartRate), b.rate(l.LatestRate), signedTenth(l.ChangePct), signedTenth(l.ChangeLow90Pct), signedTenth(l.ChangeHigh90Pct), fixed(l.DF, 1), verdictWords(l.Verdict), cmp.Or(l.ServiceVerdict, missing)}, b.besideTexts(own)...)
		table.Rows = append(table.Rows, Row{Cells: append([]Cell{head}, cells(texts...)...)})
	}
	return table
}

// fitsSection says how many rows each fit used, which it left out and why, and what it could not adjust for.
func (b *book) fitsSection() Section {
	s := Section{ID: "rows-used", Title: "Rows used and left out"}
	byFit := grouped(sorted(b.data.LearningLeftOut, func(x, y LearningLeftOut) int { return cmp.Compare(x.Reason, y.Reason) }), func(o LearningLeftOut) string { return o.Fit })
	table := Table{ID: "fits-table", Caption: "The fits", Empty: "No fit yet.",
		Columns: []Column{words("Fit"), prose("State"), figures("Given", "rows"), figures("Used", "rows"), figures("Storms", ""), prose("Not adjusted for"), prose("Constant in all rows"), prose("Not to be told apart"), prose("Warnings")}}
	for _, f := range sorted(b.data.LearningFits, func(x, y LearningFit) int { return cmp.Compare(fitOrder(x.Fit), fitOrder(y.Fit)) }) {
		s.Text = append(s.Text, fitSentence(b.units, f, byFit[f.Fit]))
		state := f.State
		if f.Reason != "" {
			state += ": " + f.Reason
		}
		table.Rows = append(table.Rows, Row{Cells: cells(capital(fitName(b.units, f.Fit)), state, count(f.RowsGiven), count(f.RowsUsed), count(f.Storms), listed(f.NotAdjusted), listed(f.Constant), listed(f.Dropped), listed(f.Warnings))})
	}
	s.Tables = []Table{table}
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
	table := Table{ID: "outliers-table", Caption: "Rates marked for review, the latest storm first", Note: "The weather stands in storms.csv" + b.ifCrewStorms(", the rates in crew_storms.csv") + "; what the fit expected and the deviations are in no file.",
		Columns: []Column{words("Storm"), prose("Route"), figures("Rate", "lb per lane-mile"), figures("Fitted", "lb per lane-mile"), figures("Away", "robust deviations"), figures("Bare lane after", "h"), words("Kind"), figures("Mean air", "°F"), figures("Lowest pavement", "°F"), figures("Water", "in"), figures("Freezing rain", "h"), figures("Most wind", "mph")}}
	for _, r := range slices.Backward(b.residuals()) {
		if !r.IsOutlier {
			continue
		}
		figures := []string{b.rate(r.Rate), b.rate(r.Fitted), signedTenth(r.Deviations)}
		if !b.isPublicRate(r.StormID, r.RouteID, r.CrewID) {
			figures = []string{sharedRate, sharedRate, sharedRate}
		}
		storm, _ := b.zoneRow(r.StormID, b.routes[r.RouteID].ZoneID)
		row := b.stormRoute(CrewStorm{StormID: r.StormID, RouteID: r.RouteID, MaterialClass: acetate, Form: solid})
		table.Rows = append(table.Rows, Row{Cells: []Cell{link(r.StormID, b.stormHref("", r.StormID)), link(b.routeShort(r.RouteID), b.routeHref("", r.RouteID)), {Text: figures[0]}, {Text: figures[1]}, {Text: figures[2]}, {Text: regain(row)},
			{Text: cmp.Or(storm.Kind, missing)}, {Text: b.degrees(storm.AirFMean)}, {Text: b.degrees(storm.SurfaceFMin)}, {Text: b.inches(storm.PrecipIn)}, {Text: hours(storm.FreezingH)}, {Text: b.mph(storm.WindMphMax)}}})
	}
	return Section{ID: "review", Title: "For review", Text: []string{outliersSentence(len(table.Rows))}, Tables: []Table{table}}
}
