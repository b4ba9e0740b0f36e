package pipeline

import (
	"context"
	"fmt"
	"maps"
	"math"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/site/book"
)

// The figures of a crew that the attacker is after.
const (
	pounds = iota
	treated
	measured
	measures
)

var measureNames = [measures]string{"pounds", "lane-miles treated", "lane-miles measured"}

// share is what one crew put on a route in a storm, of a class and form: the truth, which the attacker looks for.
type share struct {
	Storm       string  `db:"storm_id"`
	Route       string  `db:"route_id"`
	Class       string  `db:"material_class"`
	Form        string  `db:"form"`
	Crew        string  `db:"crew_id"`
	Season      string  `db:"season"`
	IsProtected bool    `db:"is_protected"`
	Lb          float64 `db:"lb"`
	Treated     float64 `db:"treated"`
	Measured    float64 `db:"measured"`
	Rate        float64 `db:"rate"`
	Judged      float64 `db:"judged"`  // pounds that verdicts rest on, for each pound
	Weighed     float64 `db:"weighed"` // pounds by weighed loads, for each pound
}

func (s share) amount(m int) float64 { return [measures]float64{s.Lb, s.Treated, s.Measured}[m] }

func (s share) row() string { return strings.Join([]string{s.Storm, s.Route, s.Class, s.Form}, "|") }

// stratum is a row of storm_routes with what tells in which sums it is. The attacker is taken to know all of that, and what a pound cost.
type stratum struct {
	share
	Zone       string  `db:"zone_id"`
	Watershed  string  `db:"watershed"`
	RouteMiles float64 `db:"route_lane_miles"`
	Unplaced   float64 `db:"unplaced"`
	JudgedFree float64 `db:"judged_unplaced"` // Unplaced by the pounds that verdicts rest on, and by weighed loads
	WeighedOff float64 `db:"weighed_unplaced"`
	IsKnown    bool    `db:"is_known"` // its pounds
	IsClosed   bool    `db:"is_closed"`
	IsToDate   bool    `db:"is_to_date"`
	Third      string  `db:"third"`
	IsWeighed  bool    `db:"is_weighed"`
	IsCounted  bool    `db:"is_counted"`  // by the comparison, in its zone's row
	IsCompared bool    `db:"is_compared"` // in its season's row too
	Price      float64 `db:"price"`
	Cost       float64 `db:"cost"`
	Fraction   float64 `db:"fraction"`
	Chloride   float64 `db:"chloride"`
	Prewet     float64 `db:"prewet"`
}

const sharesTruth = `with judged as (
	select p.storm_id, p.route_id, p.crew_id, p.material_class, p.form, sum(judged_ulb) / nullif(sum(p.applied_ulb), 0) as judged,
		sum(corrected_ulb) / nullif(sum(p.applied_ulb), 0) as weighed
	from storm_passes p left join judged_passes using (pass_key) left join pass_corrections using (pass_no)
	where is_treating and p.storm_id is not null
	group by all
)
select storm_id, route_id, material_class, form, crew_id, season, coalesce(applied_lb, 0) as lb, coalesce(judged, 1) as judged,
	coalesce(weighed, 1) as weighed,
	treated_lane_miles as treated, measured_lane_miles as measured, coalesce(rate_lb_per_lane_mi, 0) as rate,
	coalesce(try_cast(members as bigint), len(string_split(members, ';')), 0) < 3 as is_protected
	from crew_storms inner join crews using (crew_id)
left join judged using (storm_id, route_id, crew_id, material_class, form) order by all`

const strataTruth = `with spent as (
	select storm_id, route_id, storm_passes.material_class, storm_passes.form,
		coalesce(sum(material_uusd) / nullif(sum(pass_costs.applied_ulb), 0), 0) as price,
		coalesce(sum(storm_passes.applied_ulb * chloride_fraction) / nullif(sum(storm_passes.applied_ulb), 0), 0) as fraction
	from storm_passes inner join pass_costs using (pass_no, storm_id, route_id)
	inner join materials on materials.material_id = storm_passes.material_id
	group by all
), zones_compared as (select storm_id, zone_id, is_compared from comparison_zones)
select t.season, t.storm_id, t.route_id, t.zone_id, t.material_class, t.form, '' as crew_id, false as is_protected, 0.0 as rate,
	0.0 as judged, coalesce(j.unplaced_ulb, 0) / 1e6 as judged_unplaced,
	coalesce(w.corrected_lb - w.corrected_placed_ulb / 1e6, 0) as weighed_unplaced,
	coalesce(routes.watershed, '') as watershed, t.route_ulane_mi / 1e6 as route_lane_miles, t.treated_ulane_mi / 1e6 as treated,
	t.measured_ulane_mi / 1e6 as measured, coalesce(t.applied_ulb, 0) / 1e6 as lb, coalesce(t.unplaced_ulb, 0) / 1e6 as unplaced,
	t.applied_ulb is not null as is_known, coalesce(solids.is_closed, false) as is_closed,
	coalesce(solids.is_to_date, false) as is_to_date, coalesce(solids.third, '') as third,
	solids.weighed_placed_ulb is not null as is_weighed,
	coalesce(c.left_out is null and c.route_class = t.material_class and t.form = 'solid', false) as is_counted,
	is_counted and coalesce(z.is_compared, false) as is_compared,
	spent.price, coalesce(t.cost_uusd, 0) / 1e6 as cost, spent.fraction, coalesce(t.chloride_ulb, 0) / 1e6 as chloride,
	coalesce(t.prewet_ulb, 0) / 1e6 as prewet
from treatments t
left join routes using (route_id)
left join solids on t.form = 'solid' and solids.storm_id = t.storm_id and solids.route_id = t.route_id
	and solids.material_class = t.material_class
left join comparison_routes c on c.storm_id = t.storm_id and c.route_id = t.route_id
left join zones_compared z on z.storm_id = t.storm_id and z.zone_id = t.zone_id
left join judged_treatments j on j.storm_id = t.storm_id and j.route_id = t.route_id and j.material_class = t.material_class
	and j.form = t.form
left join storm_routes_corrected w on w.storm_id = t.storm_id and w.route_id = t.route_id and w.material_class = t.material_class
	and w.form = t.form
left join spent on spent.storm_id = t.storm_id and spent.route_id = t.route_id and spent.material_class = t.material_class
	and spent.form = t.form
order by all`

// attacker gathers relations from what is public. He knows which crew worked where and when: more than is asked of him.
type attacker struct {
	t      *testing.T
	l      *ledger.Ledger
	data   *book.Data
	files  map[string]string
	shares []share
	strata []stratum
	of     map[string][]int // shares of a row
	at     map[string]int   // stratum of a row
	extra  map[string]int   // amounts beside shares, which nobody is after, such as prewet
	truth  map[int]float64
	known  []relation
	worked map[string]bool // seasons, crews and routes
}

func newAttacker(ctx context.Context, t *testing.T, l *ledger.Ledger, data *book.Data, files map[string]string) *attacker {
	t.Helper()
	a := &attacker{t: t, l: l, data: data, files: files, of: map[string][]int{}, at: map[string]int{}, extra: map[string]int{},
		truth: map[int]float64{}, worked: map[string]bool{}}
	var err error
	a.shares, err = ledger.ReadTable[share](ctx, l, sharesTruth)
	require.NoError(t, err)
	a.strata, err = ledger.ReadTable[stratum](ctx, l, strataTruth)
	require.NoError(t, err)
	for i, s := range a.shares {
		a.of[s.row()] = append(a.of[s.row()], i)
		a.worked[s.Season+"|"+s.Crew+"|"+s.Route] = true
		for m := range measures {
			a.truth[measures*i+m] = s.amount(m)
		}
	}
	for i, s := range a.strata {
		a.at[s.row()] = i
		require.NotEmpty(t, a.of[s.row()], s.row())
	}
	a.knowRows()
	a.knowCorrected()
	a.knowShares()
	a.knowTallies()
	a.knowComparison()
	a.knowMoney()
	a.knowWater()
	a.knowWeighed()
	a.knowParts()
	return a
}

// sum begins a relation.
type sum struct {
	a *attacker
	r relation
}

func (a *attacker) sum(from string, args ...any) *sum {
	return &sum{a, relation{from: fmt.Sprintf(from, args...), of: map[int]float64{}}}
}

// add adds a measure of a row of storm_routes, crew by crew.
func (s *sum) add(m int, of stratum, factor float64) *sum {
	for _, i := range s.a.of[of.row()] {
		s.r.of[measures*i+m] += factor
	}
	return s
}

// addJudged adds the pounds of a row that verdicts rest on, and addWeighed those by weighed loads; the attacker is taken to know what each
// crew's are for a pound told.
func (s *sum) addJudged(of stratum) *sum {
	for _, i := range s.a.of[of.row()] {
		s.r.of[measures*i+pounds] += s.a.shares[i].Judged
	}
	return s
}

func (s *sum) addWeighed(of stratum) *sum {
	for _, i := range s.a.of[of.row()] {
		s.r.of[measures*i+pounds] += s.a.shares[i].Weighed
	}
	return s
}

// addOther adds an amount that no share tells, with its true value.
func (s *sum) addOther(name string, factor, truth float64) *sum {
	if math.Abs(truth) < 1e-6 {
		return s
	}
	at, found := s.a.extra[name]
	if !found {
		at = measures*len(s.a.shares) + len(s.a.extra)
		s.a.extra[name], s.a.truth[at] = at, truth
	}
	s.r.of[at] += factor
	return s
}

// is ends a relation that the truth must fulfil: an attacker who errs proves nothing. It may be off by what rounding to millionths leaves
// of the figure told, which counts factor times, and of each amount. The attacker is taken to know all of them without rounding, so that no
// relation of his contradicts another.
func (s *sum) is(x, factor float64) {
	truth, size, rounded := 0.0, math.Abs(x), factor
	for _, i := range keysOf(s.r.of) {
		c := s.r.of[i]
		truth += c * s.a.truth[i]
		size = max(size, math.Abs(c*s.a.truth[i]))
		rounded += math.Abs(c)
		if c == 0 {
			delete(s.r.of, i)
		}
	}
	require.InDelta(s.a.t, truth, x, 1e-6*rounded+1e-12*size, s.r.from)
	if len(s.r.of) > 0 {
		s.r.is = truth
		s.a.known = append(s.a.known, s.r)
	}
}

func (s *sum) isOf(x *float64, factor float64) {
	if x != nil {
		s.is(*x*factor, factor)
	}
}

// knowRows takes the rows of storm_routes, from whichever column tells their amounts.
func (a *attacker) knowRows() {
	for _, r := range a.data.StormRoutes {
		row := share{Storm: r.StormID, Route: r.RouteID, Class: r.MaterialClass, Form: r.Form}.row()
		at, found := a.at[row]
		if !found {
			continue
		}
		s := a.strata[at]
		a.sum("pounds of %s", row).add(pounds, s, 1).isOf(r.AppliedLb, 1)
		a.sum("pounds per lane-mile of %s", row).add(pounds, s, 1).isOf(r.StormLbPerLaneMi, s.RouteMiles)
		a.sum("treated of %s", row).add(treated, s, 1).isOf(r.TreatedLaneMiles, 1)
		a.sum("applications of %s", row).add(treated, s, 1).isOf(r.Applications, s.RouteMiles)
		a.sum("measured of %s", row).add(measured, s, 1).isOf(r.MeasuredLaneMiles, 1)
		a.sum("unplaced of %s", row).addOther("unplaced "+row, 1, s.Unplaced).isOf(r.UnplacedLb, 1)
		if r.RateLbPerLaneMi != nil {
			rate := a.sum("rate of %s", row).add(pounds, s, 1).addOther("unplaced "+row, -1, s.Unplaced)
			rate.add(measured, s, -*r.RateLbPerLaneMi).is(0, 0)
		}
		if s.IsKnown {
			a.addChloride(a.sum("chloride of %s", row), s).isOf(r.ChlorideLb, 1)
			a.addCost(a.sum("cost of %s", row), s).isOf(r.CostUsd, 1)
		}
	}
}

func (a *attacker) addCost(to *sum, s stratum) *sum {
	return to.add(pounds, s, s.Price).addOther("prewet cost "+s.row(), 1, s.Cost-s.Price*s.Lb)
}

func (a *attacker) addChloride(to *sum, s stratum) *sum {
	return to.add(pounds, s, s.Fraction).addOther("prewet chloride "+s.row(), 1, s.Chloride-s.Fraction*s.Lb)
}

// knowCorrected takes what weighed loads make of the rows.
func (a *attacker) knowCorrected() {
	for _, c := range a.data.StormRoutesCorrected {
		row := share{Storm: c.StormID, Route: c.RouteID, Class: c.MaterialClass, Form: c.Form}.row()
		if at, found := a.at[row]; found {
			a.sum("weighed pounds of %s", row).addWeighed(a.strata[at]).isOf(c.CorrectedLb, 1)
		}
	}
}

// knowShares takes the rows of crews, of pages and files alike.
func (a *attacker) knowShares() {
	at := map[string]int{}
	for i, s := range a.shares {
		at[s.row()+"|"+s.Crew] = i
	}
	for _, r := range a.data.CrewStorms {
		key := share{Storm: r.StormID, Route: r.RouteID, Class: r.MaterialClass, Form: r.Form}.row() + "|" + r.CrewID
		i, found := at[key]
		if !found || a.data.CrewFileLabels[r.CrewID] == "" {
			continue // no page and no file has its rows
		}
		for m, x := range [measures]*float64{r.AppliedLb, r.TreatedLaneMiles, r.MeasuredLaneMiles} {
			if x != nil {
				s := a.sum("%s of %s", measureNames[m], key)
				s.r.of[measures*i+m] = 1
				s.is(*x, 1)
			}
		}
	}
}

// where gives the rows that a sum holds.
func (a *attacker) where(holds func(stratum) bool) (list []stratum) {
	for _, s := range a.strata {
		if holds(s) {
			list = append(list, s)
		}
	}
	return list
}

// holdsTally tells whether a part of tallies holds a row, by the formula that heads the query.
func (a *attacker) holdsTally(t rows.Tally, s stratum) bool {
	of := func(key, value string) bool { return key == "" || key == value }
	is := s.Form == rows.Solid && s.Season == t.Season && of(t.StormID, s.Storm) && of(t.ZoneID, s.Zone) && of(t.RouteID, s.Route) &&
		of(t.MaterialClass, s.Class)
	switch t.Part {
	case rows.PartSeasonToDate, rows.PartRouteToDate:
		is = is && s.IsClosed && s.IsToDate
	case rows.PartSeason, rows.PartRoute:
		is = is && s.IsClosed
	case rows.PartFirstThird:
		is = is && s.Third == "first"
	case rows.PartLatestThird:
		is = is && s.Third == "latest"
	case rows.PartStormWatershed, rows.PartSeasonWatershed:
		is = is && s.Watershed == t.Watershed
	case rows.PartRouteRoads, rows.PartCrewRoads:
		is = is && s.IsClosed && (s.Class == rows.Acetate || s.Class == rows.Chloride)
	}
	return is && (t.CrewID == "" || a.worked[t.Season+"|"+t.CrewID+"|"+s.Route])
}

func (a *attacker) knowTallies() {
	for _, t := range a.data.Tallies {
		list := a.where(func(s stratum) bool { return a.holdsTally(t, s) })
		require.Len(a.t, list, int(t.RouteStorms), "%+v", t.Key())
		lb, all, rate, reported := a.sum("pounds of %v", t.Key()), a.sum("treated of %v", t.Key()), a.sum("rate of %v", t.Key()),
			a.sum("reported rate of %v", t.Key())
		weighed := a.sum("weighed rate of %v", t.Key())
		miles, knownMiles := 0.0, 0.0
		for _, s := range list {
			miles += s.RouteMiles
			if s.IsKnown {
				knownMiles += s.RouteMiles
			}
			lb.add(pounds, s, 1)
			all.add(treated, s, 1)
			rated := []*sum{rate}
			if s.IsWeighed {
				rated = append(rated, reported)
				weighed.addWeighed(s).addOther("weighed unplaced "+s.row(), -1, s.WeighedOff)
			}
			for _, r := range rated {
				r.add(pounds, s, 1).addOther("unplaced "+s.row(), -1, s.Unplaced)
			}
			if t.RateLbPerLaneMi != nil {
				rate.add(measured, s, -*t.RateLbPerLaneMi)
			}
			if t.ReportedRate != nil && s.IsWeighed {
				reported.add(measured, s, -*t.ReportedRate)
			}
			if t.WeighedRate != nil && s.IsWeighed {
				weighed.add(measured, s, -*t.WeighedRate)
			}
		}
		again := *lb
		again.r.of = maps.Clone(lb.r.of)
		lb.isOf(t.AppliedLb, 1)
		again.isOf(t.StormLbPerLaneMi, knownMiles)
		all.isOf(t.Applications, miles)
		if t.RateLbPerLaneMi != nil {
			rate.is(0, 0)
		}
		if t.ReportedRate != nil {
			reported.is(0, 0)
		}
		if t.WeighedRate != nil {
			weighed.is(0, 0)
		}
	}
}
