package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/words"
)

var testDay = time.Date(2031, 1, 10, 0, 0, 0, 0, time.UTC)

// sameSeason is a season whose verdict is about the same, with every number that a sentence tells.
func sameSeason() *rows.Comparison {
	return &rows.Comparison{Season: "2030-31", AcetateRoutes: new(int64(3)), ChlorideRoutes: new(int64(7)),
		ApplicationsRatio: new(0.918), SeasonVerdicts: rows.SeasonVerdicts{Storms: 24, TotalRatio: new(0.989), Low90: new(0.937),
			High90: new(1.045), Verdict: rows.AboutTheSame, ApplicationsLow90: new(0.872), ApplicationsHigh90: new(0.967),
			ApplicationsVerdict: rows.Fewer, RegainDiffH: new(-0.10), RegainLow90H: new(-0.19), RegainHigh90H: new(-0.02),
			RegainVerdict: "no worse", NotBareHigh90: new(0.0338), MaterialRatio: new(1.016), MaterialLow90: new(0.946),
			MaterialHigh90: new(1.09), RoutesChanged: 3, AcetateReportedShare: new(0.96), ChlorideReportedShare: new(0.94)}}
}

// roadsOf are the roads of a season's row, with the ratio of hours that their bound rests on: 4.56 % is at most 5 %, 3.38 points at most 4.
func roadsOf(c *rows.Comparison) book.Roads {
	return book.Roads{SeasonVerdicts: c.SeasonVerdicts, Hours: rows.BesideSalt{High90: new(1.0456)}}
}

// sayComparison says the sentence of a season's row.
func sayComparison(c *rows.Comparison, isOpen bool) string {
	return words.Say(us, "comparison", c, roadsOf(c), 5, 0.15, isOpen, through)
}

func TestComparisonSentence(t *testing.T) {
	assert.Equal(t, "No storm has been compared yet; no data has been loaded yet.",
		words.Say(us, "comparison", nil, book.Roads{}, 5, 0.15, true, ""))
	assert.Equal(t, "On these 3 acetate and 7 chloride routes acetate routes got 0.99 times the pounds per lane-mile of chloride routes "+
		"(90 % interval from storm to storm 0.94 to 1.05, approximate, 24 storms), which is what these routes got and no verdict. Of the "+
		"material: 1.02 times the pounds (90 % interval 0.95 to 1.09), about the same, within 15 %, and acetate routes came bare no "+
		"later: at most 5 % later, 4 points more not bare (−0.1 h from storm to storm, 90 % interval −0.2 to 0.0 h, capped at 24 h); "+
		"so far: the season is open; the data reaches "+through+".", sayComparison(sameSeason(), true))
	early := &rows.Comparison{AcetateRoutes: new(int64(1)), ChlorideRoutes: new(int64(1)),
		SeasonVerdicts: rows.SeasonVerdicts{Storms: 1, Verdict: rows.TooEarly, RegainVerdict: "not known"}}
	assert.Equal(t, "On these 1 acetate and 1 chloride routes it is too early to compare (1 of 5 storms), and whether acetate routes "+
		"came bare later is not known; the data reaches "+through+".",
		words.Say(us, "comparison", early, book.Roads{SeasonVerdicts: early.SeasonVerdicts}, 5, 0.15, false, through))
}

// No pounds verdict stands without the roads verdict in the same sentence.
func TestEveryPoundsVerdictHasTheRoadsBesideIt(t *testing.T) {
	roads := map[string]string{"no worse": "came bare no later", "worse": "came bare later", "not known": "is not known"}
	pounds := map[string]string{rows.AboutTheSame: "), about the same, within 15 %", rows.Less: "), less", rows.More: "), more",
		rows.NotYetKnown: "), not yet known", rows.TooEarly: "too early to compare", rows.BySettings: "), by settings only",
		rows.NotOfMaterial: "Of the material: routes cannot be told from material, for 3 routes had 5 storms with each class and it " +
			"takes 2"}
	for verdict, texts := range pounds {
		for regain, found := range roads {
			c := sameSeason()
			c.Verdict, c.RegainVerdict = verdict, regain
			assert.Contains(t, sayComparison(c, false), texts)
			assert.Contains(t, sayComparison(c, false), found)
		}
	}
	c := sameSeason()
	c.Verdict, c.MarginShownPct = "not yet known", new(23.4)
	assert.Contains(t, sayComparison(c, false), "(these storms could show a margin of 23 %)")
	c.ChlorideReportedShare = new(0.79)
	assert.Contains(t, sayComparison(c, false), "4 points more not bare, with reports of under four fifths of the route-storms")
}

func TestChanceAndPoundsSentences(t *testing.T) {
	roads := roadsOf(sameSeason())
	assert.Empty(t, words.Say(us, "probable", roads, 0.15, true))
	roads.WithinTenShare, roads.WithinMarginShare = new(0.47), new(0.64)
	assert.Equal(t, "By these storms alone, without the allowance for being read every night, the chance is 47 % that the material's "+
		"ratio lies within 10 % of 1, 64 % that it lies within 15 %; roads no worse: at most 5 % later, 4 points more not "+
		"bare.", words.Say(us, "probable", roads, 0.15, true))
	assert.Contains(t, words.Say(us, "probable", roads, 0.15, false), "By these storms alone, the chance is 47 %")
	roads.Verdict = rows.NotOfMaterial
	assert.Empty(t, words.Say(us, "probable", roads, 0.15, false))
	assert.Equal(t, "routes cannot be told from material, for 3 routes had 5 storms with each class and it takes 2 (the fits' 1.02 times, "+
		"90 % interval 0.95 to 1.09, is of the routes too)", words.Say(us, "of material", roads, 0.15))
	none, weighed := rows.Tally{}, rows.Tally{RouteStorms: 2, Weighed: 1, WeighedRate: new(270.0), ReportedRate: new(300.0)}
	assert.Equal(t, "Verdicts rest on pounds as spreaders reported them.", words.Say(us, "pounds basis", roads, none, none))
	roads.PoundsBasis, roads.AcetateSetRateShare, roads.ChlorideSetRateShare = rows.BasisWeighed, new(0.11), new(0.02)
	assert.Equal(t, "Verdicts rest on weighed pounds. By weighed loads: acetate 270 lb per lane-mile, where spreaders reported 300 "+
		"(1 of 2 "+
		"route-storms). Set rates times a length, which no counter measured, make up 11 % of acetate and 2 % of chloride pounds.",
		words.Say(us, "pounds basis", roads, weighed, none))
	weighed.WeighedRate, roads.AcetateSetRateShare = new(300.2), new(0.10)
	assert.Equal(t, "Verdicts rest on weighed pounds.", words.Say(us, "pounds basis", roads, weighed, none), "they agree")
}

func TestComparedSentences(t *testing.T) {
	assert.Equal(t, "No season ratio yet", words.Say(us, "comparison title", nil))
	assert.Equal(t, "Over the season these routes got 0.99 times the pounds; of the material: about the same, roads: no worse",
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
	assert.Contains(t, words.Say(us, "same band", 0.1), "shaded: within 10 %")
}
