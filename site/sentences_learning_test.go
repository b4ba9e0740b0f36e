package site

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
)

// fallingFit is a fit whose trend falls, with every number that a sentence tells.
func fallingFit() *rows.Learning {
	return &rows.Learning{CrewID: rows.AllCrews, Storms: 50, Rows: 367, PriorStormsLatest: new(44.0), StartRate: new(296.2),
		LatestRate: new(242.4), ChangePct: new(-3.58), ChangeLow90Pct: new(-5.74), ChangeHigh90Pct: new(-1.38),
		StartRatio: new(1.412), StartRatioLow90: new(1.344), StartRatioHigh90: new(1.483), LatestRatio: new(1.077),
		LatestRatioLow90: new(1.053), LatestRatioHigh90: new(1.102), NetChangePct: new(-4.81), NetLow90Pct: new(-5.71),
		NetHigh90Pct: new(-3.89), SaltTrendPct: new(0.55),
		StartVerdict: "fits the band", ControlVerdict: "beyond salt",
		Verdict: "falling; so far; too few weighed loads to check what was reported", ServiceVerdict: "no worse"}
}

func TestLearningSentence(t *testing.T) {
	assert.Equal(t, "No acetate rate has been fitted yet; no data has been loaded yet.",
		words.Say(us, "learning", nil, book.Roads{}, 5, 12, ""))
	early := &rows.Learning{Storms: 1, Rows: 3, Verdict: "too early; so far", ServiceVerdict: "not known"}
	assert.Equal(t, "Too early to say how acetate rates move with experience: 1 of 5 storms and 3 of 12 rates, and whether roads "+
		"were no worse is not known; so far; the data reaches "+through+".",
		words.Say(us, "learning", early, book.Roads{}, 5, 12, through))
	assert.Equal(t, "Acetate rates are coming down, −3.6 % with each doubling of storms worked (90 % interval −5.7 to −1.4 %, 50 "+
		"storms, 367 rates), and roads were no worse meanwhile: at most 5 % later, 4 points more not bare; so "+
		"far; too few weighed loads to check what was reported; the data reaches "+through+".",
		words.Say(us, "learning", fallingFit(), roadsOf(sameSeason()), 5, 12, through))
	for verdict, want := range map[string]string{"rising": "Acetate rates are going up, ", "settled": "Acetate rates have settled, ",
		"no clear trend": "Acetate rates show no clear trend, ", "a word of tomorrow": "Acetate rates: a word of tomorrow, ",
		"depends on spreader settings; so far": "It depends on spreader settings whether acetate rates come down, for reported and " +
			"weighed pounds disagree; as reported, ",
		"cannot be told from an instruction": "Acetate rates moved, but their change cannot be told from " +
			"instructions that nobody logged, ",
		"cannot be told from an order; so far": "Acetate rates moved, but their change cannot be told from an order, "} {
		l := fallingFit()
		l.Verdict, l.ServiceVerdict = verdict, "worse"
		assert.Contains(t, words.Say(us, "learning", l, roadsOf(sameSeason()), 5, 12, through), want)
		assert.Contains(t, words.Say(us, "learning", l, roadsOf(sameSeason()), 5, 12, through), "and roads were worse meanwhile",
			"no trend without the roads")
	}
	lost := &rows.Learning{Storms: 9, Rows: 20, Verdict: "no clear trend"}
	assert.Equal(t, "Acetate rates show no clear trend (9 storms and 20 rates give no interval), and whether roads were no worse "+
		"is not known; the data reaches "+through+".", words.Say(us, "learning", lost, book.Roads{}, 5, 12, through))
}

func TestTrendWords(t *testing.T) {
	assert.Equal(t, "no acetate rate has been fitted yet", words.Say(us, "trend", nil, book.Roads{}))
	assert.Equal(t, "too few acetate rates for a fit (no storms, 1 rate), and whether roads were no worse is not known",
		words.Say(us, "trend", &rows.Learning{Rows: 1, Verdict: "too early"}, book.Roads{}))
}

func TestBesideSaltSentences(t *testing.T) {
	assert.Equal(t, "how acetate began beside salt is not yet known", words.Say(us, "start", nil))
	assert.Equal(t, "in a first storm acetate went down at 1.41 times the salt rate (90 % interval 1.34 to 1.48), which fits the usual "+
		"1.25 to 1.50 (common practice)", words.Say(us, "start", fallingFit()))
	l := fallingFit()
	l.StartVerdict = "above"
	assert.Contains(t, words.Say(us, "start", l), "above the usual 1.25 to 1.50")
	l.StartVerdict = "not yet known"
	assert.Contains(t, words.Say(us, "start", l), "not yet known against the usual 1.25 to 1.50")
	assert.Empty(t, words.Say(us, "latest ratio", &rows.Learning{}))
	assert.Equal(t, "At the latest experience, 44 storms before, the ratio is 1.08 (90 % interval 1.05 to 1.10).",
		words.Say(us, "latest ratio", fallingFit()))
	assert.Equal(t, "No salt rates stand beside the acetate rates, so there is no control.",
		words.Say(us, "control", &rows.Learning{}, book.Roads{}))
	assert.Equal(t, "Salt's own rates moved by +0.6 % with each doubling of the season's storms; beyond that acetate rates moved by "+
		"−4.8 % with each doubling of storms worked (90 % interval −5.7 to −3.9 %): acetate rates came down beyond salt's; roads no "+
		"worse: at most 5 % later, 4 points more not bare.",
		words.Say(us, "control", fallingFit(), roadsOf(sameSeason())))
	l.ControlVerdict = "no more than salt"
	assert.Contains(t, words.Say(us, "control", l, roadsOf(sameSeason())), "acetate rates came down no more than salt's")
	l.ControlVerdict = "cannot be told from an instruction"
	assert.Contains(t, words.Say(us, "control", l, roadsOf(sameSeason())),
		"whether experience or instructions that nobody logged moved them cannot be told; roads no worse")
	l = fallingFit()
	l.Verdict = "cannot be told from an order; so far"
	assert.Contains(t, words.Say(us, "control", l, roadsOf(sameSeason())),
		"came down beyond salt's, but an order held on the way: whether crews or the order moved them cannot be told; roads no worse")
	assert.Contains(t, words.Say(us, "start", l), ", but that cannot be told from an order")
	l.ControlVerdict = "cannot be told from an instruction"
	assert.Contains(t, words.Say(us, "control", l, roadsOf(sameSeason())),
		"instructions that nobody logged moved them cannot be told, and an order held on the way; roads no worse")
	l.ControlVerdict = "cannot be told from an order"
	assert.Contains(t, words.Say(us, "control", l, roadsOf(sameSeason())), "whether crews or an order moved them cannot be told; roads")
	l.Verdict, l.ControlVerdict = "depends on spreader settings", "beyond salt"
	assert.Contains(t, words.Say(us, "control", l, roadsOf(sameSeason())),
		"came down beyond salt's, as reported: it depends on spreader settings; roads no worse")
}

func TestCurveWords(t *testing.T) {
	assert.Equal(t, "No curve yet", words.Say(us, "curve title", nil))
	assert.Equal(t, "From 296 lb per lane-mile in a first storm to 242 after 44 storms, in mean weather",
		words.Say(us, "curve title", fallingFit()))
	assert.Equal(t, "too few storms (3 of 5)", words.Say(us, "too few", 3, 5, "storms"))
	assert.Equal(t, "too few rates (0 of 12)", words.Say(us, "too few", 0, 12, "rates"))
	assert.Equal(t, "C1: too early", words.Say(us, "crew trend", "C1", &rows.Learning{Verdict: "too early; slopes of crews need 3 crews"}))
	l := fallingFit()
	l.Verdict = "comes down slower; so far"
	assert.Equal(t, "C1: −3.6 % per doubling (−5.7 to −1.4), comes down slower so far", words.Say(us, "crew trend", "C1", l))
	assert.Empty(t, words.Say(us, "reserve", nil))
	assert.Equal(t, "With reserve: so far only, for the season is still open; not adjusted for intensity.",
		words.Say(us, "reserve", []string{"so far", "not adjusted for intensity"}))
}

func TestFitSentence(t *testing.T) {
	assert.Equal(t, "The learning curve: 0 of no rows used, from no storms; none left out.",
		words.Say(us, "fit", rows.LearningFit{Fit: "curve", RowsUsed: 0}, nil))
	assert.Equal(t, "Acetate beside salt, hours: 1 of 3 rows used, from 1 storm; left out: 2 (no reports).",
		words.Say(us, "fit", rows.LearningFit{Fit: "beside salt: hours", RowsGiven: 3, RowsUsed: 1, Storms: 1},
			[]rows.LearningLeftOut{{Fit: "beside salt: hours", Reason: "no reports", Rows: 2}}))
	assert.Equal(t, "acetate beside salt, hours", words.Say(us, "fit name", "beside salt: hours"))
	assert.Equal(t, "No rate lies far enough from the fit to be marked for review.", words.Say(us, "outliers", 0))
	assert.Equal(t, "1 rate lies more than 3.5 robust deviations from the fit: marked for review, still in every figure. The weather "+
		"stands beside.", words.Say(us, "outliers", 1))
}

func TestOrderStepSentence(t *testing.T) {
	o := rows.LearningOrder{FromDate: new(testDay), Text: "hold", ChangePct: new(-2.98), ChangeLow90Pct: new(-5.37),
		ChangeHigh90Pct: new(-0.53)}
	assert.Equal(t,
		"Order of 10 Jan 2031 (hold): with a step there the trend is still −3.0 % per doubling (90 % interval −5.4 to −0.5 %).",
		words.Say(us, "order step", o))
	o.Moves, o.ChangeHigh90Pct = true, new(0.2)
	assert.Equal(t, "Order of 10 Jan 2031 (hold): with a step there the trend is −3.0 % per doubling (90 % interval −5.4 to +0.2 %), "+
		"so it cannot be told from the order.", words.Say(us, "order step", o))
	assert.Equal(t, "Order of 10 Jan 2031 (hold): with a step there the trend has no answer of its own.",
		words.Say(us, "order step", rows.LearningOrder{FromDate: new(testDay), Text: "hold"}))
	o.FromDate = nil
	assert.Equal(t, "Instructions that nobody logged: with a straight change by each storm worked the trend is −3.0 % per doubling (90 % "+
		"interval −5.4 to +0.2 %), so it cannot be told from them.", words.Say(us, "order step", o))
}

func TestSigned(t *testing.T) {
	assert.Equal(t, format.Missing, format.Signed(nil, 1))
	assert.Equal(t, "0.0", format.Signed(new(-0.04), 1))
	assert.Equal(t, "−1,204.5", format.Signed(new(-1204.5), 1))
	assert.Equal(t, "+2.0", format.Signed(new(2.0), 1))
	assert.Equal(t, format.Missing, format.Interval(nil, new(1.0), format.Ratios))
	assert.Equal(t, "0.94 to 1.04", format.Interval(new(0.94), new(1.04), format.Ratios))
}
