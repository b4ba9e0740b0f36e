package pages

import (
	"cmp"
	"slices"
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
	if i := slices.IndexFunc(b.Data.WholeSeasons, func(w rows.WholeSeason) bool { return w.Season == season }); i >= 0 {
		return b.Data.WholeSeasons[i]
	}
	return rows.WholeSeason{Season: season}
}

// seasonCosts are a season's rows of season_costs, by class.
func seasonCosts(b *book.Book, season string) []rows.SeasonCost {
	list := slices.DeleteFunc(slices.Clone(b.Data.SeasonCosts), func(c rows.SeasonCost) bool { return c.Season != season })
	return book.Sorted(list, func(x, y rows.SeasonCost) int { return cmp.Compare(x.MaterialClass, y.MaterialClass) })
}

func budgetSection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.SeasonCosts, func(x, y rows.SeasonCost) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	seasonOf := func(c rows.SeasonCost) string { return c.Season }
	shown := table.Filled(b, table.Table{ID: "season-costs-table",
		Caption:  "What each class of material cost, by season, the latest first",
		Download: "season_costs.csv", Empty: "No treating pass has been priced yet.",
		Note: "Dollars include prewet. Per ton: without prewet. Prices from: the days from which the prices used were in force."},
		[]table.Column[rows.SeasonCost]{
			table.SeasonColumn(seasonOf), table.ClassColumn("", func(c rows.SeasonCost) string { return c.MaterialClass }),
			table.Numbers(b, "Cost", "USD", table.Ones, func(c rows.SeasonCost) *float64 { return c.Usd }),
			table.Numbers(b, "Per lane-mile", "USD, of the routes", format.LaneMilePrice,
				func(c rows.SeasonCost) *float64 { return c.UsdPerLaneMi }),
			table.Numbers(b, "Per lane-mile", "USD, treated", format.LaneMilePriceCents,
				func(c rows.SeasonCost) *float64 { return c.UsdPerTreatedLaneMi }),
			table.Numbers(b, "Per ton", "USD", format.TonPrice, func(c rows.SeasonCost) *float64 { return c.UsdPerTon }),
			table.Numbers(b, "Outside storms", "USD", table.Ones, func(c rows.SeasonCost) *float64 { return c.OutsideUsd }),
			table.Numbers(b, "Budget", "USD", table.Ones, func(c rows.SeasonCost) *float64 { return c.BudgetUsd }),
			table.Numbers(b, "Left", "USD", table.Ones, func(c rows.SeasonCost) *float64 { return c.BudgetLeftUsd }),
			table.Shares(b, "Used", "%", func(c rows.SeasonCost) *float64 { return c.BudgetShare }),
			table.Numbers(b, "Without price", "lb", format.Mass, func(c rows.SeasonCost) *float64 { return c.UnpricedLb }),
			priceColumn(func(c rows.SeasonCost) (first, last *time.Time) { return c.FirstPriceDate, c.LastPriceDate }),
		}, list, table.PartedBy(seasonOf))
	return table.Section{ID: "budget", Title: "Season against budget", Tables: []table.Table{shown, pricesTable(b)}}
}

// priceDates are the days from which the first and the last price used were in force.
func priceDates(first, last *time.Time) string {
	switch {
	case first == nil || last == nil:
		return format.Missing
	case first.Equal(*last):
		return format.Date(*first)
	}
	return format.Date(*first) + " and later, last " + format.Date(*last)
}

// priceColumn is a column of priceDates, which sorts by the first.
func priceColumn[T any](get func(T) (first, last *time.Time)) table.Column[T] {
	first := func(row T) *time.Time {
		first, last := get(row)
		if last == nil {
			return nil
		}
		return first
	}
	return table.Dates("Prices from", first).Showing(func(row T) string { return priceDates(get(row)) })
}

func pricesTable(b *book.Book) table.Table {
	list := book.Sorted(b.Data.Prices, func(x, y rows.Price) int {
		return cmp.Or(cmp.Compare(x.MaterialID, y.MaterialID), x.FromDate.Compare(y.FromDate))
	})
	return table.Filled(b, table.Table{ID: "prices-table", Caption: "Prices on file",
		Empty: "No price is on file, so nothing can be costed."},
		[]table.Column[rows.Price]{
			table.Words("Material", func(p rows.Price) string { return p.MaterialID }).Picked(),
			table.Dates("From", func(p rows.Price) *time.Time { return &p.FromDate }),
			table.Numbers(b, "Price", "USD per ton", format.TonPriceCents, func(p rows.Price) *float64 { return p.UsdPerTon })}, list)
}

func breakEvenSection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.BreakEven, func(x, y rows.BreakEven) int { return cmp.Compare(y.Season, x.Season) })
	shown := table.Filled(b, table.Table{ID: "break-even-table",
		Caption:  b.UnitWords("The {acetate} price at which {acetate} routes would have cost what {chloride} routes did"),
		Download: "break_even.csv", Empty: "No season has priced routes of both classes.",
		Note: "Per lane-mile of the routes compared: of one closed storm on average. Pounds at equal cost: " +
			"{acetate} pounds for one {chloride} pound that the two prices allow."}, []table.Column[rows.BreakEven]{
		table.SeasonColumn(func(r rows.BreakEven) string { return r.Season }),
		table.Wholes("Storms", "", func(r rows.BreakEven) int64 { return r.Storms }),
		table.Numbers(b, "{Acetate}", "USD per lane-mile", format.LaneMilePrice,
			func(r rows.BreakEven) *float64 { return r.AcetateUsdPerLaneMi }),
		table.Numbers(b, "{Chloride}", "USD per lane-mile", format.LaneMilePrice,
			func(r rows.BreakEven) *float64 { return r.ChlorideUsdPerLaneMi }),
		table.Numbers(b, "Cost ratio", "", table.Hundredths, func(r rows.BreakEven) *float64 { return r.CostRatio }),
		table.Numbers(b, "{Acetate} paid", "USD per ton", format.TonPrice, func(r rows.BreakEven) *float64 { return r.AcetateUsdPerTon }),
		priceColumn(func(r rows.BreakEven) (first, last *time.Time) {
			return r.AcetateFirstPriceDate, r.AcetateLastPriceDate
		}),
		table.Numbers(b, "{Chloride} paid", "USD per ton", format.TonPrice, func(r rows.BreakEven) *float64 { return r.ChlorideUsdPerTon }),
		priceColumn(func(r rows.BreakEven) (first, last *time.Time) {
			return r.ChlorideFirstPriceDate, r.ChlorideLastPriceDate
		}),
		table.Numbers(b, "Break-even", "USD per ton of {acetate}", format.TonPrice,
			func(r rows.BreakEven) *float64 { return r.BreakEvenUsdPerTon }),
		table.Numbers(b, "Break-even", "times the chloride price", table.Hundredths,
			func(r rows.BreakEven) *float64 { return r.BreakEvenPriceRatio }),
		table.Numbers(b, "Pounds at equal cost", "{acetate} per chloride", table.Hundredths,
			func(r rows.BreakEven) *float64 { return r.BreakEvenPoundRatio }),
	}, list)
	var text []string
	if len(list) > 0 {
		text = []string{words.Say(b.Units, "break even", list[0])}
	}
	return table.Section{ID: "break-even", Title: "Break-even price", Text: text, Tables: []table.Table{shown}}
}

// costColumns are what a class cost, with road state and temperature; head names its storm or route.
func costColumns(b *book.Book, head table.Column[costRow]) []table.Column[costRow] {
	return append([]table.Column[costRow]{head, table.ClassColumn("", func(r costRow) string { return r.MaterialClass }),
		table.Numbers(b, "Cost", "USD", table.Ones, func(r costRow) *float64 { return r.Usd }),
		table.Numbers(b, "Per lane-mile", "USD, of the routes", format.LaneMilePriceCents,
			func(r costRow) *float64 { return r.UsdPerLaneMi }),
		table.Numbers(b, "Per lane-mile", "USD, treated", format.LaneMilePriceCents,
			func(r costRow) *float64 { return r.UsdPerTreatedLaneMi })},
		table.At(func(r costRow) rows.Tally { return r.road }, besideColumns(b))...)
}

// costRow is what a class cost in a storm or on a route, with the road beside it.
type costRow struct {
	rows.CostSum
	road rows.Tally
}

// costRows are the rows of one part of cost_sums in a season.
func costRows(b *book.Book, part, season string, road func(rows.CostSum) rows.Tally) []costRow {
	var rows []costRow
	for _, c := range b.Data.CostSums {
		if c.Part == part && c.Season == season {
			rows = append(rows, costRow{c, road(c)})
		}
	}
	return rows
}

// stormCostSection shows what each class cost in each storm of a season, the latest first.
func stormCostSection(b *book.Book, season string) table.Section {
	rows := book.Sorted(costRows(b, "storm", season,
		func(c rows.CostSum) rows.Tally { return b.StormTally(season, c.StormID, c.MaterialClass) }),
		func(x, y costRow) int {
			return cmp.Or(b.Began(y.StormID).Compare(b.Began(x.StormID)), cmp.Compare(x.StormID, y.StormID),
				cmp.Compare(x.MaterialClass, y.MaterialClass))
		})
	stormOf := func(r costRow) string { return r.StormID }
	shown := table.Filled(b, table.Table{ID: "storm-costs-table", Caption: "Each storm of " + season + ", the latest first",
		Empty: "No storm has been priced yet.",
		Note: "Solids and liquids, with prewet. Road state and temperature: of the solids of the class. " +
			"A missing price leaves a cost empty, never smaller."},
		costColumns(b, table.StormOrOutside(b, stormOf)), rows, table.PartedBy(stormOf))
	return table.Section{ID: "storm-costs", Title: "Storm by storm", Tables: []table.Table{shown}}
}

// routeCostSection shows what each class cost on each route in a season.
func routeCostSection(b *book.Book, season string) table.Section {
	rows := book.Sorted(costRows(b, "route", season,
		func(c rows.CostSum) rows.Tally { return b.RouteTally(c.RouteID, season, c.MaterialClass) }),
		func(x, y costRow) int {
			return cmp.Or(cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
		})
	shown := table.Filled(b, table.Table{ID: "route-costs-table", Caption: "Each route in " + season + ", outside storms included",
		Empty: "No route has been priced yet.",
		Note:  "Per lane-mile of the routes: of one storm on average, since a route counts once for each storm in which it was treated."},
		costColumns(b, table.RouteColumn(b, "", func(r costRow) string { return r.RouteID })), rows)
	return table.Section{ID: "route-costs", Title: "Route by route", Tables: []table.Table{shown}}
}

// damageSection shows the district's own assumptions apart; without any it says so.
func damageSection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.DamageAssumptions, func(x, y rows.DamageAssumption) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.Name, y.Name), cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	shown := table.Filled(b, table.Table{ID: "damage-table",
		Caption: "What the material would cost elsewhere if the district's assumptions held",
		Empty:   "The district has entered no assumption on damage."}, []table.Column[rows.DamageAssumption]{
		table.SeasonColumn(func(d rows.DamageAssumption) string { return d.Season }),
		table.Prose("Damage", func(d rows.DamageAssumption) string { return d.Name }),
		table.ClassColumn("", func(d rows.DamageAssumption) string { return d.MaterialClass }),
		table.Numbers(b, "Material", "tons", format.Heap, func(d rows.DamageAssumption) *float64 { return d.Tons }),
		table.Numbers(b, "Assumed", "USD per ton", format.TonPriceCents, func(d rows.DamageAssumption) *float64 { return d.UsdPerTon }),
		table.Numbers(b, "If it held", "USD", table.Ones, func(d rows.DamageAssumption) *float64 { return d.Usd }),
		table.Prose("Source given by the district", func(d rows.DamageAssumption) string { return d.Source }),
		table.Words("Label", func(d rows.DamageAssumption) string { return d.Label }),
	}, list)
	s := table.Section{ID: "damage", Title: "Damage: assumptions, kept apart", Tables: []table.Table{shown}}
	if len(shown.Rows) > 0 {
		s.Tone, s.Text = "warn", []string{words.Say(b.Units, "damage caution")}
	}
	return s
}
