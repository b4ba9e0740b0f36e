package pipeline

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// keysBy are the keys of a map in the order of a text.
func keysBy[K comparable, V any](of map[K]V, text func(K) string) []K {
	var keys []K
	for k := range of {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(x, y K) int { return cmp.Compare(text(x), text(y)) })
	return keys
}

// leastRange is how far below and above the truth an attacker's range must reach, as a share of it.
const leastRange = 0.10

// findings are figures of protected crews that an attacker knows too well.
func (a *attacker) findings() (found []string, figures int) {
	known, err := newAttack(len(a.shares), measures*len(a.shares)+len(a.extra), a.known)
	require.NoError(a.t, err)
	cheap := newMoves(a.known, a.truth)
	sums := map[string][]int{}
	for i, s := range a.shares {
		if !s.IsProtected {
			continue
		}
		for _, part := range []string{"", s.row(), s.Season, s.Storm, s.Season + " " + s.Class, s.Season + " " + s.Class + " " + s.Form,
			s.Season + " " + s.Route, s.Season + " " + s.Route + " " + s.Class, s.Storm + " " + s.Class, s.Route} {
			sums["crew "+s.Crew+" "+part] = append(sums["crew "+s.Crew+" "+part], i)
		}
	}
	for _, name := range keysBy(sums, func(s string) string { return s }) {
		for m := range measures {
			truth, weights := 0.0, map[int]float64{}
			for _, i := range sums[name] {
				truth += a.shares[i].amount(m)
				weights[measures*i+m] = 1
			}
			if cheap.reaches(weights, -1, (1-leastRange)*truth) && cheap.reaches(weights, 1, (1+leastRange)*truth) {
				figures++
				continue
			}
			low, lowErr := known.bound(weights, -1)
			high, highErr := known.bound(weights, 1)
			require.NoError(a.t, errors.Join(lowErr, highErr), name)
			require.True(a.t, low <= truth*1.001+0.001 && high >= truth*0.999-0.001, "%s of %s: %g to %g do not hold %g",
				measureNames[m], name, low, high, truth)
			figures++
			if truth > 0 && (low > (1-leastRange)*truth || high < (1+leastRange)*truth) {
				found = append(found, fmt.Sprintf("%s of %s: %g to %g around %g", measureNames[m], name, low, high, truth))
			}
		}
	}
	rates, n := a.rateFindings(known, cheap)
	return append(found, rates...), figures + n
}

// rateFindings are the rates that an attacker knows too well: pounds less so many times its lane-miles are never above 0, or never below.
func (a *attacker) rateFindings(known *attack, cheap *moves) (found []string, figures int) {
	for i, s := range a.shares {
		if !s.IsProtected || s.Rate == 0 || math.Abs(s.Lb-s.Rate*s.Measured) > 1e-6*s.Lb {
			continue // without a rate, or with pounds that it does not hold
		}
		figures++
		for _, sign := range []float64{1, -1} {
			rate := (1 + sign*leastRange) * s.Rate
			weights := map[int]float64{measures*i + pounds: 1, measures*i + measured: -rate}
			if cheap.reaches(weights, sign, sign*1e-6*s.Lb) {
				continue
			}
			beyond, err := known.bound(weights, sign)
			require.NoError(a.t, err, s.row())
			if sign*beyond < 1e-6*s.Lb {
				found = append(found, fmt.Sprintf("rate of %s crew %s: not beyond %g", s.row(), s.Crew, rate))
			}
		}
	}
	return found, figures
}

// published is what a night publishes of a ledger, and what its pages are made of, which holds all that pages show and more.
func published(t *testing.T, l *ledger.Ledger, publish district.Publish) (*book.Data, map[string]string) {
	t.Helper()
	building := t.TempDir()
	require.NoError(t, os.MkdirAll(filepath.Join(building, "public", "data"), 0o755))
	view, err := release.ReadPublicView(t.Context(), l, disk.Layer{}, t.TempDir(), publish)
	require.NoError(t, err)
	settings := district.DefaultSettings()
	settings.Publish = publish
	data, err := release.ReadSiteData(t.Context(), l, settings, view)
	require.NoError(t, err)
	require.NoError(t, release.PublishData(t.Context(), disk.Layer{}, l, building, view))
	return data, readPublic(t, filepath.Join(building, "public"))
}

// keptShare is how much of the figures of unprotected crews stays published.
func (a *attacker) keptShare() float64 {
	shown := map[string]bool{}
	for _, r := range a.data.CrewStorms {
		shown[cellOf(r)] = r.TreatedLaneMiles != nil
	}
	kept, all := 0.0, 0.0
	for _, s := range a.shares {
		if !s.IsProtected {
			all++
			if shown[s.row()+"|"+s.Crew] {
				kept++
			}
		}
	}
	return kept / all
}

func cellOf(r rows.CrewStorm) string {
	return share{Storm: r.StormID, Route: r.RouteID, Class: r.MaterialClass, Form: r.Form}.row() + "|" + r.CrewID
}

// checkWithheld holds what no sum tells to the same: passes, rates, reasons and pounds kept off that rest on what is withheld.
func (a *attacker) checkWithheld() {
	small, hidden, seasons := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, s := range a.shares {
		if s.IsProtected {
			small[s.Storm+"|"+s.Route], small[s.row()] = true, true
		}
	}
	for _, r := range a.data.StormRoutes {
		key := r.StormID + "|" + r.RouteID
		if r.TreatedLaneMiles == nil {
			hidden[key], hidden[r.StormID+"|"+r.ZoneID], hidden[r.Season+"|"+r.RouteID] = true, true, true
			seasons[r.Season] = true
		}
		isSmall := small[key+"|"+r.MaterialClass+"|"+r.Form]
		assert.False(a.t, r.CrewIDs != "" && (isSmall || hidden[key]), "%s names its crews", key)
	}
	for _, p := range a.data.StormPasses {
		key := p.StormID + "|" + p.RouteID
		assert.False(a.t, (small[key] || hidden[key]) && (p.AppliedLb != nil || p.LaneMiles != nil || p.TruckID != ""), "a pass on %s", key)
	}
	for _, r := range a.data.LearningResiduals {
		assert.False(a.t, r.Rate != nil && hidden[r.StormID+"|"+r.RouteID], "a fitted rate on %s in %s", r.RouteID, r.StormID)
	}
	for _, r := range a.data.StormReasons {
		assert.False(a.t, hidden[a.seasonOf(r.StormID)+"|"+r.RouteID], "quartiles of %s", r.RouteID)
	}
	for _, r := range a.data.StormRoutesCorrected {
		assert.False(a.t, hidden[r.StormID+"|"+r.RouteID], "weighed pounds on %s in %s", r.RouteID, r.StormID)
	}
	a.checkKeptOff(hidden, seasons)
}

func (a *attacker) seasonOf(stormID string) string {
	return a.strata[slices.IndexFunc(a.strata, func(s stratum) bool { return s.Storm == stormID })].Season
}

// checkKeptOff: an estimate rests on the routes of its zone in the storm, and on its route's earlier seasons.
func (a *attacker) checkKeptOff(hidden, seasons map[string]bool) {
	bases, err := ledger.ReadTable[struct {
		Storm     string `db:"storm_id"`
		Season    string `db:"season"`
		Route     string `db:"route_id"`
		Zone      string `db:"zone_id"`
		Watershed string `db:"watershed"`
	}](a.t.Context(), a.l, `select storm_id, season, route_id, zone_id, coalesce(watershed, '') as watershed
		from chloride_kept_off inner join routes using (route_id)`)
	require.NoError(a.t, err)
	storms, water, whole := map[string]bool{}, map[string]bool{}, map[string]bool{}
	for _, b := range bases {
		isHidden := hidden[b.Storm+"|"+b.Zone]
		for season := range seasons {
			isHidden = isHidden || season < b.Season && hidden[season+"|"+b.Route]
		}
		if isHidden {
			storms[b.Storm+"|"+b.Watershed], water[b.Season+"|"+b.Watershed], whole[b.Season] = true, true, true
		}
	}
	for _, w := range a.data.WatershedStorms {
		assert.False(a.t, w.KeptOffLb != nil && storms[w.StormID+"|"+w.Watershed], "kept off: %s %s", w.StormID, w.Watershed)
	}
	for _, w := range a.data.WatershedSeasons {
		assert.False(a.t, w.KeptOffLb != nil && water[w.Season+"|"+w.Watershed], "kept off: %s %s", w.Season, w.Watershed)
	}
	for _, w := range a.data.WholeSeasons {
		assert.False(a.t, w.KeptOffLb != nil && whole[w.Season], "kept off: %s", w.Season)
	}
}

// drawCrews makes another district of the demo's ledger: other crews of other sizes, who share the zones by shifts or have one to
// themselves, with routes and storms left out. One crew or two are small, and have one shift of a zone; in a heavy draw any number.
func drawCrews(t *testing.T, l *ledger.Ledger, seed uint64, isHeavy bool) string {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 18))
	crews, protected := 4+r.IntN(6), 1+r.IntN(2)
	var people, places []string
	for i := range crews {
		members := fmt.Sprint(3 + r.IntN(5))
		if i < protected {
			members = []string{"", "1", "2", "Ada;Bo"}[r.IntN(4)]
		}
		people = append(people, fmt.Sprintf("('c%d', 'Crew %d', 0, nullif('%s', ''))", i, i, members))
	}
	small := r.Perm(4)[:protected] // a small crew's zone
	for at, zone := range []string{"ridge", "plain", "shore", "harbor"} {
		shifts, c := 1+r.IntN(4), slices.Index(small, at)
		if c >= 0 && !isHeavy {
			shifts += 2
		}
		for shift := range shifts {
			crew := protected + r.IntN(crews-protected)
			switch {
			case c >= 0 && shift == 0:
				crew = c
			case isHeavy:
				crew = r.IntN(crews)
			}
			places = append(places, fmt.Sprintf("('%s', %d, 'c%d')", zone, shift, crew))
		}
	}
	hours := 4 + r.IntN(20)
	for _, step := range []string{
		"delete from crews",
		"insert into crews (crew_id, label, prior_acetate_storms, members) values " + strings.Join(people, ", "),
		"create or replace temp table places (zone_id text, shift bigint, crew_id text)",
		"insert into places values " + strings.Join(places, ", "),
		fmt.Sprintf("delete from passes where hash(route_id, %d) %% 10 < %d or hash(cast(began_at as date), %[1]d) %% 10 < %[3]d", seed,
			r.IntN(3), r.IntN(4)),
		fmt.Sprintf(`update passes set crew_id = places.crew_id
			from routes, places, (select zone_id, count(*) as shifts from places group by all) as counted
			where routes.route_id = passes.route_id and places.zone_id = routes.zone_id and counted.zone_id = routes.zone_id
			and places.shift = hash(epoch_us(passes.began_at) // (%d * 3600000000), passes.route_id, %d) %% counted.shifts`, hours, seed),
		"update assignments set crew_id = 'c0'", "delete from learning_residuals", // of other crews
	} {
		require.NoError(t, l.Exec(t.Context(), step), step)
	}
	require.NoError(t, walk(t.Context(), l, testSettings("America/Chicago"), stretchPasses, stretchFindings))
	compareAgain(t, l)
	return fmt.Sprintf("district %d: %d small of %d crews, places %s, shifts of %d h", seed, protected, crews, places, hours)
}

// compareAgain walks the stretches in which a night chooses what it withholds.
func compareAgain(t *testing.T, l *ledger.Ledger) {
	t.Helper()
	for _, stretch := range []stretch{stretchVerdicts, stretchMoney} {
		require.NoError(t, walk(t.Context(), l, testSettings("America/Chicago"), stretch, stretch))
	}
}

// attackModes plays the attacker in every mode, and gives the least share of figures that stay published and how many he was after. Where a
// mode tells nothing that another does not, he cannot learn more from it.
func attackModes(t *testing.T, l *ledger.Ledger, words string) (kept float64, figures int) {
	t.Helper()
	told, most := map[string]bool{}, 0
	kept = 1
	for _, mode := range []string{rows.CrewPagesAll, rows.CrewPagesOwn, rows.CrewPagesNone} {
		data, files := published(t, l, district.Publish{CrewPages: mode})
		a := newAttacker(t.Context(), t, l, data, files)
		a.checkWithheld()
		kept, figures = min(kept, a.keptShare()), figures+most
		if !slices.ContainsFunc(a.known, func(r relation) bool { return !told[r.from] }) {
			continue
		}
		clear(told)
		for _, r := range a.known {
			told[r.from] = true
		}
		found, n := a.findings()
		assert.Empty(t, found[:min(len(found), 5)], "%s, %s: %d of %d figures", words, mode, len(found), n)
		figures, most = figures-most+n, n
	}
	return kept, figures
}

// TestNobodyComputesASmallCrew plays the attacker on the demo, one of whose crews has two members.
func TestNobodyComputesASmallCrew(t *testing.T) {
	kept, figures := attackModes(t, runDemoNight(t).ledger(t), "demo")
	assert.Greater(t, figures, 3*1000)
	assert.GreaterOrEqual(t, kept, 0.8)
}

// TestNobodyComputesASmallCrewOfDrawnDistricts plays the attacker on districts by seed, every fourth of them heavy.
func TestNobodyComputesASmallCrewOfDrawnDistricts(t *testing.T) {
	count, least, figures := uint64(2), 1.0, 0
	if isTorture {
		count = 50
	}
	result := beginResult(t, "an attacker computes the bounds of a small crew's figures from all that is public", "")
	for seed := range count {
		l, isHeavy := runDemoNight(t).ledger(t), seed%4 == 1
		words := drawCrews(t, l, seed, isHeavy)
		kept, n := attackModes(t, l, words)
		if !isHeavy {
			assert.GreaterOrEqual(t, kept, 0.8, words)
			least = min(least, kept)
		}
		figures += n
	}
	result.count = int(count)
	result.result = fmt.Sprintf("%d figures in 3 modes, each left in a range of 10 %% or more to both sides; %.0f %% or more of the other "+
		"crews' figures stay", figures, 100*least)
}

// TestNothingIsWithheldWithoutSmallCrews: the public files of a district without small crews, that names its crews, are the full ones.
func TestNothingIsWithheldWithoutSmallCrews(t *testing.T) {
	demo := runDemoNight(t)
	l := demo.ledger(t)
	require.NoError(t, l.Exec(t.Context(), "update crews set members = '3'"))
	compareAgain(t, l)
	data, files := published(t, l, district.Publish{CrewPages: rows.CrewPagesAll, RawLines: true})
	compared := 0
	for name, text := range files {
		if strings.HasSuffix(name, ".csv") || strings.HasSuffix(name, ".parquet") {
			full, err := os.ReadFile(filepath.Join(demo.dir, "current", name))
			require.NoError(t, err)
			assert.Equal(t, string(full), text, name)
			compared++
		}
	}
	assert.Greater(t, compared, 30)
	for _, p := range data.StormPasses {
		require.NotEmpty(t, p.TruckID)
	}
}

// TestWithheldFiguresStandOnNoPage looks for the withheld figures themselves on the pages of their storm, route and crew and in the rows of
// files about them, as these write them.
func TestWithheldFiguresStandOnNoPage(t *testing.T) {
	l := runDemoNight(t).ledger(t)
	figures, err := ledger.ReadTable[struct {
		Storm string  `db:"storm_id"`
		Route string  `db:"route_id"`
		Crew  string  `db:"crew_id"`
		Value float64 `db:"value"`
	}](t.Context(), l, `
		select c.storm_id, c.route_id, c.crew_id, c.applied_lb as value
		from crew_storms c inner join withheld_parts w using (storm_id, route_id, material_class, form, crew_id)
		where w.of_crew and c.applied_lb >= 1000
		union all from (
			select r.storm_id, r.route_id, 'crew-6', unnest([r.applied_lb, r.chloride_lb, r.cost_usd]) as value
			from storm_routes r semi join (select * from withheld_parts where of_route) w using (storm_id, route_id)
		) where value >= 1000`)
	require.NoError(t, err)
	require.Greater(t, len(figures), 300)
	files := publicFiles(t, l, t.TempDir(), district.Publish{CrewPages: rows.CrewPagesAll})
	cells := map[string][]string{}
	for _, name := range []string{"storm_routes.csv", "crew_storms.csv"} {
		header, list := csvTable(t, files["data/"+name])
		for _, row := range list {
			at := row[slices.Index(header, "storm_id")] + " " + row[slices.Index(header, "route_id")]
			cells[at] = append(cells[at], row...)
		}
	}
	for _, f := range figures {
		whole := int(math.Round(f.Value))
		onPages := fmt.Sprintf(">%d,%03d<", whole/1000, whole%1000)
		for page, names := range map[string]string{"storms/" + format.FileName(f.Storm): ">" + f.Route,
			"routes/" + format.FileName(f.Route): ">" + f.Storm, "crews/" + f.Crew: ">" + f.Storm} {
			require.Contains(t, files, page+".html")
			for row := range strings.SplitSeq(files[page+".html"], "<tr") {
				assert.False(t, strings.Contains(row, names) && strings.Contains(row, onPages), "%s: %s of %s on %s in %s", page, onPages,
					f.Crew, f.Route, f.Storm)
			}
		}
		assert.NotContains(t, cells[f.Storm+" "+f.Route], strconv.FormatFloat(f.Value, 'f', -1, 64), "%s on %s in %s", f.Crew, f.Route,
			f.Storm)
	}
	for _, page := range []string{"storms/z_d_-20271114.html", "routes/l_-01.html", "crews/crew-5.html"} {
		assert.Contains(t, files[page], format.NotShown, page)
	}
}
