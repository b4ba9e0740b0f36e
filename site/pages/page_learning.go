package pages

import (
	"cmp"
	"slices"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// LearningPage answers whether acetate rates come down as crews gain storms, and what the roads did meanwhile.
func LearningPage(b *book.Book) table.Page {
	l := b.LearningOf(rows.AllCrews)
	p := table.Page{Title: "Learning", Nav: "learning",
		Lead: words.Say(b.Units, "learning", l, b.RoadsOf(latestCompared(b)), b.Setting("learning_min_storms"),
			b.Setting("learning_min_rows"), b.Through())}
	points := draw.RatePoints(b)
	scales := draw.ScalesOfCurves(b, points)
	p.Sections = append(p.Sections, curveSection(b, l, points, scales), basesSection(b, points), besideSaltSection(b, l),
		learningCrewsSection(b, points, scales),
		fitsSection(b), OutliersSection(b))
	return p
}

func curveSection(b *book.Book, l *rows.Learning, points []book.RatePoint, scales draw.CurveScales) table.Section {
	s := table.Section{ID: "curve", Title: words.Say(b.Units, "curve title", l), Picture: "curve-picture",
		Text: append(learningWarnings(b, l), words.Say(b.Units, "no rate"))}
	if len(draw.CurveOf(b, rows.AllCrews)) == 0 {
		texts := b.UnitWords("no {acetate} rate yet")
		switch {
		case l == nil:
		case book.IsEarly(l) && float64(l.Storms) < b.Setting("learning_min_storms"):
			texts = words.Say(b.Units, "too few", l.Storms, b.Setting("learning_min_storms"), "storms")
		case book.IsEarly(l):
			texts = words.Say(b.Units, "too few", l.Rows, b.Setting("learning_min_rows"), "rates")
		default:
			texts = "the fit gives no curve; the reason stands below"
		}
		s.Figures = []table.Figure{{Drawing: draw.StateDrawing(texts)}}
		return s
	}
	caption := words.Say(b.Units, "curve caption", b.NamesCrews(), b.RatesNotPublic(), words.OrderNotes(b))
	s.Figures = []table.Figure{{Drawing: draw.CommonCurve(b, points, scales), IsWide: true, Caption: caption}}
	s.Tables = []table.Table{curveTable(b, points)}
	return s
}

// learningWarnings are what must stand beside every trend.
func learningWarnings(b *book.Book, l *rows.Learning) []string {
	if l == nil {
		return nil
	}
	var list []string
	if _, caveats := book.PartVerdict(l.Verdict); len(caveats) > 0 {
		list = append(list, words.Say(b.Units, "reserve", caveats))
	}
	for _, o := range book.Sorted(b.Data.LearningOrders, func(x, y rows.LearningOrder) int {
		return cmp.Compare(x.Number, y.Number)
	}) {
		list = append(list, words.Say(b.Units, "order step", o))
	}
	return list
}

// Median is the middle of values, or the mean of the middle two; nil without values.
func Median(values []float64) *float64 {
	if len(values) == 0 {
		return nil
	}
	slices.Sort(values)
	middle := (values[(len(values)-1)/2] + values[len(values)/2]) / 2
	return &middle
}

// curveTable holds the common curve at whole doublings and at the latest experience.
func curveTable(b *book.Book, points []book.RatePoint) table.Table {
	type row struct {
		rows.LearningCurve
		rates  int
		beside beside
	}
	var list []row
	curve := draw.CurveOf(b, rows.AllCrews)
	for i, p := range curve {
		if slices.Contains(draw.ExperienceTicks, p.PriorStorms) || i == len(curve)-1 {
			upTo := slices.DeleteFunc(slices.Clone(points), func(rate book.RatePoint) bool { return rate.Prior > p.PriorStorms })
			list = append(list, row{p, len(upTo), besideOf(b, upTo)})
		}
	}
	return table.Filled(b, table.Table{ID: "curve-table", Caption: "The common curve in mean weather",
		Note: "The curve is the fit's own and in no file" +
			b.IfCrewStorms("; its rates are the rows of crew_storms.csv that the learning fit used") + "."},
		besideRates(b, func(r row) beside { return r.beside }, []table.Column[row]{
			table.Wholes("{Acetate} storms worked before", "", func(r row) int64 { return r.PriorStorms }),
			table.Numbers(b, "Fitted", "lb per lane-mile", format.MassRate, func(r row) *float64 { return r.Rate }),
			table.Numbers(b, "90 % interval from", "lb per lane-mile", format.MassRate, func(r row) *float64 { return r.RateLow90 }),
			table.Numbers(b, "to", "lb per lane-mile", format.MassRate, func(r row) *float64 { return r.RateHigh90 }),
			table.Wholes("Rates up to there", "", func(r row) int { return r.rates })}), list)
}

func besideSaltSection(b *book.Book, l *rows.Learning) table.Section {
	s := table.Section{ID: "beside-salt", Title: b.UnitWords("Beside {salt}")}
	if l == nil {
		s.Text = []string{b.UnitWords("No fit, so nothing beside {salt}.")}
		return s
	}
	s.Text = slices.DeleteFunc([]string{format.Capital(words.Say(b.Units, "start", l)) + ".", words.Say(b.Units, "latest ratio", l),
		words.Say(b.Units, "control", l, b.RoadsOf(latestCompared(b)))}, func(text string) bool { return text == "" })
	return s
}

// learningCrewsSection sets the crews side by side in the order of their ids, where there are enough of them; there is no rank.
func learningCrewsSection(b *book.Book, points []book.RatePoint, scales draw.CurveScales) table.Section {
	s := table.Section{ID: "crews", Title: "Crew by crew, in the order of their ids", Picture: "crew-curves",
		Text: []string{words.Say(b.Units, "side by side", b.NamesCrews(), len(b.ComparedCrews()), len(b.CrewsWithFigures()))}}
	if len(b.ComparedCrews()) == 0 {
		s.Title = "All crews together"
	}
	list := LearningRows(b)
	for _, l := range list {
		if l.CrewID != rows.AllCrews && len(draw.CurveOf(b, l.CrewID)) > 0 {
			s.Figures = append(s.Figures, table.Figure{Title: words.Say(b.Units, "crew trend", b.CrewName(l.CrewID), &l),
				Drawing: draw.CrewCurve(b, l.CrewID, points, scales), IsSmall: true})
		}
	}
	s.Tables = []table.Table{learningTable(b, list, points)}
	return s
}

// LearningRows lists the rows of learning: `all`, then the crews that may be set side by side, by id.
func LearningRows(b *book.Book) []rows.Learning {
	list := slices.DeleteFunc(slices.Clone(b.Data.Learning),
		func(l rows.Learning) bool { return l.CrewID != rows.AllCrews && !b.IsCompared(l.CrewID) })
	return book.Sorted(list, func(x, y rows.Learning) int {
		if (x.CrewID == rows.AllCrews) != (y.CrewID == rows.AllCrews) {
			if x.CrewID == rows.AllCrews {
				return -1
			}
			return 1
		}
		return cmp.Compare(x.CrewID, y.CrewID)
	})
}

func learningTable(b *book.Book, list []rows.Learning, points []book.RatePoint) table.Table {
	crew := func(l rows.Learning) table.Cell {
		if l.CrewID == rows.AllCrews {
			return table.Cell{Text: "all crews"}
		}
		return crewCell(b, "", l.CrewID)
	}
	besides := map[string]beside{rows.AllCrews: besideOf(b, points)}
	for crewID, own := range book.Grouped(points, func(p book.RatePoint) string { return p.CrewID }) {
		besides[crewID] = besideOf(b, own)
	}
	return table.Filled(b, table.Table{ID: "learning-table", Caption: "The fit", Download: "learning.csv",
		Empty: "No {acetate} rate has been fitted.",
		Note:  "First storm and latest: in mean weather. Each interval is 90 %. Service is judged for all crews together only."},
		besideRates(b, func(l rows.Learning) beside { return besides[l.CrewID] }, []table.Column[rows.Learning]{
			table.Cells("Crew", crew).OfCrews(),
			table.Wholes("Storms", "", func(l rows.Learning) int64 { return l.Storms }),
			table.Wholes("Rates", "used", func(l rows.Learning) int64 { return l.Rows }),
			table.Wholes("Rates", "left out", func(l rows.Learning) int64 { return l.RowsLeftOut }),
			table.Numbers(b, "Storms before", "latest", table.Ones, func(l rows.Learning) *float64 { return l.PriorStormsLatest }),
			table.Numbers(b, "First storm", "lb per lane-mile", format.MassRate, func(l rows.Learning) *float64 { return l.StartRate }),
			table.Numbers(b, "Latest", "lb per lane-mile", format.MassRate, func(l rows.Learning) *float64 { return l.LatestRate }),
			table.SignedNumbers(b, "Change", "% per doubling", table.Tenths, func(l rows.Learning) *float64 { return l.ChangePct }),
			table.SignedNumbers(b, "from", "%", table.Tenths, func(l rows.Learning) *float64 { return l.ChangeLow90Pct }),
			table.SignedNumbers(b, "to", "%", table.Tenths, func(l rows.Learning) *float64 { return l.ChangeHigh90Pct }),
			table.Numbers(b, "Freedom", "degrees", table.Tenths, func(l rows.Learning) *float64 { return l.DF }),
			table.Prose("Verdict", func(l rows.Learning) string { return words.Say(b.Units, "verdict", l.Verdict, l.ServiceVerdict) }),
			table.Words("Service", func(l rows.Learning) string { return cmp.Or(l.ServiceVerdict, format.Missing) })}), list)
}

// fitsSection says how many rows each fit used, which it left out and why, and what it could not adjust for.
func fitsSection(b *book.Book) table.Section {
	s := table.Section{ID: "rows-used", Title: "Rows used and left out"}
	byFit := book.Grouped(book.Sorted(b.Data.LearningLeftOut,
		func(x, y rows.LearningLeftOut) int { return cmp.Compare(x.Reason, y.Reason) }),
		func(o rows.LearningLeftOut) string { return o.Fit })
	list := book.Sorted(b.Data.LearningFits, func(x, y rows.LearningFit) int { return cmp.Compare(fitOrder(x.Fit), fitOrder(y.Fit)) })
	for _, f := range list {
		s.Text = append(s.Text, words.Say(b.Units, "fit", f, byFit[f.Fit]))
	}
	state := func(f rows.LearningFit) string {
		if f.Reason != "" {
			return f.State + ": " + f.Reason
		}
		return f.State
	}
	s.Tables = []table.Table{table.Filled(b, table.Table{ID: "fits-table", Caption: "The fits", Empty: "No fit yet."},
		[]table.Column[rows.LearningFit]{
			table.Words("Fit", func(f rows.LearningFit) string { return format.Capital(words.Say(b.Units, "fit name", f.Fit)) }),
			table.Prose("State", state),
			table.Wholes("Given", "rows", func(f rows.LearningFit) int64 { return f.RowsGiven }),
			table.Wholes("Used", "rows", func(f rows.LearningFit) int64 { return f.RowsUsed }),
			table.Wholes("Storms", "", func(f rows.LearningFit) int64 { return f.Storms }),
			table.Prose("Not adjusted for", func(f rows.LearningFit) string { return listed(f.NotAdjusted) }),
			table.Prose("Constant in all rows", func(f rows.LearningFit) string { return listed(f.Constant) }),
			table.Prose("Not to be told apart", func(f rows.LearningFit) string { return listed(f.Dropped) }),
			table.Prose("Warnings", func(f rows.LearningFit) string { return listed(f.Warnings) }),
		}, list)}
	return s
}

func fitOrder(fit string) int {
	return slices.Index([]string{"curve", "corrected curve", "beside salt: rate", "beside salt: applications", "beside salt: pounds",
		"beside salt: hours"}, fit)
}

// listed writes a list that `;` separates.
func listed(list string) string {
	return cmp.Or(strings.ReplaceAll(list, ";", ", "), format.Missing)
}

// OutliersSection marks the rates that lie far from the fit, with the weather beside them.
func OutliersSection(b *book.Book) table.Section {
	list := slices.DeleteFunc(book.LatestFirst(b.Residuals()), func(r rows.LearningResidual) bool { return !r.IsOutlier })
	own := func(c table.Column[rows.LearningResidual]) table.Column[rows.LearningResidual] { // of one crew alone, where its route was
		shown := c.Cell
		c.Cell = func(r rows.LearningResidual) table.Cell {
			if !b.IsPublicRate(r.StormID, r.RouteID, r.CrewID) {
				return table.Cell{Text: words.Say(b.Units, "shared rate")}
			}
			return shown(r)
		}
		return c
	}
	road := func(r rows.LearningResidual) rows.StormRoute {
		return b.SolidsOf(r.StormID, r.RouteID, b.CompareClass())
	}
	storm := func(r rows.LearningResidual) rows.Storm { return b.StormIn(r.StormID, b.Routes[r.RouteID].ZoneID) }
	columns := slices.Concat([]table.Column[rows.LearningResidual]{
		table.StormColumn(b, "", func(r rows.LearningResidual) string { return r.StormID }),
		table.RouteColumn(b, "", func(r rows.LearningResidual) string { return r.RouteID }).AsProse(),
		own(table.Numbers(b, "Rate", "lb per lane-mile", format.MassRate, func(r rows.LearningResidual) *float64 { return r.Rate })),
		own(table.Numbers(b, "Fitted", "lb per lane-mile", format.MassRate, func(r rows.LearningResidual) *float64 { return r.Fitted })),
		own(table.SignedNumbers(b, "Away", "robust deviations", table.Tenths,
			func(r rows.LearningResidual) *float64 { return r.Deviations })),
	}, table.At(road, []table.Column[rows.StormRoute]{bareAfter(b)}),
		table.At(storm, slices.Concat([]table.Column[rows.Storm]{kindColumn()}, airColumns(b),
			[]table.Column[rows.Storm]{waterColumn(b), freezingRain(b), mostWind(b)})))
	shown := table.Filled(b, table.Table{ID: "outliers-table", Caption: "Rates marked for review, the latest storm first",
		Note: "The weather stands in storms.csv" +
			b.IfCrewStorms(", the rates in crew_storms.csv") + "; what the fit expected and the deviations are in no file."}, columns, list)
	return table.Section{ID: "review", Title: "For review", Text: []string{words.Say(b.Units, "outliers", len(list))},
		Tables: []table.Table{shown}}
}

// beside is what the roads and the pavement were in the storms of a set of rates: medians, and the share not bare within the cap.
type beside struct{ regainH, notBareShare, surfaceF *float64 }

func besideOf(b *book.Book, points []book.RatePoint) beside {
	var regainH, surfaceF []float64
	notBare := 0
	for _, p := range points {
		if row := b.SolidsOf(p.StormID, p.RouteID, b.CompareClass()); row.CappedRegainH != nil && row.IsBareInCap != nil {
			regainH = append(regainH, *row.CappedRegainH)
			if !*row.IsBareInCap {
				notBare++
			}
		}
		if storm := b.StormIn(p.StormID, b.Routes[p.RouteID].ZoneID); storm.SurfaceFMin != nil {
			surfaceF = append(surfaceF, *storm.SurfaceFMin)
		}
	}
	return beside{Median(regainH), rows.RatioOf(float64(notBare), float64(len(regainH))), Median(surfaceF)}
}

// besideRates are the columns of beside, behind those of the rates.
func besideRates[T any](b *book.Book, get func(T) beside, columns []table.Column[T]) []table.Column[T] {
	return append(columns, table.Numbers(b, "Bare lane after", "h, capped at {cap}, median", table.Tenths,
		func(row T) *float64 { return get(row).regainH }),
		table.Shares(b, "Not bare", "% of those reported", func(row T) *float64 { return get(row).notBareShare }),
		table.Numbers(b, "Lowest pavement", "°F, median", format.Temperature, func(row T) *float64 { return get(row).surfaceF }))
}
