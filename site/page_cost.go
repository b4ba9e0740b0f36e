package site

import (
	"cmp"
	"slices"
	"strings"
	"time"
)

// latestCosted is the latest season with costs or a budget.
func (b *book) latestCosted() string {
	latest := ""
	for _, c := range b.data.SeasonCosts {
		if c.Usd != nil && c.Passes > 0 {
			latest = max(latest, c.Season)
		}
	}
	return cmp.Or(latest, b.latestSeason())
}

// costPage answers what the season's material cost, beside the budget, and what stayed out of the water.
func (b *book) costPage() page {
	season := b.latestCosted()
	p := page{Title: "Cost and water", Nav: "cost", Lead: costSentence(b.units, season, b.seasonCosts(season), b.wholeSeason(season), b.through())}
	p.Sections = append(p.Sections, b.budgetSection(), b.breakEvenSection(), b.damageSection(), b.waterSection(), b.talkSection(season),
		b.stormCostSection(season), b.routeCostSection(season), b.stormWaterSection(season))
	return p
}

// wholeSeason is the season's row of whole_seasons, empty without one.
func (b *book) wholeSeason(season string) WholeSeason {
	if i := slices.IndexFunc(b.data.WholeSeasons, func(w WholeSeason) bool { return w.Season == season }); i >= 0 {
		return b.data.WholeSeasons[i]
	}
	return WholeSeason{Season: season}
}

// seasonCosts are a season's rows of season_costs, by class.
func (b *book) seasonCosts(season string) []SeasonCost {
	list := slices.DeleteFunc(slices.Clone(b.data.SeasonCosts), func(c SeasonCost) bool { return c.Season != season })
	return sorted(list, func(x, y SeasonCost) int { return cmp.Compare(x.MaterialClass, y.MaterialClass) })
}

func (b *book) budgetSection() Section {
	list := sorted(b.data.SeasonCosts, func(x, y SeasonCost) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	seasonOf := func(c SeasonCost) string { return c.Season }
	table := filled(b, Table{ID: "season-costs-table", Caption: "What each class of material cost, by season, the latest first",
		Download: "season_costs.csv", Empty: "No treating pass has been priced yet.",
		Note: "Dollars include prewet. Per ton: without prewet. Prices from: the days from which the prices used were in force."},
		[]Column[SeasonCost]{
			seasonColumn(seasonOf), classColumn("", func(c SeasonCost) string { return c.MaterialClass }),
			numbers(b, "Cost", "USD", ones, func(c SeasonCost) *float64 { return c.Usd }),
			numbers(b, "Per lane-mile", "USD, of the routes", laneMilePrice, func(c SeasonCost) *float64 { return c.UsdPerLaneMi }),
			numbers(b, "Per lane-mile", "USD, treated", laneMilePriceCents, func(c SeasonCost) *float64 { return c.UsdPerTreatedLaneMi }),
			numbers(b, "Per ton", "USD", tonPrice, func(c SeasonCost) *float64 { return c.UsdPerTon }),
			numbers(b, "Outside storms", "USD", ones, func(c SeasonCost) *float64 { return c.OutsideUsd }),
			numbers(b, "Budget", "USD", ones, func(c SeasonCost) *float64 { return c.BudgetUsd }),
			numbers(b, "Left", "USD", ones, func(c SeasonCost) *float64 { return c.BudgetLeftUsd }),
			shares(b, "Used", "%", func(c SeasonCost) *float64 { return c.BudgetShare }),
			numbers(b, "Without price", "lb", mass, func(c SeasonCost) *float64 { return c.UnpricedLb }),
			priceColumn(func(c SeasonCost) (first, last *time.Time) { return c.FirstPriceDate, c.LastPriceDate }),
		}, list, partedBy(seasonOf))
	return Section{ID: "budget", Title: "Season against budget", Tables: []Table{table, b.pricesTable()}}
}

// minused writes a minus sign in place of the hyphen of a negative number.
func minused(text string) string { return strings.Replace(text, "-", "−", 1) }

// priceDates are the days from which the first and the last price used were in force.
func priceDates(first, last *time.Time) string {
	switch {
	case first == nil || last == nil:
		return missing
	case first.Equal(*last):
		return date(*first)
	}
	return date(*first) + " and later, last " + date(*last)
}

// priceColumn is a column of priceDates, which sorts by the first.
func priceColumn[T any](get func(T) (first, last *time.Time)) Column[T] {
	first := func(row T) *time.Time {
		first, last := get(row)
		if last == nil {
			return nil
		}
		return first
	}
	return dates("Prices from", first).showing(func(row T) string { return priceDates(get(row)) })
}

func (b *book) pricesTable() Table {
	list := sorted(b.data.Prices, func(x, y Price) int {
		return cmp.Or(cmp.Compare(x.MaterialID, y.MaterialID), x.FromDate.Compare(y.FromDate))
	})
	return filled(b, Table{ID: "prices-table", Caption: "Prices on file", Empty: "No price is on file, so nothing can be costed."},
		[]Column[Price]{
			words("Material", func(p Price) string { return p.MaterialID }).picked(),
			dates("From", func(p Price) *time.Time { return &p.FromDate }),
			numbers(b, "Price", "USD per ton", tonPriceCents, func(p Price) *float64 { return p.UsdPerTon })}, list)
}

func (b *book) breakEvenSection() Section {
	list := sorted(b.data.BreakEven, func(x, y BreakEven) int { return cmp.Compare(y.Season, x.Season) })
	table := filled(b, Table{ID: "break-even-table",
		Caption:  b.unitWords("The {acetate} price at which {acetate} routes would have cost what {chloride} routes did"),
		Download: "break_even.csv", Empty: "No season has priced routes of both classes.",
		Note: "Per lane-mile of the routes compared: of one closed storm on average. Pounds at equal cost: " +
			"{acetate} pounds for one {chloride} pound that the two prices allow."}, []Column[BreakEven]{
		seasonColumn(func(r BreakEven) string { return r.Season }), wholes("Storms", "", func(r BreakEven) int64 { return r.Storms }),
		numbers(b, "{Acetate}", "USD per lane-mile", laneMilePrice, func(r BreakEven) *float64 { return r.AcetateUsdPerLaneMi }),
		numbers(b, "{Chloride}", "USD per lane-mile", laneMilePrice, func(r BreakEven) *float64 { return r.ChlorideUsdPerLaneMi }),
		numbers(b, "Cost ratio", "", hundredths, func(r BreakEven) *float64 { return r.CostRatio }),
		numbers(b, "{Acetate} paid", "USD per ton", tonPrice, func(r BreakEven) *float64 { return r.AcetateUsdPerTon }),
		priceColumn(func(r BreakEven) (first, last *time.Time) { return r.AcetateFirstPriceDate, r.AcetateLastPriceDate }),
		numbers(b, "{Chloride} paid", "USD per ton", tonPrice, func(r BreakEven) *float64 { return r.ChlorideUsdPerTon }),
		priceColumn(func(r BreakEven) (first, last *time.Time) { return r.ChlorideFirstPriceDate, r.ChlorideLastPriceDate }),
		numbers(b, "Break-even", "USD per ton of {acetate}", tonPrice, func(r BreakEven) *float64 { return r.BreakEvenUsdPerTon }),
		numbers(b, "Break-even", "times the chloride price", hundredths, func(r BreakEven) *float64 { return r.BreakEvenPriceRatio }),
		numbers(b, "Pounds at equal cost", "{acetate} per chloride", hundredths,
			func(r BreakEven) *float64 { return r.BreakEvenPoundRatio }),
	}, list)
	var text []string
	if len(list) > 0 {
		text = []string{breakEvenSentence(b.units, list[0])}
	}
	return Section{ID: "break-even", Title: "Break-even price", Text: text, Tables: []Table{table}}
}

// costColumns are what a class cost, with road state and temperature; head names its storm or route.
func (b *book) costColumns(head Column[costRow]) []Column[costRow] {
	return append([]Column[costRow]{head, classColumn("", func(r costRow) string { return r.MaterialClass }),
		numbers(b, "Cost", "USD", ones, func(r costRow) *float64 { return r.Usd }),
		numbers(b, "Per lane-mile", "USD, of the routes", laneMilePriceCents, func(r costRow) *float64 { return r.UsdPerLaneMi }),
		numbers(b, "Per lane-mile", "USD, treated", laneMilePriceCents, func(r costRow) *float64 { return r.UsdPerTreatedLaneMi })},
		at(func(r costRow) Tally { return r.road }, b.besideColumns())...)
}

// costRow is what a class cost in a storm or on a route, with the road beside it.
type costRow struct {
	CostSum
	road Tally
}

// costRows are the rows of one part of cost_sums in a season.
func (b *book) costRows(part, season string, road func(CostSum) Tally) []costRow {
	var rows []costRow
	for _, c := range b.data.CostSums {
		if c.Part == part && c.Season == season {
			rows = append(rows, costRow{c, road(c)})
		}
	}
	return rows
}

// stormCostSection shows what each class cost in each storm of a season, the latest first.
func (b *book) stormCostSection(season string) Section {
	rows := sorted(b.costRows("storm", season, func(c CostSum) Tally { return b.stormTally(season, c.StormID, c.MaterialClass) }),
		func(x, y costRow) int {
			return cmp.Or(b.began(y.StormID).Compare(b.began(x.StormID)), cmp.Compare(x.StormID, y.StormID),
				cmp.Compare(x.MaterialClass, y.MaterialClass))
		})
	stormOf := func(r costRow) string { return r.StormID }
	table := filled(b, Table{ID: "storm-costs-table", Caption: "Each storm of " + season + ", the latest first",
		Empty: "No storm has been priced yet.",
		Note: "Solids and liquids, with prewet. Road state and temperature: of the solids of the class. " +
			"A missing price leaves a cost empty, never smaller."},
		b.costColumns(stormOrOutside(b, stormOf)), rows, partedBy(stormOf))
	return Section{ID: "storm-costs", Title: "Storm by storm", Tables: []Table{table}}
}

// routeCostSection shows what each class cost on each route in a season.
func (b *book) routeCostSection(season string) Section {
	rows := sorted(b.costRows("route", season, func(c CostSum) Tally { return b.routeTally(c.RouteID, season, c.MaterialClass) }),
		func(x, y costRow) int {
			return cmp.Or(cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
		})
	table := filled(b, Table{ID: "route-costs-table", Caption: "Each route in " + season + ", outside storms included",
		Empty: "No route has been priced yet.",
		Note:  "Per lane-mile of the routes: of one storm on average, since a route counts once for each storm in which it was treated."},
		b.costColumns(routeColumn(b, "", func(r costRow) string { return r.RouteID })), rows)
	return Section{ID: "route-costs", Title: "Route by route", Tables: []Table{table}}
}

// damageSection shows the district's own assumptions apart; without any it says so.
func (b *book) damageSection() Section {
	list := sorted(b.data.DamageAssumptions, func(x, y DamageAssumption) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.Name, y.Name), cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	table := filled(b, Table{ID: "damage-table", Caption: "What the material would cost elsewhere if the district's assumptions held",
		Empty: "The district has entered no assumption on damage."}, []Column[DamageAssumption]{
		seasonColumn(func(d DamageAssumption) string { return d.Season }),
		prose("Damage", func(d DamageAssumption) string { return d.Name }),
		classColumn("", func(d DamageAssumption) string { return d.MaterialClass }),
		numbers(b, "Material", "tons", heap, func(d DamageAssumption) *float64 { return d.Tons }),
		numbers(b, "Assumed", "USD per ton", tonPriceCents, func(d DamageAssumption) *float64 { return d.UsdPerTon }),
		numbers(b, "If it held", "USD", ones, func(d DamageAssumption) *float64 { return d.Usd }),
		prose("Source given by the district", func(d DamageAssumption) string { return d.Source }),
		words("Label", func(d DamageAssumption) string { return d.Label }),
	}, list)
	s := Section{ID: "damage", Title: "Damage: assumptions, kept apart", Tables: []Table{table}}
	if len(table.Rows) > 0 {
		s.Tone, s.Text = "warn", []string{damageCaution}
	}
	return s
}
