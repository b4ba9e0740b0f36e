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
	return new((values[(len(values)-1)/2] + values[len(values)/2]) / 2)
}

// curveTable holds the common curve at whole doublings and at the latest experience.
func curveTable(b *book.Book, points []book.RatePoint) table.Table {
	type row struct {
		rows.LearningCurve
		Rates int
		beside
	}
	var list []row
	curve := draw.CurveOf(b, rows.AllCrews)
	for i, p := range curve {
		if slices.Contains(draw.ExperienceTicks, p.PriorStorms) || i == len(curve)-1 {
			upTo := book.Where(points, func(rate book.RatePoint) bool { return rate.Prior <= p.PriorStorms })
			list = append(list, row{p, len(upTo), besideOf(b, upTo)})
		}
	}
	note := "The curve is the fit's own and in no file" +
		b.IfCrewStorms("; its rates are the rows of crew_storms.csv that the learning fit used") + "."
	return table.Filled[row](b, table.Place{ID: "curve-table", Note: note}, list, nil)
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
	all := book.Where(b.Data.Learning, func(l rows.Learning) bool { return l.CrewID == rows.AllCrews })
	crews := book.Where(b.Data.Learning, func(l rows.Learning) bool { return l.CrewID != rows.AllCrews && b.IsCompared(l.CrewID) })
	return append(all, book.Sorted(crews, func(x, y rows.Learning) int { return cmp.Compare(x.CrewID, y.CrewID) })...)
}

func learningTable(b *book.Book, list []rows.Learning, points []book.RatePoint) table.Table {
	besides := map[string]beside{rows.AllCrews: besideOf(b, points)}
	for crewID, own := range book.Grouped(points, func(p book.RatePoint) string { return p.CrewID }) {
		besides[crewID] = besideOf(b, own)
	}
	return table.Filled(b, table.Place{ID: "learning-table"}, list, table.Own[rows.Learning]{
		"crew": func(l rows.Learning) any {
			if l.CrewID == rows.AllCrews {
				return "all crews"
			}
			return crewCell(b, "", l.CrewID)
		},
		"verdict": func(l rows.Learning) any { return words.Say(b.Units, "verdict", l.Verdict, l.ServiceVerdict) },
		"beside":  func(l rows.Learning) any { return besides[l.CrewID] }})
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
	s.Tables = []table.Table{table.Filled(b, table.Place{ID: "fits-table"}, list, table.Own[rows.LearningFit]{
		"fit": func(f rows.LearningFit) any { return format.Capital(words.Say(b.Units, "fit name", f.Fit)) },
		"state": func(f rows.LearningFit) any {
			if f.Reason != "" {
				return f.State + ": " + f.Reason
			}
			return f.State
		},
		"not_adjusted_for":     func(f rows.LearningFit) any { return listed(f.NotAdjusted) },
		"constant":             func(f rows.LearningFit) any { return listed(f.Constant) },
		"cannot_be_told_apart": func(f rows.LearningFit) any { return listed(f.Dropped) },
		"warnings":             func(f rows.LearningFit) any { return listed(f.Warnings) }})}
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
	list := book.Where(book.LatestFirst(b.Residuals()), func(r rows.LearningResidual) bool { return r.IsOutlier })
	own := func(value func(rows.LearningResidual) *float64) func(rows.LearningResidual) any { // of one crew alone, where its route was
		return func(r rows.LearningResidual) any {
			if !b.IsPublicRate(r.StormID, r.RouteID, r.CrewID) { // nor may the rows' order tell it
				return table.Shown{Text: words.Say(b.Units, "shared rate"), By: (*float64)(nil)}
			}
			return value(r)
		}
	}
	shown := table.Filled(b, table.Place{ID: "outliers-table", Note: "The weather stands in storms.csv" +
		b.IfCrewStorms(", the rates in crew_storms.csv") + "; what the fit expected and the deviations are in no file."}, list,
		table.Own[rows.LearningResidual]{
			"rate":       own(func(r rows.LearningResidual) *float64 { return r.Rate }),
			"fitted":     own(func(r rows.LearningResidual) *float64 { return r.Fitted }),
			"deviations": own(func(r rows.LearningResidual) *float64 { return r.Deviations }),
			"road":       func(r rows.LearningResidual) any { return b.SolidsOf(r.StormID, r.RouteID, b.CompareClass()) },
			"storm":      func(r rows.LearningResidual) any { return b.StormIn(r.StormID, b.Routes[r.RouteID].ZoneID) }})
	return table.Section{ID: "review", Title: "For review", Text: []string{words.Say(b.Units, "outliers", len(list))},
		Tables: []table.Table{shown}}
}

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

// beside is what the roads and the pavement were in the storms of a set of rates: medians, and the share not bare within the cap.
type beside struct{ RegainH, NotBareShare, SurfaceF *float64 }
