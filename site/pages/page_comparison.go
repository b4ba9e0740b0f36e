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

// ComparisonRows are a season's storms by zone, in the storms' order.
func ComparisonRows(b *book.Book, season string) []rows.Comparison {
	list := book.Where(b.Data.Comparison, func(row rows.Comparison) bool { return row.Season == season && row.StormID != "" })
	return book.Sorted(list, func(x, y rows.Comparison) int {
		return cmp.Or(b.CompareStorms(x.StormID, y.StormID), cmp.Compare(x.ZoneID, y.ZoneID))
	})
}

// ComparisonPage answers whether acetate routes got about the same pounds as chloride routes, with the roads beside it.
func ComparisonPage(b *book.Book) table.Page {
	latest := latestCompared(b)
	p := table.Page{Title: "Comparison", Nav: "comparison",
		Lead: comparedSentence(b, latest)}
	for _, season := range slices.Backward(comparedSeasons(b)) {
		p.Sections = append(p.Sections, comparedSection(b, season, season == latest))
	}
	if len(p.Sections) == 0 {
		p.Sections = append(p.Sections, table.Section{ID: "season", Title: "Storm by storm", Picture: "comparison-picture",
			Figures: []table.Figure{{Drawing: draw.StateDrawing("no storm compared yet")}}})
	}
	p.Sections = append(p.Sections, usedSection(b))
	for _, season := range slices.Backward(comparedSeasons(b)) {
		p.Sections = append(p.Sections, pairsSection(b, season))
	}
	if len(b.Data.Plans) > 0 {
		p.Sections = append(p.Sections, planSection(b))
	}
	return p
}

func comparedSentence(b *book.Book, season string) string {
	return words.Say(b.Units, "comparison", b.ComparisonOf(season), b.RoadsOf(season), b.Setting("compare_min_storms"),
		b.Setting("same_margin"), b.IsSeasonOpen(season), b.Through())
}

// planSection says what it takes to tell how pounds compare, by design.
func planSection(b *book.Book) table.Section {
	list := b.Data.Plans
	note := words.Say(b.Units, "plan note", list[0], strings.ReplaceAll(list[0].Assumed, "_", " "))
	shown := table.Filled(b, table.Place{ID: "plans-table", Note: note}, list, table.Own[rows.Plan]{
		"to_tell": func(p rows.Plan) any { return format.Tick(100 * p.Margin) }})
	return table.Section{ID: "plan", Title: "What it takes to tell", Text: []string{words.Say(b.Units, "plans",
		book.Where(list, func(p rows.Plan) bool { return p.Design == rows.OneWinterBefore }), len(b.Data.RouteSwitches) > 0, rows.PlanLimit,
		100*rows.PlanChanceShare)},
		Tables: []table.Table{shown}}
}

// comparedSeasons are the seasons with a row of comparison, oldest first.
func comparedSeasons(b *book.Book) []string {
	return book.Where(b.Seasons, func(season string) bool { return b.ComparisonOf(season) != nil })
}

func latestCompared(b *book.Book) string {
	if seasons := comparedSeasons(b); len(seasons) > 0 {
		return seasons[len(seasons)-1]
	}
	return b.LatestSeason()
}

func comparedSection(b *book.Book, season string, isLatest bool) table.Section {
	c := b.ComparisonOf(season)
	s := table.Section{ID: "season-" + format.FileName(season),
		Title:   season + ": " + words.Lowered(words.Say(b.Units, "comparison title", c)),
		Picture: "comparison-picture"}
	if !isLatest {
		s.Text = append(s.Text, comparedSentence(b, season))
	}
	roads, ac, cl := b.RoadsOf(season), b.CountClass(season, b.CompareClass()).Season, b.CountClass(season, b.BesideClass()).Season
	s.Text = append(s.Text, words.Say(b.Units, "pounds caution"), words.Say(b.Units, "probable", roads, b.Setting("same_margin"),
		b.IsSeasonOpen(season)),
		words.Say(b.Units, "pounds basis", roads, ac, cl),
		words.Say(b.Units, "typical", c), words.Say(b.Units, "left out", c), words.Say(b.Units, "kept off", wholeSeason(b, season)))
	s.Text = slices.DeleteFunc(s.Text, func(text string) bool { return text == "" })
	if isLatest && len(b.Data.RouteSwitches) > 0 {
		s.Text = append(s.Text, words.Say(b.Units, "switches", b.Data.RouteSwitches))
	}
	list := ComparisonRows(b, season)
	if c.Verdict == rows.TooEarly {
		few := words.Say(b.Units, "too few", c.Storms, b.Setting("compare_min_storms"), "storms")
		s.Figures = []table.Figure{{Drawing: draw.StateDrawing(few)}}
	}
	if slices.ContainsFunc(list, func(r rows.Comparison) bool { return rows.OrZero(r.AcetateStormLb)+rows.OrZero(r.ChlorideStormLb) > 0 }) {
		caption := words.Say(b.Units, "pairs caption", strings.Join(words.Notes(draw.ComparisonOrders(b, list)), " "))
		s.Figures = append(s.Figures, table.Figure{Drawing: draw.ComparisonFigure(b, season, list), IsWide: true, Caption: caption})
	}
	s.Tables = []table.Table{measuresTable(b, season, c)}
	s.Links = []table.Cell{table.Link("Every storm of "+season+" in numbers", "#pairs-"+format.FileName(season))}
	return s
}

// measuresTable sets every measure of a season side by side, roads first. What the routes got has no verdict; of the material are the
// ratios that the fits tell apart from how routes, storms and crews differ.
func measuresTable(b *book.Book, season string, c *rows.Comparison) table.Table {
	type measured struct{ Name, Acetate, Chloride, Ratio, Low, High, Verdict string }
	const none = format.Missing
	written := func(write func(*float64) string, list ...*float64) [3]string {
		texts := [3]string{none, none, none}
		for i, x := range list {
			texts[i] = write(x)
		}
		return texts
	}
	ratios := func(list ...*float64) [3]string { return written(format.Ratios, list...) }
	points := func(share *float64) string { return format.SignedTenth(format.Hundredfold(share)) }
	got := func(name, acetate, chloride string, ratio [3]string, verdict string) measured {
		return measured{b.UnitWords(name), acetate, chloride, ratio[0], ratio[1], ratio[2], verdict}
	}
	roads := "roads: " + cmp.Or(c.RegainVerdict, none)
	ofMaterial := func(name, question, contrast string, verdicts ...string) measured {
		row := b.BesideSaltOf(season, question, contrast)
		return got(name, none, none, ratios(row.Ratio, row.Low90, row.High90), strings.Join(append(verdicts, roads), "; "))
	}
	list := []measured{
		got("Bare lane after, h, capped at {cap}", format.Hours(c.AcetateRegainH), format.Hours(c.ChlorideRegainH),
			written(format.SignedTenth, c.RegainDiffH, c.RegainLow90H, c.RegainHigh90H), none),
		ofMaterial("1 + hours to bare lane, of the material", rows.QuestionHours, rows.ContrastSeason),
		got("Not bare within {cap}, % of route-storms with reports, since {acetate} began", format.Percent(c.AcetateNotBareShare),
			format.Percent(c.ChlorideNotBareShare), written(points, c.NotBareDiff, c.NotBareLow90, c.NotBareHigh90), roads),
		got("Pounds per lane-mile of route, a storm", b.Rate(c.AcetateStormLb), b.Rate(c.ChlorideStormLb),
			ratios(c.TotalRatio, c.Low90, c.High90), none),
		ofMaterial("Pounds, of the material", rows.QuestionPounds, rows.ContrastSeason, cmp.Or(c.Verdict, none)),
		ofMaterial("Pounds, of the material, at the latest experience", rows.QuestionPounds, rows.ContrastLatest,
			cmp.Or(c.PathVerdict, none)),
		got("Applications a storm", format.Applications(c.AcetateApplications), format.Applications(c.ChlorideApplications),
			ratios(c.ApplicationsRatio, c.ApplicationsLow90, c.ApplicationsHigh90), none),
		ofMaterial("Applications, of the material", rows.QuestionApplications, rows.ContrastSeason, cmp.Or(c.ApplicationsVerdict, none)),
		got("Pounds per treated lane-mile", b.Rate(c.AcetateRate), b.Rate(c.ChlorideRate), ratios(c.RateRatio), none),
		got("Cost per lane-mile of route, USD", b.Write(format.LaneMilePrice, c.AcetateCostUsd),
			b.Write(format.LaneMilePrice, c.ChlorideCostUsd), ratios(c.CostRatio), none),
		got("Chloride kept off by all {acetate} routes, lb", b.Pounds(wholeSeason(b, season).KeptOffLb), none, ratios(), none)}
	return table.Filled[measured](b, table.Place{ID: "measures-" + format.FileName(season),
		Names: []any{words.Say(b.Units, "compared routes", c), season}}, list, nil)
}

// pairsSection holds every storm and zone of a season's comparison.
func pairsSection(b *book.Book, season string) table.Section {
	id := format.FileName(season)
	shown := table.Filled(b, table.Place{ID: "pairs-table-" + id, Names: []any{season}}, ComparisonRows(b, season),
		table.Own[rows.Comparison]{"left_out": leftOut,
			"storm": func(r rows.Comparison) any { return b.StormIn(r.StormID, r.ZoneID) }})
	return table.Section{ID: "pairs-" + id, Title: "Storm by storm, " + season, Tables: []table.Table{shown}}
}

// usedSection shows which rates were used, by material, pavement and kind of storm, with the roads beside them.
func usedSection(b *book.Book) table.Section {
	shown := table.Filled(b, table.Place{ID: "used-table", Note: words.Say(b.Units, "handbook")}, b.Data.UsedRates,
		table.Own[rows.UsedRate]{
			"material": func(r rows.UsedRate) any {
				return table.Cell{Text: r.MaterialID + ", " + r.Form, Class: r.MaterialClass}
			},
			"pavement": func(r rows.UsedRate) any { return words.Say(b.Units, "band", r.FromF, r.ToF) },
			"band":     func(r rows.UsedRate) any { return words.OrNone(r.BandNo) },
			"handbook": func(r rows.UsedRate) any { return handbook(b, r) }})
	return table.Section{ID: "used", Title: "What was used", Tables: []table.Table{shown}, Text: []string{b.UnitWords(
		"Quartiles of each route's rate in a storm and band of pavement temperature, liquids as dry pounds. " +
			"They describe the past and set no rate.")}}
}

// handbook writes the published rates for salt, which stand beside solid chloride only.
func handbook(b *book.Book, r rows.UsedRate) string {
	if r.MaterialClass != rows.Chloride || r.HandbookFirstHigh == nil || r.HandbookFollowingHigh == nil {
		return format.Missing
	}
	return b.Rate(r.HandbookFirstLow) + "–" + b.Rate(r.HandbookFirstHigh) + " / " + b.Rate(r.HandbookFollowingLow) + "–" +
		b.Rate(r.HandbookFollowingHigh)
}

// leftOut counts the routes that a storm's comparison leaves out.
func leftOut(r rows.Comparison) any {
	var parts []string
	for _, out := range []struct {
		n    *int64
		what string
	}{{r.MixedRoutes, "mixed"}, {r.UnmeasuredRoutes, "unmeasured"}, {r.NoRecordRoutes, "no record"}} {
		if words.OrNone(out.n) > 0 {
			parts = append(parts, format.Count(out.n)+" "+out.what)
		}
	}
	return strings.Join(parts, ", ")
}
