package verdicts

import (
	"fmt"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/rows"
)

// figure is a share of seasons that a world asks for. Least and most are what the test holds it to; before is what is known of the method
// that was before, in percent.
type figure struct {
	name, asked string
	least, most float64
	before      string
}

// worldCase is a world and what its seasons must keep to; judge says for each figure whether the season counts.
type worldCase struct {
	name    string
	world   world
	figures []figure
	judge   func(d *drawn) []bool
}

// shortWorlds are those that every run of the tests draws.
var shortWorlds = []string{"routes differ by SD 0.2, in acetate by 0.06, 6 v 6", "roads 25 % later, 6 v 6",
	"three orders of -8 % that nobody logged, no learning, 6 v 6", "a true fall of 6.5 % a doubling, two seasons, 6 v 6",
	"counters empty, set rates alone, 6 v 6", "first winter on the upper path, 6 v 6", "pounds 25 % lower, two seasons, 6 v 6"}

func atMost(name, asked string, most float64) figure   { return figure{name, asked, 0, most, ""} }
func atLeast(name, asked string, least float64) figure { return figure{name, asked, least, 1, ""} }

func (f figure) was(before string) figure {
	f.before = before
	return f
}

func with(w world, change func(w *world)) world {
	change(&w)
	return w
}

// sides are the two districts that most worlds are drawn for.
func sides(change func(w *world)) map[string]world {
	return map[string]world{
		"6 v 6": with(alike(), change),
		"3 v 7": with(alike(), func(w *world) { w.Acetate, w.Chloride = 3, 7; change(w) }),
	}
}

// falseClaims reads the page at each storm's end of the season, since nothing changes between, and once it is closed; it stops once all
// are shown. Roads can only take a claim away, so they are asked where it would be shown without them.
func falseClaims(d *drawn) []bool {
	shown := make([]bool, 6)
	whole := *d.in
	look := func(in *SeasonsInput, at int) {
		all := in.Rows
		var some []BesideSaltRow
		for _, row := range all {
			if row.Question == rows.QuestionRate || row.Question == rows.QuestionApplications {
				some = append(some, row)
			}
		}
		in.Rows = some
		f := in.judge(d.season)
		start := f.Fits[rows.QuestionRate].Start.widened(f.Widening)
		applications := f.Fits[rows.QuestionApplications].Season.widened(f.Widening)
		if start != nil && start.Low > 0 || f.Control == rows.ControlBeyond || applications != nil && applications.High < 0 {
			in.Rows = all
			f = in.judge(d.season)
			for k, claim := range []int64{2, 3, 4} {
				shown[at+k] = shown[at+k] || f.claims(rows.ClaimYes, claim)
			}
		}
	}
	look(&whole, 3)
	copy(shown, shown[3:])
	for storms := 1; storms <= len(d.storms) && slices.Contains(shown[:3], false); storms++ {
		look(d.night(storms), 0)
	}
	return shown
}

// poundsTruth is the logarithm of the ratio of pounds at the mean experience of the season's acetate rows.
func (d *drawn) poundsTruth(season string) float64 {
	sum, n := 0.0, 0.0
	for _, row := range d.in.Rows {
		if row.Question == rows.QuestionPounds && row.Season == season && row.IsAcetate && *row.Y > 0 {
			sum, n = sum+*row.X, n+1
		}
	}
	return d.Start + d.Applications + d.Learning*sum/n
}

func holdsPounds(d *drawn) []bool {
	d.only(rows.QuestionPounds)
	var held []bool
	for season := range d.Seasons {
		name := fmt.Sprintf("%d-%02d", 2027+d.Before+season, 28+d.Before+season)
		held = append(held, inside(d.in.judge(name).Fits[rows.QuestionPounds].Season, d.poundsTruth(name)) == 1)
	}
	return held
}

func isBeyond(d *drawn) []bool {
	return []bool{d.only(rows.QuestionRate).atEnd().Control == rows.ControlBeyond}
}

func roadsOf(d *drawn) []bool {
	verdict := d.only(rows.QuestionHours).atEnd().Verdicts.RegainVerdict
	return []bool{verdict == rows.RoadsNoWorse, verdict == rows.RoadsWorse}
}

func pathOf(d *drawn) []bool {
	f := d.only(rows.QuestionRate, rows.QuestionPounds).atEnd()
	return []bool{f.RatePath == rows.PathAbove, f.Verdicts.PathVerdict == rows.PathAbove}
}

// onPath begins at the band's upper end and comes down along the path's, times a factor.
func onPath(factor float64) func(w *world) {
	return func(w *world) {
		w.Start = math.Log(rows.StartBandHigh * factor)
		w.Learning = (math.Log(1.10) - math.Log(rows.StartBandHigh)) / math.Log2(41)
	}
}

func worldCases() []worldCase {
	var list []worldCase
	add := func(name string, change func(w *world), judge func(d *drawn) []bool, figures ...figure) {
		of := sides(change)
		for _, side := range contract.SortedKeys(of) {
			list = append(list, worldCase{name: name + ", " + side, world: of[side], figures: figures, judge: judge})
		}
	}
	list = append(list, coverageCases()...)
	for _, steeper := range []float64{0.007, 0.015} {
		for _, warmer := range []float64{6, 12} {
			add(fmt.Sprintf("acetate steeper by %.1f %% a degree F, %.0f F warmer, no learning", 100*steeper, warmer), func(w *world) {
				w.SteeperPerF, w.WarmerF = steeper, warmer
			}, isBeyond, atMost("beyond salt", "at most 7", 0.07).was("12 to 95"))
		}
	}
	add("a storm's effect on acetate alone, SD 0.06", func(w *world) { w.AcetateStormSD, w.Learning = 0.06, -0.05 },
		func(d *drawn) []bool {
			return []bool{inside(d.only(rows.QuestionRate).atEnd().Fits[rows.QuestionRate].Net, d.Learning) == 1}
		}, figure{"net change held", "87 to 93", 0.87, 0.93, ""})
	list = append(list, roadCases()...)
	list = append(list, learningCases()...)
	add("counters empty, set rates alone", func(w *world) { w.IsUncounted, w.Start, w.Learning = true, math.Log(1.4), -0.065 },
		func(d *drawn) []bool {
			whole := *d.in
			early := d.night(len(d.storms) / 2)
			return []bool{whole.judge(d.season).claims(rows.ClaimYes, 2, 3, 5) || early.judge(d.season).claims(rows.ClaimYes, 2, 3, 5)}
		}, atMost("claim 2, 3 or 5", "never", 0).was("set rates passed as pounds"))
	add("first winter on the upper path", onPath(1), pathOf, atMost("rates above the path", "at most 5", 0.05),
		atMost("pounds above the path", "at most 5", 0.05))
	add("first winter 30 % above the upper path", onPath(1.3), pathOf, atLeast("rates above the path", "at least 90", 0.90),
		atLeast("pounds above the path", "at least 90", 0.90))
	add("pounds 25 % lower, two seasons", func(w *world) { w.Applications, w.Seasons = math.Log(0.75), 2 }, func(d *drawn) []bool {
		return []bool{d.only(rows.QuestionPounds).atEnd().Verdicts.Verdict == rows.Less}
	}, atLeast("less", "at least 80", 0.80))
	return list
}

// coverageCases are 18 districts, each judged after 1, 2 and 3 seasons.
func coverageCases() []worldCase {
	var list []worldCase
	for _, own := range []float64{0, 0.06, 0.12} {
		for _, route := range []float64{0, 0.1, 0.2} {
			plain := ""
			if route == 0.2 {
				plain = "39, the plain ratio"
			}
			of := sides(func(w *world) {
				w.Seasons, w.RouteSD, w.OwnSD, w.RateSD, w.Start, w.Learning = 3, route, own, 0, math.Log(1.35), -0.05
			})
			for _, side := range contract.SortedKeys(of) {
				one := worldCase{name: fmt.Sprintf("routes differ by SD %.1f, in acetate by %.2f, %s", route, own, side), world: of[side],
					judge: holdsPounds}
				for season := range 3 {
					name := fmt.Sprintf("material_ratio held, season %d", season+1)
					one.figures = append(one.figures, figure{name, "87 to 96", 0.87, 0.96, plain})
				}
				list = append(list, one)
			}
		}
	}
	return list
}

func roadCases() []worldCase {
	var list []worldCase
	add := func(name string, change func(w *world), seasons int, noWorse figure, more ...figure) {
		of := sides(func(w *world) { w.Seasons = seasons; change(w) })
		for _, side := range contract.SortedKeys(of) {
			figures := append([]figure{noWorse}, more...)
			if side == "3 v 7" && noWorse.least > 0 {
				figures[0].asked, figures[0].least = "as high as can be", 0
			}
			list = append(list, worldCase{name: name + ", " + side, world: of[side], judge: roadsOf, figures: figures})
		}
	}
	add("6 points more of acetate not bare", func(w *world) { w.NotBareAcetate = 0.09 }, 1, atMost("no worse", "at most 8", 0.08))
	add("roads 1.5 h later", func(w *world) { w.LaterH = 1.5 }, 1, atMost("no worse", "at most 5", 0.05))
	add("roads 25 % later", func(w *world) { w.LaterPct = 25 }, 1, atMost("no worse", "at most 5", 0.05))
	for _, seasons := range []int{1, 2} {
		for _, share := range []float64{0, 0.03} {
			noWorse := atLeast("no worse", "at least 75", 0.75)
			if share > 0 {
				noWorse = atLeast("no worse", "at least 55", 0.55)
			}
			worse := atMost("worse", "at most 6", 0.06).was("13")
			if seasons > 1 {
				worse.most = 0.09 // two questions at 5 % each
			}
			add(fmt.Sprintf("roads equal, 90 %% reported, %.0f %% not bare, seasons %d", 100*share, seasons), func(w *world) {
				w.Reported, w.NotBare, w.NotBareAcetate = 0.90, share, share
			}, seasons, noWorse, worse)
		}
	}
	return list
}

// shownFalling is what tells a fall: the curve's verdict, or that beside salt.
func shownFalling(d *drawn) []bool {
	return []bool{FitCurve(d.curve).Verdict.Base == rows.Falling || isBeyond(d)[0]}
}

func learningCases() []worldCase {
	var list []worldCase
	add := func(name string, change func(w *world), judge func(d *drawn) []bool, figures ...figure) {
		of := sides(change)
		for _, side := range contract.SortedKeys(of) {
			list = append(list, worldCase{name: name + ", " + side, world: of[side], judge: judge, figures: figures})
		}
	}
	add("nothing learnt, acetate as salt from the start", func(*world) {}, falseClaims,
		atMost("claim 2 on any night", "at most 10", 0.10), atMost("claim 3 on any night", "at most 10", 0.10).was("26, falling"),
		atMost("claim 4 on any night", "at most 10", 0.10), atMost("claim 2 at the end", "at most 7", 0.07),
		atMost("claim 3 at the end", "at most 7", 0.07), atMost("claim 4 at the end", "at most 7", 0.07))
	add("three orders of -8 % that nobody logged, no learning", func(w *world) {
		w.Orders = []float64{math.Log(0.92), math.Log(0.92), math.Log(0.92)}
	}, shownFalling, atMost("falling or beyond salt", "at most 10", 0.10).was("85 (3 v 7), 100 (6 v 6)"))
	add("an order of -10 % that nobody logged, no learning", func(w *world) { w.Orders = []float64{math.Log(0.90)} }, shownFalling,
		atMost("falling or beyond salt", "at most 10", 0.10).was("42 (3 v 7), 88 (6 v 6)"))
	for _, one := range [][2]float64{{0.065, 0.88}, {0.04, 0.55}} {
		fall, least := one[0], one[1]
		add(fmt.Sprintf("a true fall of %.1f %% a doubling, two seasons", 100*fall), func(w *world) {
			w.Seasons, w.Start, w.Learning = 2, math.Log(1.42), math.Log1p(-fall)
		}, isBeyond, atLeast("beyond salt", fmt.Sprintf("at least %.0f", 100*least), least))
	}
	return list
}

// TestSimulatedWorlds draws winters of known truth, judges them as a night does, and holds the verdicts to what they promise, within three
// standard errors of so many seasons. LANETALLY_SIMULATE draws half so many of each world, all worlds; -update-reference notes them.
func TestSimulatedWorlds(t *testing.T) {
	seasons, isShort := 10, true
	if told := os.Getenv("LANETALLY_SIMULATE"); told != "" {
		given, err := strconv.Atoi(told)
		require.NoError(t, err, "LANETALLY_SIMULATE is a number of seasons")
		seasons, isShort = given/2, false
	}
	for number, one := range worldCases() {
		if isShort && !slices.Contains(shortWorlds, one.name) {
			continue
		}
		t.Run(one.name, func(t *testing.T) {
			counts := make([]float64, len(one.figures))
			for seed := range seasons {
				told := one.judge(one.world.draw(uint64(1_000_000*number + seed)))
				for k := range counts {
					if told[k] {
						counts[k]++
					}
				}
			}
			for k, f := range one.figures {
				share := counts[k] / float64(seasons)
				t.Logf("| %s | %s | %s | %d | %.1f |", one.name, f.name, f.asked, seasons, 100*share)
				slack := func(p float64) float64 { return 3 * math.Sqrt(p*(1-p)/float64(seasons)) }
				assert.GreaterOrEqual(t, share, f.least-slack(f.least), "%s: %s", one.name, f.name)
				assert.LessOrEqual(t, share, f.most+slack(f.most), "%s: %s", one.name, f.name)
				if *updateReference && !isShort {
					noteWorld(t, one, f, seasons, share)
				}
			}
		})
	}
}

// simulationFile holds what the long runs reached; what this test reached stands from worldsHeading on.
const (
	simulationFile = "../../testdata/reference/SIMULATION.md"
	worldsHeading  = "# Simulated worlds\n"
)

// key is how a figure's row of the table begins.
func (one worldCase) key(f figure) string { return "| " + one.name + " | " + f.name + " |" }

// noteWorld writes a figure's row into the table anew.
func noteWorld(t *testing.T, one worldCase, f figure, seasons int, share float64) {
	t.Helper()
	text, err := os.ReadFile(simulationFile)
	require.NoError(t, err)
	lines := strings.Split(string(text), "\n")
	at := slices.IndexFunc(lines, func(line string) bool { return strings.HasPrefix(line, one.key(f)) })
	require.GreaterOrEqual(t, at, 0, "%s has no row for %s", simulationFile, one.key(f))
	lines[at] = fmt.Sprintf("%s %s | %s | %d | %.1f | %.1f |", one.key(f), f.asked, f.before, seasons, 100*share,
		100*math.Sqrt(share*(1-share)/float64(seasons)))
	require.NoError(t, os.WriteFile(simulationFile, []byte(strings.Join(lines, "\n")), 0o644))
}

// TestTableOfWorlds: the table has a row for each figure of each world, in their order, and asks what the tests ask.
func TestTableOfWorlds(t *testing.T) {
	text, err := os.ReadFile(simulationFile)
	require.NoError(t, err)
	_, section, found := strings.Cut(string(text), worldsHeading)
	require.True(t, found)
	var want, got []string
	for _, one := range worldCases() {
		for _, f := range one.figures {
			want = append(want, fmt.Sprintf("%s %s | %s |", one.key(f), f.asked, f.before))
		}
	}
	for line := range strings.Lines(section) {
		if cells := strings.Split(line, " | "); len(cells) == 7 && !strings.HasPrefix(line, "| world") {
			got = append(got, strings.Join(cells[:4], " | ")+" |")
		}
	}
	assert.Equal(t, want, got)
}
