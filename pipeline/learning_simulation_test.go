package pipeline

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/pipeline/verdicts"
)

// simulateVariable names the environment variable with the number of seasons to simulate of each case.
const (
	simulateVariable = "LANETALLY_SIMULATE"
	shortSeasons     = 60
)

// simulationCase is a known truth and what the verdicts on it must keep to. Check is nil where the case is only reported.
type simulationCase struct {
	name     string
	district inventedDistrict
	hasTrend bool // whether the curve's slope has a truth of its own: no order, no salt trend, no wrong setting
	check    func(s *simulated, t *testing.T)
}

func simulationCases() []simulationCase {
	standard := standardDistrict()
	with := func(change func(d *inventedDistrict)) inventedDistrict {
		d := standard
		change(&d)
		return d
	}
	none := func(d *inventedDistrict) { d.Learning, d.StartRatio, d.SlopeSD = 0, 1.3, 0 }
	return []simulationCase{
		{"6 crews, 25 storms", standard, true, (*simulated).coversTheTruth},
		{"3 crews, 10 storms", with(func(d *inventedDistrict) { d.Crews, d.Storms, d.AcetateRoutes, d.SaltRoutes = 3, 10, 4, 4 }), true,
			nil},
		{"weather milder by 12 F over the season", with(func(d *inventedDistrict) { d.WarmingF = 12 }), true, (*simulated).coversTheTruth},
		{"no learning", with(none), true, (*simulated).seldomFalls},
		{"salt falls as much as acetate", with(func(d *inventedDistrict) { none(d); d.SaltTrend = -0.065 }), false,
			(*simulated).seldomBeyondSalt},
		{"no pounds in 10 % of storms", with(func(d *inventedDistrict) { d.ZeroShare = 0.1 }), true, (*simulated).coversTheTruth},
		{"order on 15 January, no learning", with(func(d *inventedDistrict) { none(d); d.OrderAt, d.OrderStep = 12, -0.3 }), false,
			(*simulated).blamesTheOrder},
		{"wrong setting mended in mid-season, found",
			with(func(d *inventedDistrict) {
				none(d)
				d.MisSetUntil, d.MisSetFactor, d.MisSetFound = 12, 1.59,
					true
			}), true, (*simulated).seldomFalls},
		{"wrong setting mended in mid-season, not found",
			with(func(d *inventedDistrict) { none(d); d.MisSetUntil, d.MisSetFactor = 12, 1.59 }), false, nil},
	}
}

// simulated counts what the fits said of many seasons of one case.
type simulated struct {
	simulationCase
	seasons                  int
	fitted, covered          int // seasons whose interval of the change per doubling holds the truth
	biasPct                  float64
	netCovered, startCovered int // net: of these crews, whose slopes differ
	generalCovered           int // net, of crews in general
	latestCovered            int
	crewsTold                int // seasons in which some crew is told apart
	verdicts, control        map[string]int
	narrowCovered            int // the same without the storm effect: what leaving it out would do
}

func (s *simulated) season(seed uint64) {
	drawn := s.district.draw(seed)
	in := drawn.in
	out := verdicts.JudgeLearning(in)
	beside := verdicts.JudgeSeasons(drawn.beside)[0]
	rate := beside.Fits[rows.QuestionRate]
	ours := s.district.Learning + drawn.meanSlope()
	s.seasons++
	s.verdicts[out.Curve.Verdict.Base]++
	s.control[beside.Control]++
	if out.Curve.Change == nil {
		return
	}
	s.fitted++
	s.biasPct += verdicts.PercentChange(out.Curve.Change.Value) - verdicts.PercentChange(s.district.Learning)
	s.covered += holds(out.Curve.Change, s.district.Learning)
	s.narrowCovered += holds(withoutStormEffect(in), s.district.Learning)
	s.netCovered += holds(rate.Net, ours)
	s.generalCovered += holds(rate.Net, s.district.Learning)
	s.startCovered += holds(rate.Start, math.Log(s.district.StartRatio))
	s.latestCovered += holds(rate.Latest, math.Log(s.district.StartRatio)+ours*beside.LatestX)
	for _, crew := range out.Crews {
		if crew.Verdict.Base != rows.CrewLikeOthers {
			s.crewsTold++
			break
		}
	}
}

func withoutStormEffect(in *verdicts.LearningInput) *verdicts.LearningEstimate {
	d := verdicts.CurveDesign(in)
	d.Factors, d.MinStorms = d.Factors[1:], 0
	f := verdicts.FitLearning(d)
	if !f.IsFitted() {
		return nil
	}
	return f.Estimate(f.Combination(map[string]float64{verdicts.Experience: 1}), 0, 0)
}

func holds(e *verdicts.LearningEstimate, truth float64) int {
	if e != nil && e.Low <= truth && truth <= e.High {
		return 1
	}
	return 0
}

// slack widens a limit by two standard errors of a share near p in so many seasons.
func (s *simulated) slack(p float64) float64 { return 2 * math.Sqrt(p*(1-p)/float64(s.seasons)) }

func (s *simulated) share(count int) float64 { return float64(count) / float64(s.seasons) }

func (s *simulated) atMost(t *testing.T, limit float64, count int, what string) {
	assert.LessOrEqual(t, s.share(count), limit+s.slack(limit), "%s: %s in %d of %d seasons", s.name, what, count, s.seasons)
}

// coversTheTruth: 90 % intervals hold the truth in 85 to 96 % of seasons, and the change per doubling is biased by under a point.
func (s *simulated) coversTheTruth(t *testing.T) {
	for what, count := range map[string]int{"change": s.covered, "net change": s.netCovered, "starting ratio": s.startCovered,
		"latest ratio": s.latestCovered} {
		assert.GreaterOrEqual(t, s.share(count), 0.85-s.slack(0.85), "%s: %s", s.name, what)
		assert.LessOrEqual(t, s.share(count), 0.96+s.slack(0.96), "%s: %s", s.name, what)
	}
	assert.Less(t, math.Abs(s.biasPct)/float64(s.fitted), 1.0, "%s: bias", s.name)
	assert.Less(t, s.share(s.narrowCovered), s.share(s.covered)-0.05, "%s: without the storm effect intervals are too narrow", s.name)
	s.mostlyFalls(t)
}

// mostlyFalls: in most seasons the curve falls, whatever may explain it.
func (s *simulated) mostlyFalls(t *testing.T) {
	assert.Greater(t, s.verdicts[rows.Falling]+s.verdicts[rows.FromInstruction], s.seasons/2, "%s: %v", s.name, s.verdicts)
}

func (s *simulated) seldomFalls(t *testing.T) {
	s.coversNothing(t)
	s.atMost(t, 0.08, s.verdicts[rows.Falling], "falling")
	s.atMost(t, 0.10, s.crewsTold, "a crew told apart")
	s.atMost(t, 0.08, s.control[rows.ControlBeyond], "beyond salt")
}

// coversNothing: the interval of no change holds 0 about as often as it should.
func (s *simulated) coversNothing(t *testing.T) {
	assert.GreaterOrEqual(t, s.share(s.covered), 0.85-s.slack(0.85), s.name)
}

func (s *simulated) seldomBeyondSalt(t *testing.T) {
	s.atMost(t, 0.08, s.control[rows.ControlBeyond], "beyond salt")
	s.mostlyFalls(t)
}

func (s *simulated) blamesTheOrder(t *testing.T) {
	s.atMost(t, 0.08, s.verdicts[rows.Falling], "falling")
	assert.Greater(t, s.verdicts[rows.FromOrder], s.seasons/2, "%s: %v", s.name, s.verdicts)
}

// TestSimulateLearning draws seasons from known truths and counts how often intervals and verdicts are right. By default a short
// version; LANETALLY_SIMULATE=2000 gives the numbers of testdata/reference/SIMULATION.md (written with -update-reference).
func TestSimulateLearning(t *testing.T) {
	seasons := shortSeasons
	if text := os.Getenv(simulateVariable); text != "" {
		given, err := strconv.Atoi(text)
		require.NoError(t, err, simulateVariable)
		require.Positive(t, given)
		seasons = given
	}
	var lines []string
	for number, one := range simulationCases() {
		s := &simulated{simulationCase: one, verdicts: map[string]int{}, control: map[string]int{}}
		for seed := range seasons {
			s.season(uint64(number*1_000_000 + seed))
		}
		if one.check != nil {
			one.check(s, t)
		}
		lines = append(lines, s.line())
		t.Log(lines[number])
	}
	if *updateReference {
		require.GreaterOrEqual(t, seasons, 500, "the table wants more seasons: set %s", simulateVariable)
		file := filepath.Join(learningReference, "SIMULATION.md")
		text, err := os.ReadFile(file)
		require.NoError(t, err)
		_, worlds, _ := strings.Cut(string(text), "\n# Simulated worlds\n") // which another test writes
		require.NoError(t, os.WriteFile(file, []byte(simulationTable(seasons, lines)+"\n# Simulated worlds\n"+worlds), 0o644))
	}
}

func (s *simulated) line() string {
	percent := func(count int) string { return fmt.Sprintf("%.1f", 100*s.share(count)) }
	cells := []string{s.name, "", "", "", percent(s.netCovered), percent(s.generalCovered), percent(s.startCovered),
		percent(s.latestCovered), percent(s.verdicts[rows.Falling]),
		percent(s.verdicts[rows.Settled]), percent(s.verdicts[rows.NoTrend]), percent(s.verdicts[rows.FromOrder]),
		percent(s.verdicts[rows.FromInstruction]),
		percent(s.control[rows.ControlBeyond]),
		percent(s.crewsTold)}
	if s.hasTrend && s.fitted > 0 {
		cells[1], cells[2] = percent(s.covered), percent(s.narrowCovered)
		cells[3] = fmt.Sprintf("%+.2f", s.biasPct/float64(s.fitted))
	}
	return "| " + strings.Join(cells, " | ") + " |"
}

func simulationTable(seasons int, lines []string) string {
	return fmt.Sprintf(`# Simulated seasons

%d seasons of each case, drawn with fixed seeds from a known truth by the Go tests of pipeline (`+"`make simulate`"+
		`), then fitted as a district's
own. Unless the case says otherwise: 6 crews, 25 storms, 8 acetate and 8 salt routes, a starting ratio of 1.42 that comes down to 1.04 after
24 storms, standard deviations of ln(rate) of 0.12 between storms, 0.06 between routes and between crews, 0.015 of the crews' slopes per
doubling, 0.10 within. "No learning" cases have no slopes of crews.

Columns are percent of the seasons, bias is in points of the change per doubling. "Held" are intervals of 90 %% that hold the truth: of the
change per doubling of crews in general (also with the storm effect left out, to show what that would do), of the change beyond salt of the
season's own crews and of crews in general, of the starting and the latest ratio. Then how often the verdicts were
given. "Crews" are seasons in which some crew was told apart.

| case | change held | without storm effect | bias | net held | in general | start held | latest held | falling `+
		"| settled | no clear trend | from an order | from an instruction | beyond salt | crews |"+`
|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|
%s
`, seasons, strings.Join(lines, "\n"))
}
