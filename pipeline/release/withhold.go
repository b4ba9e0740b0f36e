package release

import (
	"cmp"
	"context"
	"slices"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
)

// leastOtherPct is how much others must have put down, in percent of a protected crew's own, where only a sum of both can be computed: what
// an attacker then knows reaches over 10 % beyond the truth. Own figure; the rule (a sum is sensitive while its other contributors do not
// blur the one, and what it can be computed from is withheld with it) is that of primary and complementary suppression of magnitudes:
// Massell, Cell Suppression and Audit Programs used for Economic Magnitude Data, US Bureau of the Census, Report RR2001/01.
const leastOtherPct = 11

// crewPart is a row of crew_parts: what a crew put on a route in a storm, of a class and form, in millionths. What is withheld is told by
// the last: the crew's figures, those of the row of storm_routes, of the storm's sums that hold it, and of the season's; what its zone's
// row and the season's row of the comparison say, whose pounds are judged ones; and sums of weighed pounds that hold it, the season's too.
type crewPart struct {
	Season       string `db:"season"`
	StormID      string `db:"storm_id"`
	ZoneID       string `db:"zone_id"`
	RouteID      string `db:"route_id"`
	Class        string `db:"material_class"`
	Form         string `db:"form"`
	CrewID       string `db:"crew_id"`
	Weeks        string `db:"weeks"`
	Sums         string `db:"sums"`
	IsProtected  bool   `db:"is_protected"`
	TreatedMicro int64  `db:"treated_ulane_mi"`
	MeasureMicro int64  `db:"measured_ulane_mi"`
	AppliedMicro int64  `db:"applied_ulb"`
	JudgedMicro  int64  `db:"judged_ulb"`
	WeighedMicro int64  `db:"weighed_ulb"`
	IsCounted    bool   `db:"is_counted"`
	IsCompared   bool   `db:"is_compared"`
	IsWeighed    bool   `db:"is_weighed"`
	OfCrew       bool   `db:"of_crew"`
	OfRoute      bool   `db:"of_route"`
	OfStorm      bool   `db:"of_storm"`
	OfSeason     bool   `db:"of_season"`
	OfZone       bool   `db:"of_zone"`
	OfComparison bool   `db:"of_comparison"`
	OfWeighed    bool   `db:"of_weighed"`
	OfWeighedAll bool   `db:"of_weighed_season"`
}

// partRow is a row of storm_routes as the parts of its crews.
type partRow []*crewPart

// block names the rows that the same sums of the storm hold, season those that the same sums of the season do.
func (r partRow) block() string  { return r.season() + "\n" + r[0].StormID + "\n" + r[0].Weeks }
func (r partRow) season() string { return r[0].Season + "\n" + r[0].Sums }
func (r partRow) route() string  { return r[0].StormID + "\n" + r[0].RouteID }
func (r partRow) row() string    { return r.route() + "\n" + r[0].Class + "\n" + r[0].Form }

// isBlurred tells whether the sum of all parts leaves each protected crew's share of it, and so any sum of such shares, in a wide enough
// range.
func isBlurred(parts []*crewPart) bool {
	all, own := [3]int64{}, map[string][3]int64{}
	for _, p := range parts {
		sum := own[p.CrewID]
		for m, x := range [3]int64{p.TreatedMicro, p.MeasureMicro, p.AppliedMicro} {
			if all[m] += x; p.IsProtected {
				sum[m] += x
			}
		}
		own[p.CrewID] = sum
	}
	for _, sum := range own {
		for m, x := range sum {
			if 100*(all[m]-x) < leastOtherPct*x {
				return false
			}
		}
	}
	return true
}

// FillWithheld makes withheld_parts: crew_parts with what is not published of them, so that no figure of a protected crew can be computed
// from what is.
func FillWithheld(ctx context.Context, l *ledger.Ledger, _ *district.Settings) error {
	parts, err := ledger.ReadTable[crewPart](ctx, l, `select *, false as of_crew, false as of_route, false as of_storm, false as of_season,
		false as of_zone, false as of_comparison, false as of_weighed, false as of_weighed_season
		from crew_parts order by storm_id, route_id, material_class, form, crew_id`)
	if err != nil {
		return err
	}
	withholdParts(parts)
	return ledger.ReplaceTable(ctx, l, "withheld_parts", parts)
}

// withholding is the choice under way: rows by route and storm, by what the same sums of a storm hold, and of a season.
type withholding struct {
	routes, blocks, seasons map[string][]partRow
	hasMore                 bool // something was hidden that blocks and seasons have not seen
}

// withholdParts marks the parts.
func withholdParts(parts []crewPart) {
	w := withholding{routes: map[string][]partRow{}, blocks: map[string][]partRow{}, seasons: map[string][]partRow{}}
	byRow := map[string]partRow{}
	for i := range parts {
		row := partRow{&parts[i]}.row()
		byRow[row] = append(byRow[row], &parts[i])
	}
	for _, row := range contract.SortedKeys(byRow) {
		r := byRow[row]
		w.routes[r.route()] = append(w.routes[r.route()], r)
		w.blocks[r.block()] = append(w.blocks[r.block()], r)
		w.seasons[r.season()] = append(w.seasons[r.season()], r)
	}
	for _, row := range contract.SortedKeys(byRow) {
		if !blurCrews(byRow[row]) {
			w.hide(byRow[row])
		}
	}
	for w.hasMore {
		w.hasMore = false
		for _, block := range contract.SortedKeys(w.blocks) {
			w.blur(w.blocks[block], false)
		}
		for _, season := range contract.SortedKeys(w.seasons) {
			w.blur(w.seasons[season], true)
		}
	}
	w.withholdScaled(parts)
}

// blurCrews withholds the figures of a row's protected crews and of as few others as it takes; false where all of them do not suffice.
func blurCrews(r partRow) bool {
	var hidden, others []*crewPart
	for _, p := range r {
		if p.IsProtected {
			hidden = append(hidden, p)
		} else {
			others = append(others, p)
		}
	}
	if len(hidden) == 0 {
		return true
	}
	slices.SortStableFunc(others, func(x, y *crewPart) int { return cmp.Compare(x.AppliedMicro, y.AppliedMicro) })
	if at := slices.IndexFunc(others, func(p *crewPart) bool { return isBlurred(slices.Concat(hidden, []*crewPart{p})) }); at >= 0 {
		others = others[at : at+1] // the least one that suffices alone
	}
	hidden = append(hidden, others...)
	for _, p := range hidden {
		p.OfCrew = true
	}
	return isBlurred(hidden)
}

// hide withholds the rows of a route in a storm: of all its materials, for pages tell them together.
func (w *withholding) hide(r partRow) {
	for _, p := range slices.Concat(w.routes[r.route()]...) {
		p.OfCrew, p.OfRoute = true, true
	}
	w.hasMore = true
}

// lose withholds the storm's sums of rows.
func (w *withholding) lose(rows []partRow) {
	for _, p := range slices.Concat(rows...) {
		p.OfStorm = true
	}
	w.hasMore = true
}

// blur hides rows until the sums of a storm tell nothing of a protected crew; where all rows do not suffice, these sums are withheld. The
// sums of a season must not tell what storms without sums hide: a row of another storm is hidden together with its storm's sums.
func (w *withholding) blur(rows []partRow, isSeason bool) {
	for first := rows[0][0]; isSeason && !first.OfSeason || !isSeason && !first.OfStorm; {
		var hidden []*crewPart
		var others []partRow
		for _, r := range rows {
			if isIn := !isSeason || r[0].OfStorm; isIn && r[0].OfRoute {
				hidden = append(hidden, r...)
			} else if !r[0].OfRoute && !(isSeason && isIn) {
				others = append(others, r)
			}
		}
		if isBlurred(hidden) {
			return
		}
		switch partner := w.partnerOf(hidden, others); {
		case partner != nil:
			w.hide(partner)
			if isSeason {
				w.lose(w.blocks[partner.block()])
			}
		case isSeason:
			for _, p := range slices.Concat(rows...) {
				p.OfSeason = true
			}
		default:
			w.lose(rows)
		}
	}
}

// partnerOf is the row to hide beside those hidden: one that suffices before one that does not, then the one that takes the fewest figures
// of crews with it, then one of their zone, then the smallest that suffices or the largest that does not; nil without rows.
func (w *withholding) partnerOf(hidden []*crewPart, rows []partRow) (partner partRow) {
	var least [4]int64
	for _, r := range rows {
		var cost [4]int64
		for _, p := range slices.Concat(w.routes[r.route()]...) {
			if !p.OfCrew {
				cost[1]++
			}
		}
		if r[0].ZoneID != hidden[0].ZoneID {
			cost[2] = 1
		}
		for _, p := range r {
			cost[3] += p.TreatedMicro
		}
		if !isBlurred(slices.Concat(hidden, r)) {
			cost[0], cost[3] = 1, -cost[3]
		}
		if partner == nil || slices.Compare(cost[:], least[:]) < 0 {
			partner, least = r, cost
		}
	}
	return partner
}
