package pipeline

import (
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/scenario"
)

// claimCount counts, of one claim of one season, the districts whose interval holds the planted value, and what was answered.
type claimCount struct {
	season, words string
	claim         int64
	truth         float64 // the last district's
	districts     int
	held          int
	answers       map[string]int
}

var claimWords = [...]string{"roads no worse: 1 + hours to bare", "start: rates at the first storm", "rates come down: per doubling",
	"fewer applications", "pounds at the latest experience"}

// judgeDemo writes the demo district of a seed, loads it, and tallies and judges it as a night does. No release is written, and what only
// pages and findings need is left out; the zone with receivers, where no route changed, writes sheets, since no claim speaks of it.
func judgeDemo(t *testing.T, seed uint64) ([]rows.ClaimRow, []scenario.ClaimTruth) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	truth, err := scenario.Write(dir, scenario.Options{Seed: seed, SheetsOnly: true})
	require.NoError(t, err)
	now, err := time.Parse(time.RFC3339, demoNow)
	require.NoError(t, err)
	n := &night{NightlyOptions: NightlyOptions{Dir: dir, Now: now, Words: io.Discard}, report: newRunReport(now)}
	require.NoError(t, os.MkdirAll(filepath.Join(dir, "log"), 0o755))
	require.NoError(t, n.openLog("claims"))
	for _, step := range nightSteps[:5] { // up to the deliveries
		require.NoError(t, step.run(n, t.Context()), step.name)
	}
	require.NoError(t, n.ledger.InTx(t.Context(), func() error {
		if err := walk(t.Context(), n.ledger, n.settings, stretchTell, stretchTally); err != nil {
			return err
		}
		return walk(t.Context(), n.ledger, n.settings, stretchVerdicts, stretchVerdicts)
	}))
	claims, err := ledger.ReadTable[rows.ClaimRow](t.Context(), n.ledger, "select * from claims order by season, claim")
	require.NoError(t, err)
	require.NoError(t, n.ledger.Close())
	require.NoError(t, n.logFile.close())
	require.NoError(t, os.RemoveAll(dir))
	return claims, truth.Claims
}

// TestSimulateDemoClaims asks whether the intervals of the claims of a season hold what was planted, which the generator works out from its
// own law. By default for the demo districts of seeds 1 to 4, of which half must: ten take minutes. Of seeds 1 to 10 each interval held
// in at least 8 but for the fall of the first season: 6 of these 10, and 52 of the first 59 seeds drawn, as weighed pounds begin too high
// while what is loaded first is not yet spread. LANETALLY_SIMULATE takes seeds 1 to 100, and asks for 85. Numbers are written with
// -update-reference.
func TestSimulateDemoClaims(t *testing.T) {
	seeds, least := 4, 2
	if os.Getenv(simulateVariable) != "" {
		seeds, least = 100, 85
	}
	var counts []claimCount
	for seed := range seeds {
		claims, truth := judgeDemo(t, uint64(seed+1))
		require.Len(t, claims, 10)
		require.Len(t, truth, len(claims))
		if counts == nil {
			counts = make([]claimCount, len(claims))
		}
		for i, claim := range claims {
			require.Equal(t, scenario.ClaimTruth{Season: claim.Season, Claim: int(claim.Claim), Figure: truth[i].Figure}, truth[i])
			counts[i].add(claim, truth[i].Figure)
		}
	}
	var lines []string
	for _, c := range counts {
		assert.GreaterOrEqual(t, c.held, least, "of %d: %s, claim %d, %s", seeds, c.season, c.claim, c.words)
		lines = append(lines, c.line())
	}
	t.Log("\n" + strings.Join(lines, "\n"))
	if *updateReference {
		require.Equal(t, 100, seeds, "the table wants all seeds: set %s", simulateVariable)
		path := filepath.Join(learningReference, "SIMULATION.md")
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		before, _, _ := strings.Cut(string(text), demoClaimsHeading)
		require.NoError(t, os.WriteFile(path, []byte(before+demoClaimsHeading+demoClaimsWords+strings.Join(lines, "\n")+"\n"), 0o644))
	}
}

func (c *claimCount) add(claim rows.ClaimRow, truth float64) {
	if c.answers == nil {
		*c = claimCount{season: claim.Season, claim: claim.Claim, words: claimWords[claim.Claim-1], answers: map[string]int{}}
	}
	c.districts++
	c.truth = truth
	c.answers[claim.Answer]++
	if claim.Low90 != nil && *claim.Low90 <= truth && truth <= *claim.High90 {
		c.held++
	}
}

func (c *claimCount) line() string {
	return fmt.Sprintf("| %s | %d %s | %.3f | %d | %d | %d | %d |", c.season, c.claim, c.words, c.truth, c.held,
		c.answers[rows.ClaimYes], c.answers[rows.ClaimNo], c.answers[rows.ClaimCannot])
}

const (
	demoClaimsHeading = "\n# The demo's claims against its truth\n"
	demoClaimsWords   = `
The demo districts of seeds 1 to 100, each loaded, tallied and judged as a night does; the truth stands in their truth.json (here that of
seed 100). "Held" are districts whose interval of 90 % holds it, widened in 2028-29, which is open when the data end. Then how often each
answer was given.

| season | claim | truth | held | yes | no | cannot tell yet |
|---|---|---|---|---|---|---|
`
)
