package site

import (
	"cmp"
	"slices"
	"strings"

	"lanetally/pipeline/rows"
)

// comparisonRows are a season's storms by zone, in the storms' order.
func (b *book) comparisonRows(season string) []Comparison {
	var rows []Comparison
	for _, row := range b.data.Comparison {
		if row.Season == season && row.StormID != "" {
			rows = append(rows, row)
		}
	}
	return sorted(rows, func(x, y Comparison) int {
		return cmp.Or(b.began(x.StormID).Compare(b.began(y.StormID)), cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.ZoneID, y.ZoneID))
	})
}

// comparisonPage answers whether acetate routes got about the same pounds as chloride routes, with the roads beside it.
func (b *book) comparisonPage() page {
	latest := b.latestCompared()
	p := page{Title: "Comparison", Nav: "comparison",
		Lead: comparisonSentence(b.units, b.comparisonOf(latest), b.setting("compare_min_storms"), b.isSeasonOpen(latest), b.through())}
	for _, season := range slices.Backward(b.comparedSeasons()) {
		p.Sections = append(p.Sections, b.comparedSection(season, season == latest))
	}
	if len(p.Sections) == 0 {
		p.Sections = append(p.Sections, Section{ID: "season", Title: "Storm by storm", Picture: "comparison-picture", Figures: []Figure{{Drawing: stateDrawing("no storm compared yet")}}})
	}
	p.Sections = append(p.Sections, b.usedSection())
	for _, season := range slices.Backward(b.comparedSeasons()) {
		p.Sections = append(p.Sections, b.pairsSection(season))
	}
	return p
}

// comparedSeasons are the seasons with a row of comparison, oldest first.
func (b *book) comparedSeasons() []string {
	var seasons []string
	for _, season := range b.seasons {
		if b.comparisonOf(season) != nil {
			seasons = append(seasons, season)
		}
	}
	return seasons
}

func (b *book) latestCompared() string {
	if seasons := b.comparedSeasons(); len(seasons) > 0 {
		return seasons[len(seasons)-1]
	}
	return b.latestSeason()
}

func (b *book) comparedSection(season string, isLatest bool) Section {
	c := b.comparisonOf(season)
	s := Section{ID: "season-" + FileName(season), Title: season + ": " + lowered(comparisonTitle(b.units, c)), Picture: "comparison-picture"}
	if !isLatest {
		s.Text = append(s.Text, comparisonSentence(b.units, c, b.setting("compare_min_storms"), b.isSeasonOpen(season), b.through()))
	}
	s.Text = append(s.Text, b.unitWords(poundsCaution), typicalSentence(b.units, c), adjustedSentence(b.units, c, b.setting("same_margin")), leftOutSentence(b.units, c), chlorideSentence(b.units, b.wholeSeason(season)))
	list := b.comparisonRows(season)
	if c.Verdict == rows.TooEarly {
		s.Figures = []Figure{{Drawing: stateDrawing(tooFewWords(c.Storms, b.setting("compare_min_storms"), "storms"))}}
	}
	if slices.ContainsFunc(list, func(r Comparison) bool { return orZero(r.AcetateStormLb)+orZero(r.ChlorideStormLb) > 0 }) {
		caption := pairsCaption(b.units, strings.Join(b.notes(b.comparisonOrders(list)), " "))
		s.Figures = append(s.Figures, Figure{Drawing: b.comparisonFigure(season, list), IsWide: true, Caption: caption})
	}
	s.Tables = []Table{b.measuresTable(season, c)}
	s.Links = []Cell{link("Every storm of "+season+" in numbers", "#pairs-"+FileName(season))}
	return s
}

// measuresTable sets every measure of a season side by side, roads first.
func (b *book) measuresTable(season string, c *Comparison) Table {
	type measured struct{ name, acetate, chloride, ratio, low, high, verdict string }
	rows := []measured{
		{"Bare lane after, h", hours(c.AcetateRegainH), hours(c.ChlorideRegainH), signedTenth(c.RegainDiffH), signedTenth(c.RegainLow90H),
			signedTenth(c.RegainHigh90H), "roads: " + cmp.Or(c.RegainVerdict, missing)},
		{b.unitWords("Pounds per lane-mile of route, a storm"), b.rate(c.AcetateStormLb), b.rate(c.ChlorideStormLb), ratios(c.TotalRatio),
			ratios(c.Low90),
			ratios(c.High90), cmp.Or(c.Verdict, missing) + "; roads: " + cmp.Or(c.RegainVerdict, missing)},
		{"Applications a storm", applications(c.AcetateApplications), applications(c.ChlorideApplications), ratios(c.ApplicationsRatio),
			ratios(c.ApplicationsLow90), ratios(c.ApplicationsHigh90), cmp.Or(c.ApplicationsVerdict, missing)},
		{b.unitWords("Pounds per treated lane-mile"), b.rate(c.AcetateRate), b.rate(c.ChlorideRate), ratios(c.RateRatio), missing, missing,
			missing},
		{b.unitWords("Cost per lane-mile of route, USD"), b.write(laneMilePrice, c.AcetateCostUsd),
			b.write(laneMilePrice, c.ChlorideCostUsd),
			ratios(c.CostRatio), missing, missing, missing},
		{b.unitWords("Chloride kept off by all {acetate} routes, lb"), b.pounds(b.wholeSeason(season).KeptOffLb),
			missing, missing, missing, missing, missing}}
	return filled(b, Table{ID: "measures-" + FileName(season), Caption: routesWords(b.units, c) + ", " + season, Download: "comparison.csv",
		Note: "Each over the storms and zones with routes of both classes, as sums. Ratio: {acetate} over {chloride}; " +
			"for bare lane the difference in hours. Intervals are 90 %, for ratios approximate."}, []Column[measured]{
		words("Measure", func(m measured) string { return m.name }),
		flushRight("{Acetate} routes", "", func(m measured) string { return m.acetate }),
		flushRight("{Chloride} routes", "", func(m measured) string { return m.chloride }),
		flushRight("Ratio", "or difference", func(m measured) string { return m.ratio }),
		flushRight("from", "", func(m measured) string { return m.low }), flushRight("to", "", func(m measured) string { return m.high }),
		words("Verdict", func(m measured) string { return m.verdict }),
	}, rows)
}

// pairsSection holds every storm and zone of a season's comparison.
func (b *book) pairsSection(season string) Section {
	id, stormOf := FileName(season), func(r Comparison) string { return r.StormID }
	table := filled(b, Table{ID: "pairs-table-" + id,
		Caption:  b.unitWords("{Acetate} beside {chloride} routes in every storm of ") + season + ", by zone",
		Download: "comparison.csv", Empty: "No storm yet."}, []Column[Comparison]{
		stormColumn(b, "", stormOf), zoneColumn(b, func(r Comparison) string { return r.ZoneID }),
		numbers(b, "{Acetate}", "lb per lane-mile of route", massRate, func(r Comparison) *float64 { return r.AcetateStormLb }),
		numbers(b, "{Chloride}", "lb per lane-mile of route", massRate, func(r Comparison) *float64 { return r.ChlorideStormLb }),
		numbers(b, "Ratio", "of pounds", hundredths, func(r Comparison) *float64 { return r.StormRatio }),
		numbers(b, "{Acetate} rate", "lb per lane-mile", massRate, func(r Comparison) *float64 { return r.AcetateRate }),
		numbers(b, "{Chloride} rate", "lb per lane-mile", massRate, func(r Comparison) *float64 { return r.ChlorideRate }),
		numbers(b, "{Acetate} applications", "", hundredths, func(r Comparison) *float64 { return r.AcetateApplications }),
		numbers(b, "{Chloride} applications", "", hundredths, func(r Comparison) *float64 { return r.ChlorideApplications }),
		numbers(b, "{Acetate} bare after", "h", tenths, func(r Comparison) *float64 { return r.AcetateRegainH }),
		numbers(b, "{Chloride} bare after", "h", tenths, func(r Comparison) *float64 { return r.ChlorideRegainH }),
		at(func(r Comparison) Storm { return b.stormIn(r.StormID, r.ZoneID) }, b.airColumns())[0],
		counts("{Acetate} routes", "", func(r Comparison) *int64 { return r.AcetateRoutes }),
		counts("{Chloride} routes", "", func(r Comparison) *int64 { return r.ChlorideRoutes }),
		prose("Left out", leftOutCell),
	}, b.comparisonRows(season), partedBy(stormOf))
	return Section{ID: "pairs-" + id, Title: "Storm by storm, " + season, Tables: []Table{table}}
}

func leftOutCell(r Comparison) string {
	var parts []string
	for _, out := range []struct {
		n    *int64
		what string
	}{{r.MixedRoutes, "mixed"}, {r.UnmeasuredRoutes, "unmeasured"}, {r.NoRecordRoutes, "no record"}} {
		if orNone(out.n) > 0 {
			parts = append(parts, count(out.n)+" "+out.what)
		}
	}
	return cmp.Or(strings.Join(parts, ", "), missing)
}

// usedSection shows which rates were used, by material, pavement and kind of storm, with the roads beside them.
func (b *book) usedSection() Section {
	list := sorted(b.data.UsedRates, func(x, y UsedRate) int {
		return cmp.Or(cmp.Compare(y.Form, x.Form), cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(x.MaterialID, y.MaterialID),
			compareOptional(x.BandNo, y.BandNo), cmp.Compare(x.StormKind, y.StormKind))
	})
	type band struct {
		materialID string
		no         int64
	}
	table := filled(b, Table{ID: "used-table",
		Caption: "Rates used in closed storms, all seasons, by material, pavement temperature and kind of storm",
		Note:    handbookNote(b.units), Empty: "No measured pass in a closed storm yet."}, []Column[UsedRate]{
		cells("Material", func(r UsedRate) Cell { return Cell{Text: r.MaterialID + ", " + r.Form, Class: r.MaterialClass} }).picked(),
		words("Pavement", func(r UsedRate) string { return bandWords(b.units, r.FromF, r.ToF) }),
		words("Storm", func(r UsedRate) string { return r.StormKind }),
		numbers(b, "Lower quarter", "lb per lane-mile", massRate, func(r UsedRate) *float64 { return r.LowRate }),
		numbers(b, "Middle", "lb per lane-mile", massRate, func(r UsedRate) *float64 { return r.MedianRate }),
		numbers(b, "Upper quarter", "lb per lane-mile", massRate, func(r UsedRate) *float64 { return r.HighRate }),
		numbers(b, "Bare lane after", "h, median", tenths, func(r UsedRate) *float64 { return r.RegainH }),
		counts("Not bare", "route-storms", func(r UsedRate) *int64 { return r.NotBareRoutes }),
		counts("Storms", "", func(r UsedRate) *int64 { return r.Storms }),
		counts("Route-storms", "", func(r UsedRate) *int64 { return r.RouteStorms }),
		words("Salt handbook, first and following", func(r UsedRate) string { return b.handbook(r) }),
		prose("Caution", func(r UsedRate) string { return cmp.Or(r.Caution, missing) }),
	}, list, partedBy(func(r UsedRate) band { return band{r.MaterialID, orNone(r.BandNo)} }))
	return Section{ID: "used", Title: "What was used", Tables: []Table{table}, Text: []string{b.unitWords(
		"Quartiles of each route's rate in a storm and band of pavement temperature, liquids as dry pounds. " +
			"They describe the past and set no rate.")}}
}

// handbook writes the published rates for salt, which stand beside solid chloride only.
func (b *book) handbook(r UsedRate) string {
	if r.MaterialClass != chloride || r.HandbookFirstHigh == nil || r.HandbookFollowingHigh == nil {
		return missing
	}
	return b.rate(r.HandbookFirstLow) + "–" + b.rate(r.HandbookFirstHigh) + " / " + b.rate(r.HandbookFollowingLow) + "–" + b.rate(r.HandbookFollowingHigh)
}
