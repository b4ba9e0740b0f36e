package verdicts

import (
	"math"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// simulatedSeason is a law of seasons: Storms storms whose need is lognormal (SDNeed) and shared by both classes; each class strays from
// it by SDClass in a storm, each of its routes by SDRoute; acetate routes need nothing in ZeroShare of the storms. Ratio is the true
// ratio of the totals.
type simulatedSeason struct {
	Name                     string
	Storms                   int
	Ratio                    float64
	SDNeed, SDClass, SDRoute float64
	ZeroShare                float64
}

// draw gives a season: 3 acetate and 7 chloride routes of 8 to 32 lane-miles, in millionths.
func (law simulatedSeason) draw(random *rand.Rand) []comparedStorm {
	lengths := []float64{20, 12, 28, 24, 16, 32, 8, 20, 26, 14}
	storms := make([]comparedStorm, law.Storms)
	for i := range storms {
		need := 300 * math.Exp(law.SDNeed*random.NormFloat64())
		isZero := random.Float64() < law.ZeroShare
		classes := [2]float64{law.Ratio / (1 - law.ZeroShare) * math.Exp(law.SDClass*random.NormFloat64()),
			math.Exp(law.SDClass * random.NormFloat64())}
		for route, length := range lengths {
			sums, class := &storms[i].acetate, classes[0]
			if route >= 3 {
				sums, class = &storms[i].chloride, classes[1]
			} else if isZero {
				class = 0
			}
			pounds := length * need * class * math.Exp(law.SDRoute*random.NormFloat64())
			micro := int64(math.Round(length * 1e6))
			sums.add(classSums{int64(math.Round(pounds * 1e6)), micro, micro})
		}
	}
	return storms
}

// covered is the share of seasons whose interval holds the true ratio.
func (law simulatedSeason) covered(seasons int) float64 {
	random := rand.New(rand.NewPCG(20260, uint64(law.Storms)*1000+uint64(law.Ratio*100)))
	count := 0.0
	for range seasons {
		row := describeSeason("", law.draw(random), 1)
		if row.Low90 != nil && *row.Low90 <= law.Ratio && law.Ratio <= *row.High90 {
			count++
		}
	}
	return count / float64(seasons)
}

// simulatedSeasons are the laws, from friendly to harsh.
var simulatedSeasons = []simulatedSeason{
	{"equal, 25 storms", 25, 1, 0.5, 0.10, 0.20, 0},
	{"equal, 25 storms, acetate 0 in 10 %", 25, 1, 0.5, 0.10, 0.20, 0.10},
	{"equal, 12 storms", 12, 1, 0.5, 0.10, 0.20, 0},
	{"equal, 5 storms", 5, 1, 0.5, 0.10, 0.20, 0},
	{"at the margin above, 25 storms", 25, 1.1, 0.5, 0.10, 0.20, 0},
	{"at the margin below, 25 storms", 25, 1 / 1.1, 0.5, 0.10, 0.20, 0},
	{"at the margin above, 12 storms", 12, 1.1, 0.5, 0.10, 0.20, 0},
	{"at the margin above, 5 storms", 5, 1.1, 0.5, 0.10, 0.20, 0},
	{"at the margin above, 25 quiet storms", 25, 1.1, 0.3, 0.05, 0.10, 0},
	{"at the margin above, 25 storms, acetate 0 in 10 %", 25, 1.1, 0.5, 0.10, 0.20, 0.10},
	{"at the margin above, 25 uneven storms", 25, 1.1, 0.9, 0.10, 0.20, 0},
	{"a fifth more, 25 storms", 25, 1.2, 0.5, 0.10, 0.20, 0},
}

// comparedSeasons is the number of seasons to draw of each law, LANETALLY_SIMULATE or 300, and what the bounds on a share give way below
// 2,000: three standard errors.
func comparedSeasons(t *testing.T) (seasons int, slack float64) {
	t.Helper()
	seasons = 300
	if told := os.Getenv("LANETALLY_SIMULATE"); told != "" {
		var err error
		seasons, err = strconv.Atoi(told)
		require.NoError(t, err, "LANETALLY_SIMULATE is a number of seasons")
	}
	if seasons < 2000 {
		slack = 3 * math.Sqrt(0.1*0.9/float64(seasons))
	}
	return seasons, slack
}

// TestSimulatedSeasons: the interval of the total ratio covers the truth in 85 to 96 % of seasons. make simulate draws 2,000 of each law.
func TestSimulatedSeasons(t *testing.T) {
	seasons, slack := comparedSeasons(t)
	for _, law := range simulatedSeasons {
		t.Run(law.Name, func(t *testing.T) {
			got := law.covered(seasons)
			t.Logf("| %s | %d | %.3f |", law.Name, seasons, got)
			assert.GreaterOrEqual(t, got, 0.85-slack, "coverage")
			assert.LessOrEqual(t, got, 0.96+slack, "coverage")
		})
	}
}

// TestSimulatedEndRatio: acetate begins 42 % above chloride and comes down to 4 % over 25 storms, a straight line on log2(1 + storms): the
// end ratio's interval covers 1.04 in 85 to 96 % of seasons, and it does so while the total ratio lies well above.
func TestSimulatedEndRatio(t *testing.T) {
	seasons, slack := comparedSeasons(t)
	random := rand.New(rand.NewPCG(20261, 0))
	law := simulatedSeason{Storms: 25, Ratio: 1, SDNeed: 0.5, SDClass: 0.10, SDRoute: 0.20}
	covered, total := 0.0, 0.0
	for range seasons {
		storms := law.draw(random)
		for i := range storms {
			x := math.Log2(1 + float64(i))
			storms[i].experience = &x
			factor := math.Exp(math.Log(1.42) + (math.Log(1.04)-math.Log(1.42))*x/math.Log2(25))
			storms[i].acetate.applied = int64(math.Round(float64(storms[i].acetate.applied) * factor))
			logRatio := math.Log(float64(storms[i].acetate.applied)/float64(storms[i].acetate.length)) -
				math.Log(float64(storms[i].chloride.applied)/float64(storms[i].chloride.length))
			storms[i].logRatio = &logRatio
		}
		row := describeSeason("", storms, 1)
		if *row.EndLow90 <= 1.04 && 1.04 <= *row.EndHigh90 {
			covered++
		}
		total += *row.TotalRatio
	}
	covered, total = covered/float64(seasons), total/float64(seasons)
	t.Logf("| falling from 1.42 to 1.04 | %d | end ratio covered %.3f | mean total ratio %.3f |", seasons, covered, total)
	assert.GreaterOrEqual(t, covered, 0.85-slack)
	assert.LessOrEqual(t, covered, 0.96+slack)
	assert.Greater(t, total, 1.08)
}
