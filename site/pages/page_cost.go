package pages

import (
	"cmp"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// latestCosted is the latest season with costs or a budget.
func latestCosted(b *book.Book) string {
	latest := ""
	for _, c := range b.Data.SeasonCosts {
		if c.Usd != nil && c.Passes > 0 {
			latest = max(latest, c.Season)
		}
	}
	return cmp.Or(latest, b.LatestSeason())
}

// CostPage answers what the season's material cost, beside the budget, and what stayed out of the water.
func CostPage(b *book.Book) table.Page {
	season := latestCosted(b)
	p := table.Page{Title: "Cost and water", Nav: "cost",
		Lead: words.CostSentence(b.Units, season, seasonCosts(b, season), wholeSeason(b, season), b.Through())}
	p.Sections = append(p.Sections, budgetSection(b), breakEvenSection(b), damageSection(b), waterSection(b), talkSection(b, season),
		stormCostSection(b, season), routeCostSection(b, season), stormWaterSection(b, season))
	return p
}

// wholeSeason is the season's row of whole_seasons, empty without one.
func wholeSeason(b *book.Book, season string) rows.WholeSeason {
	of := book.Where(b.Data.WholeSeasons, func(w rows.WholeSeason) bool { return w.Season == season })
	return append(of, rows.WholeSeason{Season: season})[0]
}

// seasonCosts are a season's rows of season_costs, by class.
func seasonCosts(b *book.Book, season string) []rows.SeasonCost {
	list := book.Where(b.Data.SeasonCosts, func(c rows.SeasonCost) bool { return c.Season == season })
	return book.Sorted(list, func(x, y rows.SeasonCost) int { return cmp.Compare(x.MaterialClass, y.MaterialClass) })
}

func budgetSection(b *book.Book) table.Section {
	shown := table.Filled(b, table.Place{ID: "season-costs-table"}, b.Data.SeasonCosts, table.Own[rows.SeasonCost]{
		"prices": func(c rows.SeasonCost) any { return pricesFrom(c.FirstPriceDate, c.LastPriceDate) }})
	return table.Section{ID: "budget", Title: "Season against budget",
		Tables: []table.Table{shown, table.Filled[rows.Price](b, table.Place{ID: "prices-table"}, b.Data.Prices, nil)}}
}

func breakEvenSection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.BreakEven, func(x, y rows.BreakEven) int { return cmp.Compare(y.Season, x.Season) })
	var text []string
	if len(list) > 0 {
		text = []string{words.Say(b.Units, "break even", list[0])}
	}
	shown := table.Filled(b, table.Place{ID: "break-even-table"}, list, table.Own[rows.BreakEven]{
		"acetate_prices":  func(r rows.BreakEven) any { return pricesFrom(r.AcetateFirstPriceDate, r.AcetateLastPriceDate) },
		"chloride_prices": func(r rows.BreakEven) any { return pricesFrom(r.ChlorideFirstPriceDate, r.ChlorideLastPriceDate) }})
	return table.Section{ID: "break-even", Title: "Break-even price", Text: text, Tables: []table.Table{shown}}
}

// stormCostSection shows what each class cost in each storm of a season, the latest first.
func stormCostSection(b *book.Book, season string) table.Section {
	list := book.Sorted(costsOf(b, "storm", season), func(x, y rows.CostSum) int {
		return cmp.Or(b.Began(y.StormID).Compare(b.Began(x.StormID)), cmp.Compare(x.StormID, y.StormID),
			cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	shown := table.Filled(b, table.Place{ID: "storm-costs-table", Names: []any{season}}, list, table.Own[rows.CostSum]{
		"road": func(c rows.CostSum) any { return b.StormTally(season, c.StormID, c.MaterialClass) }})
	return table.Section{ID: "storm-costs", Title: "Storm by storm", Tables: []table.Table{shown}}
}

// routeCostSection shows what each class cost on each route in a season.
func routeCostSection(b *book.Book, season string) table.Section {
	shown := table.Filled(b, table.Place{ID: "route-costs-table", Names: []any{season}}, costsOf(b, "route", season),
		table.Own[rows.CostSum]{"road": func(c rows.CostSum) any { return b.RouteTally(c.RouteID, season, c.MaterialClass) }})
	return table.Section{ID: "route-costs", Title: "Route by route", Tables: []table.Table{shown}}
}

// damageSection shows the district's own assumptions apart; without any it says so.
func damageSection(b *book.Book) table.Section {
	shown := table.Filled[rows.DamageAssumption](b, table.Place{ID: "damage-table"}, b.Data.DamageAssumptions, nil)
	s := table.Section{ID: "damage", Title: "Damage: assumptions, kept apart", Tables: []table.Table{shown}}
	if len(shown.Rows) > 0 {
		s.Tone, s.Text = "warn", []string{words.Say(b.Units, "damage caution")}
	}
	return s
}

// pricesFrom are the days from which the first and the last price used were in force; it sorts by the first.
func pricesFrom(first, last *time.Time) table.Shown {
	switch {
	case first == nil || last == nil:
		return table.Shown{Text: format.Missing, By: (*time.Time)(nil)}
	case first.Equal(*last):
		return table.Shown{Text: format.Date(*first), By: first}
	}
	return table.Shown{Text: format.Date(*first) + " and later, last " + format.Date(*last), By: first}
}

// costsOf are the rows of one part of cost_sums in a season.
func costsOf(b *book.Book, part, season string) []rows.CostSum {
	return book.Where(b.Data.CostSums, func(c rows.CostSum) bool { return c.Part == part && c.Season == season })
}
