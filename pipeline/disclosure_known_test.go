package pipeline

import (
	"strconv"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// knowComparison takes the sums of the two classes, of a zone in a storm and of a season.
func (a *attacker) knowComparison() {
	type side struct {
		Storm      string  `db:"storm_id"`
		Zone       string  `db:"zone_id"`
		Class      string  `db:"material_class"`
		Season     string  `db:"season"`
		Miles      float64 `db:"miles"`
		IsCompared bool    `db:"is_compared"`
	}
	sides, err := ledger.ReadTable[side](a.t.Context(), a.l, `select storm_id, zone_id, material_class, comparison_classes.season,
		route_ulane_mi / 1e6 as miles, is_compared from comparison_classes inner join comparison_zones using (storm_id, zone_id)`)
	require.NoError(a.t, err)
	for _, c := range a.data.Comparison {
		for class, x := range map[string][4]*float64{
			rows.Acetate:  {c.AcetateStormLb, c.AcetateApplications, c.AcetateRate, c.AcetateCostUsd},
			rows.Chloride: {c.ChlorideStormLb, c.ChlorideApplications, c.ChlorideRate, c.ChlorideCostUsd},
		} {
			holds := func(s stratum) bool {
				if c.StormID == "" {
					return s.Season == c.Season && s.Class == class && s.IsCompared
				}
				return s.Storm == c.StormID && s.Zone == c.ZoneID && s.Class == class && s.IsCounted
			}
			miles := 0.0
			for _, s := range sides {
				isSeason := c.StormID == "" && s.Season == c.Season && s.IsCompared
				if s.Class == class && (isSeason || s.Storm == c.StormID && s.Zone == c.ZoneID) {
					miles += s.Miles
				}
			}
			at := c.Season + " " + c.StormID + " " + c.ZoneID + " " + class
			lb, all, rate, cost := a.sum("compared pounds %s", at), a.sum("compared applications %s", at), a.sum("compared rate %s", at),
				a.sum("compared cost %s", at)
			for _, s := range a.where(holds) {
				lb.addJudged(s)
				all.add(treated, s, 1)
				a.addCost(cost, s)
				rate.addJudged(s).addOther("judged unplaced "+s.row(), -1, s.JudgedFree)
				if x[2] != nil {
					rate.add(measured, s, -*x[2])
				}
			}
			lb.isOf(x[0], miles)
			all.isOf(x[1], miles)
			cost.isOf(x[3], miles)
			if x[2] != nil {
				rate.is(0, 0)
			}
		}
	}
}

// knowMoney takes what seasons, storms and routes cost, and the pounds and lane-miles that stand beside it.
func (a *attacker) knowMoney() {
	outside := map[string][2]float64{}
	for _, o := range a.data.OutsideStorms {
		at := o.Season + "|" + o.MaterialClass
		outside[at] = [2]float64{outside[at][0] + rows.OrZero(o.AppliedLb), outside[at][1] + rows.OrZero(o.TreatedLaneMiles)}
	}
	for _, c := range a.data.SeasonCosts {
		at := c.Season + "|" + c.MaterialClass
		lb, all, usd := a.sum("season pounds %s", at), a.sum("season treated %s", at), a.sum("season cost %s", at)
		wet := a.sum("season prewet %s", at)
		for _, s := range a.where(func(s stratum) bool { return s.Season == c.Season && s.Class == c.MaterialClass }) {
			lb.add(pounds, s, 1)
			all.add(treated, s, 1)
			a.addCost(usd, s)
			wet.addOther("prewet "+s.row(), 1, s.Prewet)
		}
		lb.addOther("outside pounds "+at, 1, outside[at][0])
		a.sum("outside pounds %s", at).addOther("outside pounds "+at, 1, outside[at][0]).is(outside[at][0], 1)
		lb.isOf(c.AppliedLb, 1)
		all.addOther("outside treated "+at, 1, outside[at][1])
		a.sum("outside treated %s", at).addOther("outside treated "+at, 1, outside[at][1]).is(outside[at][1], 1)
		all.isOf(c.TreatedLaneMiles, 1)
		usd.isOf(c.StormsUsd, 1)
	}
	for _, c := range a.data.CostSums {
		if c.StormID == "" && c.Part == "storm" || c.Part == "route" && a.hasOutside(c) {
			continue
		}
		usd := a.sum("cost of %s %s %s %s", c.Part, c.Season, c.StormID+c.RouteID, c.MaterialClass)
		for _, s := range a.where(func(s stratum) bool {
			return s.Season == c.Season && s.Class == c.MaterialClass && (c.StormID == s.Storm || c.RouteID == s.Route)
		}) {
			a.addCost(usd, s)
		}
		usd.isOf(c.Usd, 1)
	}
}

func (a *attacker) hasOutside(c rows.CostSum) bool {
	for _, o := range a.data.OutsideStorms {
		if o.Season == c.Season && o.RouteID == c.RouteID && o.MaterialClass == c.MaterialClass {
			return true
		}
	}
	return false
}

// knowWater takes the pounds of chloride and acetate by watershed.
func (a *attacker) knowWater() {
	take := func(from string, holds func(stratum) bool, chloride, acetate *float64) {
		cl, ac := a.sum("chloride of %s", from), a.sum("acetate of %s", from)
		hasPrewet := false
		for _, s := range a.where(holds) {
			a.addChloride(cl, s)
			if hasPrewet = hasPrewet || s.Prewet > 0; s.Class == rows.Acetate {
				ac.add(pounds, s, 1)
			}
		}
		cl.isOf(chloride, 1)
		if !hasPrewet {
			ac.isOf(acetate, 1)
		}
	}
	for _, w := range a.data.WatershedStorms {
		if w.StormID != "" {
			holds := func(s stratum) bool { return s.Storm == w.StormID && s.Watershed == w.Watershed }
			take(w.StormID+" "+w.Watershed, holds, w.ChlorideLb, w.AcetateLb)
		}
	}
	for _, w := range a.data.WatershedSeasons {
		if w.ChlorideLb != nil {
			inStorms := *w.ChlorideLb - rows.OrZero(w.OutsideChlorideLb)
			holds := func(s stratum) bool { return s.Season == w.Season && s.Watershed == w.Watershed }
			take(w.Season+" "+w.Watershed, holds, &inStorms, nil)
		}
	}
}

// knowWeighed takes the solids that all trucks together spread in a week, less what they spread outside storms.
func (a *attacker) knowWeighed() {
	type piece struct {
		Week    time.Time `db:"week"`
		Storm   string    `db:"storm_id"`
		Route   string    `db:"route_id"`
		Class   string    `db:"material_class"`
		Lb      float64   `db:"lb"`
		IsWhole bool      `db:"is_whole"`
	}
	pieces, err := ledger.ReadTable[piece](a.t.Context(), a.l, `
		with pieces as (
			select cast(date_trunc('week', local_date) as date) as week, coalesce(storm_id, '') as storm_id, route_id, material_class,
				sum(coalesce(applied_ulb, 0)) / 1e6 as lb
			from storm_passes where is_treating and form = 'solid' group by all)
		select *, count(*) over (partition by storm_id, route_id, material_class) = 1 as is_whole from pieces order by all`)
	require.NoError(a.t, err)
	type week struct{ at, class string }
	spread, told, classes, hides := map[week]float64{}, map[week]float64{}, map[string]string{}, map[week]bool{}
	for _, m := range a.data.Materials {
		classes[m.MaterialID] = m.Class
	}
	for _, r := range a.data.Reconciliation {
		at := week{r.Week.Format(time.DateOnly), classes[r.MaterialID]}
		hides[at] = hides[at] || r.SpreadLb == nil && r.Passes > 0 && r.Finding != "incomplete"
		spread[at] += rows.OrZero(r.SpreadLb)
		told[at]++
	}
	sums, halves := map[week]*sum{}, map[string]*sum{}
	for _, p := range pieces {
		at := week{p.Week.Format(time.DateOnly), p.Class}
		if sums[at] == nil {
			sums[at] = a.sum("week of %s: %s", at.at, at.class)
		}
		s := stratum{share: share{Storm: p.Storm, Route: p.Route, Class: p.Class, Form: rows.Solid}}
		switch {
		case p.Storm == "":
			spread[at] -= p.Lb // the pages of routes list these passes
		case p.IsWhole:
			sums[at].add(pounds, s, 1)
		default:
			name := "week of " + at.at + " of " + s.row()
			sums[at].addOther(name, 1, p.Lb)
			if halves[s.row()] == nil {
				halves[s.row()] = a.sum("weeks of %s", s.row()).add(pounds, s, -1)
			}
			halves[s.row()].addOther(name, 1, p.Lb)
		}
	}
	for _, at := range keysBy(sums, func(w week) string { return w.at + w.class }) {
		if !hides[at] {
			sums[at].is(spread[at], told[at])
		}
	}
	for _, row := range keysBy(halves, func(s string) string { return s }) {
		halves[row].is(0, 0)
	}
}

// knowParts takes what parts of a row tell of it: a stretch of the route, a pass, a class without its form.
func (a *attacker) knowParts() {
	stretches := map[string]float64{}
	header, coverage := csvTable(a.t, a.files["data/coverage.parquet read back"])
	for _, cells := range coverage {
		row := map[string]string{}
		for i, name := range header {
			row[name] = cells[i]
		}
		lb, _ := strconv.ParseFloat(row["applied_lb"], 64)
		stretches[share{Storm: row["storm_id"], Route: row["route_id"], Class: row["material_class"], Form: row["form"]}.row()] += lb
	}
	passes, shown := map[string]float64{}, map[string]bool{}
	for _, p := range a.data.StormPasses {
		if p.IsTreating && p.StormID != "" && p.AppliedLb != nil {
			row := share{Storm: p.StormID, Route: p.RouteID, Class: p.MaterialClass, Form: p.Form}.row()
			passes[row] += *p.AppliedLb
			shown[row] = true
		}
	}
	classes := map[string]*float64{}
	header, timing := csvTable(a.t, a.files["data/timing.csv"])
	for _, cells := range timing {
		row := map[string]string{}
		for i, name := range header {
			row[name] = cells[i]
		}
		if lb, err := strconv.ParseFloat(row["applied_lb"], 64); err == nil {
			classes[row["storm_id"]+"|"+row["route_id"]+"|"+row["material_class"]] = &lb
		}
	}
	for _, s := range a.strata {
		whole := func(lb float64) bool { return lb > 0 && lb > s.Lb-0.01 && lb < s.Lb+0.01 }
		if whole(stretches[s.row()]) {
			a.sum("stretches of %s", s.row()).add(pounds, s, 1).is(s.Lb, 1)
		}
		if whole(passes[s.row()]) {
			a.sum("passes of %s", s.row()).add(pounds, s, 1).is(s.Lb, 1)
		}
		a.sum("class of %s", s.row()).add(pounds, s, 1).add(pounds, a.otherForm(s), 1).isOf(classes[s.Storm+"|"+s.Route+"|"+s.Class], 1)
	}
	assert.NotEmpty(a.t, a.strata)
}

func (a *attacker) otherForm(s stratum) stratum {
	if s.Form == rows.Solid {
		s.Form = rows.Liquid
	} else {
		s.Form = rows.Solid
	}
	return s
}
