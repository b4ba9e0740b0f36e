package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/words"
)

var testDay = time.Date(2031, 1, 10, 0, 0, 0, 0, time.UTC)

// sameSeason is a season whose verdict is about the same, with every number that a sentence tells.
func sameSeason() *rows.Comparison {
	return &rows.Comparison{Season: "2030-31", AcetateRoutes: new(int64(3)), ChlorideRoutes: new(int64(7)),
		ApplicationsRatio: new(0.918), SeasonVerdicts: rows.SeasonVerdicts{Storms: 24, TotalRatio: new(0.989), Low90: new(0.937),
			High90: new(1.045), Verdict: rows.AboutTheSame, ApplicationsLow90: new(0.872), ApplicationsHigh90: new(0.967),
			ApplicationsVerdict: rows.Fewer, RegainDiffH: new(-0.10), RegainLow90H: new(-0.19), RegainHigh90H: new(-0.02),
			RegainVerdict: "no worse"}}
}

func TestComparisonSentence(t *testing.T) {
	assert.Equal(t, "No storm has been compared yet; no data has been loaded yet.", words.Say(us, "comparison", nil, 5, true, ""))
	assert.Equal(t, "On these 3 acetate and 7 chloride routes acetate routes got about the same pounds per lane-mile chloride routes "+
		"got: 0.99 times (90 % interval 0.94 to 1.05, approximate, 24 storms), and acetate routes came bare no later (−0.1 h, 90 % "+
		"interval −0.2 to 0.0 h); so far: the season is open; the data reaches "+through+".",
		words.Say(us, "comparison", sameSeason(), 5, true, through))
	early := &rows.Comparison{AcetateRoutes: new(int64(1)), ChlorideRoutes: new(int64(1)),
		SeasonVerdicts: rows.SeasonVerdicts{Storms: 1, Verdict: rows.TooEarly, RegainVerdict: "not known"}}
	assert.Equal(t, "On these 1 acetate and 1 chloride routes it is too early to compare (1 of 5 storms), and whether acetate routes "+
		"came bare later is not known; the data reaches "+through+".",
		words.Say(us, "comparison", early, 5, false, through))
}

// No pounds verdict stands without the roads verdict in the same sentence.
func TestEveryPoundsVerdictHasTheRoadsBesideIt(t *testing.T) {
	roads := map[string]string{"no worse": "came bare no later", "worse": "came bare later", "not known": "is not known"}
	pounds := map[string]string{rows.AboutTheSame: "about the same pounds", rows.Less: "less than the pounds",
		rows.More: "more than the pounds", "not yet known": "not yet known how many", rows.TooEarly: "too early to compare"}
	for verdict, texts := range pounds {
		for regain, found := range roads {
			c := sameSeason()
			c.Verdict, c.RegainVerdict = verdict, regain
			assert.Contains(t, words.Say(us, "comparison", c, 5, false, through), texts)
			assert.Contains(t, words.Say(us, "comparison", c, 5, false, through), found)
			assert.Contains(t, words.Say(us, "pounds", c), found)
		}
	}
	c := sameSeason()
	c.Verdict, c.MarginShownPct = "not yet known", new(23.4)
	assert.Contains(t, words.Say(us, "comparison", c, 5, false, through), "(these storms could show a margin of 23 %)")
}

func TestClaimWords(t *testing.T) {
	assert.Equal(t, "no storm has been compared yet", words.Say(us, "pounds", nil))
	assert.Equal(t, "no storm has been compared yet", words.Say(us, "applications", nil))
	assert.Equal(t, "no storm has been compared yet", words.Say(us, "roads line", nil))
	assert.Equal(t, "1 storm compared", words.Say(us, "applications",
		&rows.Comparison{SeasonVerdicts: rows.SeasonVerdicts{Storms: 1, ApplicationsVerdict: rows.TooEarly}}))
	assert.Equal(t, "0.92 times the applications of chloride routes (90 % interval 0.87 to 0.97, approximate): fewer",
		words.Say(us, "applications", sameSeason()))
	assert.Equal(t, "acetate routes came bare no later (−0.1 h, 90 % interval −0.2 to 0.0 h)", words.Say(us, "roads line", sameSeason()))
}

func TestComparedSentences(t *testing.T) {
	assert.Equal(t, "No season ratio yet", words.Say(us, "comparison title", nil))
	assert.Equal(t, "Over the season 0.99 times the pounds; the season's verdict: about the same, roads: no worse",
		words.Say(us, "comparison title", sameSeason()))
	assert.Equal(t, "No route-storm was left out.", words.Say(us, "left out", sameSeason()))
	assert.Contains(t, words.Say(us, "left out", &rows.Comparison{MixedRoutes: new(int64(1)), UnmeasuredRoutes: new(int64(0)),
		NoRecordRoutes: new(int64(8))}),
		"Left out: 1 route-storm: too much material of the other class (mixed); 8 route-storms: nothing tells what was done (no record).")
	assert.Equal(t, "No storm has a ratio of its own.", words.Say(us, "typical", &rows.Comparison{}))
	assert.Equal(t, "Each storm counted once, the typical ratio is 0.98 (90 % interval 0.92 to 1.05); in 1 storm acetate routes needed "+
		"nothing, in no storms chloride routes; along its trend with experience it stands at 0.92 at the latest storm (90 % interval "+
		"0.82 to 1.04).",
		words.Say(us, "typical", &rows.Comparison{SeasonVerdicts: rows.SeasonVerdicts{TypicalRatio: new(0.979),
			TypicalLow90: new(0.916), TypicalHigh90: new(1.046), ZeroAcetate: 1, EndRatio: new(0.92), EndLow90: new(0.816),
			EndHigh90: new(1.038)}}))
	assert.Equal(t, words.Say(us, "no baseline"), words.Say(us, "of material", &rows.Comparison{}))
	assert.Equal(t, "Told apart from how the routes differ, by 3 routes that changed: 1.09 times the pounds (90 % interval 0.89 to 1.34): "+
		"not yet known; roads: no worse.", words.Say(us, "of material", &rows.Comparison{SeasonVerdicts: rows.SeasonVerdicts{
		MaterialRatio: new(1.091), MaterialLow90: new(0.886), MaterialHigh90: new(1.341), RoutesChanged: 3, Verdict: "not yet known",
		RegainVerdict: "no worse"}}))
	assert.Contains(t, words.Say(us, "kept off", rows.WholeSeason{AcetateRouteStorms: 3}), "not known")
	assert.Equal(t, "Chloride kept off by acetate: 1,200 lb over the season, from 1 of 1 acetate route-storm with something to be set "+
		"against.", words.Say(us, "kept off", rows.WholeSeason{KeptOffLb: new(1200.0), KeptOffRouteStorms: 1, AcetateRouteStorms: 1}))
	assert.Contains(t, words.Say(us, "kept off", rows.WholeSeason{KeptOffLb: new(1200.0), KeptOffRouteStorms: 80,
		AcetateRouteStorms: 100}), "from 80 of 100 acetate route-storms")
}

func TestReasonSentence(t *testing.T) {
	r := rows.StormReason{TotalKind: "more than usual here", LowStormLb: new(310.0), HighStormLb: new(420.0),
		ApplicationsKind: "more applications", RateKind: "rate as usual"}
	assert.Equal(t, "more than usual here (middle half 310 to 420 lb per lane-mile): more applications, rate as usual",
		words.Say(us, "reason", r))
	r.FitKind, r.IsOutlier = "rate above the fit", true
	assert.Equal(t, "more than usual here (middle half 310 to 420 lb per lane-mile): more applications, rate as usual, rate above the "+
		"fit; marked for review", words.Say(us, "reason", r))
	assert.Equal(t, "less than usual here (middle half 310 to 420 lb per lane-mile)",
		words.Say(us, "reason", rows.StormReason{TotalKind: "less than usual here", LowStormLb: new(310.0), HighStormLb: new(420.0)}))
	assert.Contains(t, words.Say(us, "reasons", 0, "route"), "fewer than 8 storms")
	assert.Contains(t, words.Say(us, "reasons", 1, "route"), "1 route lies outside the middle half")
	assert.Contains(t, words.Say(us, "reasons", 3, "storm"), "3 storms lie outside the middle half")
	assert.Equal(t, "ratio of pounds, acetate to chloride routes, log scale", words.Say(us, "same band", 0))
	assert.Contains(t, words.Say(us, "same band", 0.1), "within 10 %")
}

func TestCourseSentence(t *testing.T) {
	assert.Equal(t, "No data has been loaded yet, so there is no season to show.",
		words.CourseSentence(us, "", true, words.Claims(us, nil, nil), nil, ""))
	assert.Equal(t, "It is too early to say whether the 2030-31 season is on course (all 5 claims too early); the data reaches "+through+
		".", words.CourseSentence(us, "2030-31", true, words.Claims(us, nil, nil), nil, through))
	assert.Equal(t, "The 2030-31 season is on course so far (all 5 claims shown): acetate routes came bare no later (−0.1 h, 90 % "+
		"interval −0.2 to 0.0 h), and they got 0.99 times the pounds per lane-mile of chloride routes (90 % interval 0.94 to 1.05, "+
		"approximate, 24 storms); the data reaches "+through+".",
		words.CourseSentence(us, "2030-31", true, words.Claims(us, fallingFit(), sameSeason()), sameSeason(), through))
	assert.Contains(t, words.CourseSentence(us, "2030-31", false, words.Claims(us, fallingFit(), sameSeason()), sameSeason(), through),
		"The 2030-31 season was on course (all 5 claims shown): ")
	l, c := fallingFit(), sameSeason()
	c.RegainVerdict, c.Verdict = rows.RoadsWorse, rows.More
	assert.Contains(t, words.CourseSentence(us, "2030-31", true, words.Claims(us, l, c), c, through),
		"The 2030-31 season is not on course, for the numbers contradict that roads come bare no later and that acetate routes get "+
			"about the same pounds (of 5 claims 3 shown, 2 contradicted): ")
	c.RegainVerdict, c.Verdict = rows.RoadsNotKnown, rows.Less
	assert.Contains(t, words.CourseSentence(us, "2030-31", true, words.Claims(us, l, c), c, through),
		"Nothing contradicts that the 2030-31 season is on course, but it is not shown that roads come bare no later (of 5 claims 4 "+
			"shown, 1 not shown): ")
}
