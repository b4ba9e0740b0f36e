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
	p := page{Title: "Cost and water", Nav: "cost", Lead: costSentence(b.units, season, b.seasonCosts(season), b.keptOffIn(season), b.through())}
	p.Sections = append(p.Sections, b.budgetSection(), b.breakEvenSection(), b.damageSection(), b.waterSection(), b.talkSection(season),
		b.stormCostSection(season), b.routeCostSection(season), b.stormWaterSection(season))
	return p
}

// seasonCosts are a season's rows of season_costs, by class.
func (b *book) seasonCosts(season string) []SeasonCost {
	list := slices.DeleteFunc(slices.Clone(b.data.SeasonCosts), func(c SeasonCost) bool { return c.Season != season })
	return sorted(list, func(x, y SeasonCost) int { return cmp.Compare(x.MaterialClass, y.MaterialClass) })
}

func (b *book) budgetSection() Section {
	table := Table{ID: "season-costs-table", Caption: "What each class of material cost, by season, the latest first", Download: "season_costs.csv", Empty: "No treating pass has been priced yet.",
		Note:    "Dollars include prewet. Per ton: without prewet. Prices from: the days from which the prices used were in force.",
		Columns: []Column{words("Season"), words("Class"), figures("Cost", "USD"), figures("Per lane-mile", "USD, of the routes"), figures("Per lane-mile", "USD, treated"), figures("Per ton", "USD"), figures("Outside storms", "USD"), figures("Budget", "USD"), figures("Left", "USD"), figures("Used", "%"), figures("Without price", "lb"), words("Prices from")}}
	list := sorted(b.data.SeasonCosts, func(x, y SeasonCost) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.MaterialClass, y.MaterialClass))
	})
	for i, c := range list {
		row := Row{Cells: append([]Cell{{Text: c.Season}, {Text: c.MaterialClass, Class: c.MaterialClass}}, cells(dollars(c.Usd), b.write(laneMilePrice, c.UsdPerLaneMi), b.write(laneMilePriceCents, c.UsdPerTreatedLaneMi), b.write(tonPrice, c.UsdPerTon), dollars(c.OutsideUsd), dollars(c.BudgetUsd), minused(dollars(c.BudgetLeftUsd)), percent(c.BudgetShare), b.pounds(c.UnpricedLb), priceDates(c.FirstPriceDate, c.LastPriceDate))...)}
		if i == 0 || list[i-1].Season != c.Season {
			row.Mark = "parted"
		}
		table.Rows = append(table.Rows, row)
	}
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

func (b *book) pricesTable() Table {
	table := Table{ID: "prices-table", Caption: "Prices on file", Columns: []Column{words("Material"), words("From"), figures("Price", "USD per ton")}, Empty: "No price is on file, so nothing can be costed."}
	for _, p := range sorted(b.data.Prices, func(x, y Price) int {
		return cmp.Or(cmp.Compare(x.MaterialID, y.MaterialID), x.FromDate.Compare(y.FromDate))
	}) {
		table.Rows = append(table.Rows, Row{Cells: cells(p.MaterialID, date(p.FromDate), b.write(tonPriceCents, p.UsdPerTon))})
	}
	return table
}

func (b *book) breakEvenSection() Section {
	table := Table{ID: "break-even-table", Caption: "The acetate price at which acetate routes would have cost what chloride routes did", Download: "break_even.csv", Empty: "No season has priced routes of both classes.",
		Note:    "Per lane-mile of the routes compared: of one closed storm on average. Pounds at equal cost: acetate pounds for one chloride pound that the two prices allow.",
		Columns: []Column{words("Season"), figures("Storms", ""), figures("Acetate", "USD per lane-mile"), figures("Chloride", "USD per lane-mile"), figures("Cost ratio", ""), figures("Acetate paid", "USD per ton"), words("Prices from"), figures("Chloride paid", "USD per ton"), words("Prices from"), figures("Break-even", "USD per ton of acetate"), figures("Break-even", "times the chloride price"), figures("Pounds at equal cost", "acetate per chloride")}}
	var text []string
	for _, r := range sorted(b.data.BreakEven, func(x, y BreakEven) int { return cmp.Compare(y.Season, x.Season) }) {
		if len(table.Rows) == 0 {
			text = append(text, breakEvenSentence(b.units, r))
		}
		table.Rows = append(table.Rows, Row{Cells: cells(r.Season, whole(r.Storms), b.write(laneMilePrice, r.AcetateUsdPerLaneMi), b.write(laneMilePrice, r.ChlorideUsdPerLaneMi), ratios(r.CostRatio), b.write(tonPrice, r.AcetateUsdPerTon), priceDates(r.AcetateFirstPriceDate, r.AcetateLastPriceDate),
			b.write(tonPrice, r.ChlorideUsdPerTon), priceDates(r.ChlorideFirstPriceDate, r.ChlorideLastPriceDate), b.write(tonPrice, r.BreakEvenUsdPerTon), ratios(r.BreakEvenPriceRatio), ratios(r.BreakEvenPoundRatio))})
	}
	return Section{ID: "break-even", Title: "Break-even price", Text: text, Tables: []Table{table}}
}

// costSum adds up rows of costs. A missing cost makes the sum missing, never smaller.
type costSum struct {
	usd, laneMiles, treated float64
	isUnknown               bool
}

func (s *costSum) add(c Cost) {
	s.isUnknown = s.isUnknown || c.Usd == nil
	s.usd += orZero(c.Usd)
	s.laneMiles += orZero(c.RouteLaneMiles)
	s.treated += orZero(c.TreatedLaneMiles)
}

func (s *costSum) texts(u units) []string {
	if s.isUnknown {
		return []string{missing, missing, missing}
	}
	return []string{dollars(&s.usd), u.write(laneMilePriceCents, ratio(s.usd, s.laneMiles)), u.write(laneMilePriceCents, ratio(s.usd, s.treated))}
}

func costColumns() []Column {
	return []Column{figures("Cost", "USD"), figures("Per lane-mile", "USD, of the routes"), figures("Per lane-mile", "USD, treated"), figures("Bare lane after", "h"), figures("Mean air", "°F"), figures("Lowest pavement", "°F")}
}

// costKey is a storm or a route, and a class.
type costKey struct{ id, class string }

func (b *book) costsBy(season string, id func(Cost) string) (keys []costKey, sums map[costKey]*costSum) {
	sums = map[costKey]*costSum{}
	for _, c := range sorted(b.data.Costs, func(x, y Cost) int {
		return cmp.Or(cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
	}) {
		if c.Season != season {
			continue
		}
		key := costKey{id(c), c.MaterialClass}
		if sums[key] == nil {
			sums[key] = &costSum{}
			keys = append(keys, key)
		}
		sums[key].add(c)
	}
	return keys, sums
}

// stormCostSection shows what each class cost in each storm of a season, the latest first.
func (b *book) stormCostSection(season string) Section {
	table := Table{ID: "storm-costs-table", Caption: "Each storm of " + season + ", the latest first", Empty: "No storm has been priced yet.", Columns: append([]Column{words("Storm"), words("Class")}, costColumns()...),
		Note: "Solids and liquids, with prewet. Road state and temperature: of the solids of the class. A missing price leaves a cost empty, never smaller."}
	keys, sums := b.costsBy(season, func(c Cost) string { return c.StormID })
	slices.SortStableFunc(keys, func(x, y costKey) int {
		return cmp.Or(b.began(y.id).Compare(b.began(x.id)), cmp.Compare(x.class, y.class))
	})
	last := ""
	for _, key := range keys {
		head, road := link(key.id, b.stormHref("", key.id)), b.countStorms([]string{key.id}, key.class)
		if key.id == "" {
			head = Cell{Text: "outside storms"}
		}
		row := Row{Cells: append([]Cell{head, {Text: key.class, Class: key.class}}, cells(append(sums[key].texts(b.units), hours(road.regainH()), b.degrees(road.airF()), b.degrees(road.surfaceFMin))...)...)}
		if key.id != last || len(table.Rows) == 0 {
			row.Mark = "parted"
		}
		last = key.id
		table.Rows = append(table.Rows, row)
	}
	return Section{ID: "storm-costs", Title: "Storm by storm", Tables: []Table{table}}
}

// routeCostSection shows what each class cost on each route in a season.
func (b *book) routeCostSection(season string) Section {
	table := Table{ID: "route-costs-table", Caption: "Each route in " + season + ", outside storms included", Empty: "No route has been priced yet.", Columns: append([]Column{words("Route"), words("Class")}, costColumns()...),
		Note: "Per lane-mile of the routes: of one storm on average, since a route counts once for each storm in which it was treated."}
	keys, sums := b.costsBy(season, func(c Cost) string { return c.RouteID })
	slices.SortStableFunc(keys, func(x, y costKey) int { return cmp.Or(cmp.Compare(x.id, y.id), cmp.Compare(x.class, y.class)) })
	for _, key := range keys {
		road := b.routeTally(key.id, season, key.class)
		table.Rows = append(table.Rows, Row{Cells: append([]Cell{link(b.routeShort(key.id), b.routeHref("", key.id)), {Text: key.class, Class: key.class}}, cells(append(sums[key].texts(b.units), hours(road.regainH()), b.degrees(road.airF()), b.degrees(road.surfaceFMin))...)...)})
	}
	return Section{ID: "route-costs", Title: "Route by route", Tables: []Table{table}}
}

// damageSection shows the district's own assumptions apart; without any it says so.
func (b *book) damageSection() Section {
	table := Table{ID: "damage-table", Caption: "What the material would cost elsewhere if the district's assumptions held", Empty: "The district has entered no assumption on damage.",
		Columns: []Column{words("Season"), prose("Damage"), words("Class"), figures("Material", "tons"), figures("Assumed", "USD per ton"), figures("If it held", "USD"), prose("Source given by the district"), words("Label")}}
	for _, d := range sorted(b.data.DamageAssumptions, func(x, y DamageAssumption) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.Name, y.Name), cmp.Compare(x.MaterialClass, y.MaterialClass))
	}) {
		table.Rows = append(table.Rows, Row{Cells: []Cell{{Text: d.Season}, {Text: d.Name}, {Text: d.MaterialClass, Class: d.MaterialClass}, {Text: b.write(heap, d.Tons)}, {Text: b.write(tonPriceCents, d.UsdPerTon)}, {Text: dollars(d.Usd)}, {Text: d.Source}, {Text: d.Label}}})
	}
	s := Section{ID: "damage", Title: "Damage: assumptions, kept apart", Tables: []Table{table}}
	if len(table.Rows) > 0 {
		s.Tone, s.Text = "warn", []string{damageCaution}
	}
	return s
}
