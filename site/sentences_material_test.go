package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
)

func TestMaterialSentence(t *testing.T) {
	assert.Equal(t, "No truck has spread or loaded solids yet, so nothing can be weighed against it; no data has been loaded yet.",
		words.Say(us, "material", "", words.MaterialSums{}, ""))
	assert.Equal(t, "In the 2030-31 season no week of 1 truck has weighed loads to hold against what was spread; no calibrations due; "+
		"the data reaches "+through+".", words.Say(us, "material", "2030-31", words.MaterialSums{Trucks: 1}, through))
	assert.Equal(t, "In the 2030-31 season weighed and spread pounds agree in 1 of 1 weighed week of 1 truck; no setting to check; 1 "+
		"calibration due; the data reaches "+through+".",
		words.Say(us, "material", "2030-31", words.MaterialSums{Trucks: 1, Weighed: 1, Agree: 1, Due: 1}, through))
	assert.Contains(t, words.Say(us, "material", "2030-31",
		words.MaterialSums{Trucks: 9, Weighed: 30, Agree: 20, SettingTrucks: []string{"T1", "T2", "T3"}}, through),
		"; check the settings of trucks T1, T2 and T3; ")
}

func TestFindingWordsAskAndNeverAccuse(t *testing.T) {
	for finding, want := range map[string]string{"agrees": "agrees", "set for nacl?": "check: set for nacl?",
		"more weighed": "more weighed, check", "less weighed": "less weighed, check",
		"agrees; by settings": "agrees; by settings", "less weighed; by settings": "less weighed, check by settings",
		"no tickets": "no tickets, check", "no passes": "no passes", "incomplete": "incomplete"} {
		assert.Equal(t, want, words.Say(us, "finding", finding))
	}
	assert.Equal(t, "T1, cma: nothing weighed to compare", words.TruckTitle(us, "T1", "cma", nil, 0.1))
	assert.Equal(t, "T1, cma: 0.63, check: set for nacl?",
		words.TruckTitle(us, "T1", "cma", &rows.Reconciliation{RunningRatio: new(0.629), Finding: "set for nacl?"}, 0.1))
	assert.Equal(t, "T1, cma: 0.93, agrees", words.TruckTitle(us, "T1", "cma",
		&rows.Reconciliation{RunningRatio: new(0.93), Finding: "agrees"}, 0.1))
	assert.Equal(t, "T1, cma: 0.66, within one load of agreeing",
		words.TruckTitle(us, "T1", "cma", &rows.Reconciliation{RunningRatio: new(0.66), Finding: "agrees"}, 0.1))
	assert.Equal(t, "Nothing to calibrate yet.", words.Say(us, "calibrations", 0, 0, 365))
	assert.Contains(t, words.Say(us, "calibrations", 2, 5, 365),
		"2 calibrations due of 5 pairs of a truck and a material. Due: never done, or more than 365 days")
}

func TestWeighedSentence(t *testing.T) {
	assert.Empty(t, words.Say(us, "weighed", rows.Tally{}, rows.Tally{}))
	assert.Equal(t, "By weighed loads: x. As reported: y.", words.Say(us, "weighed first", "By weighed loads: x.", "y."))
	one := rows.Tally{RouteStorms: 2, Weighed: 1, WeighedRate: new(270.0), ReportedRate: new(300.0)}
	assert.Equal(t, "By weighed loads: acetate 270 lb per lane-mile, where spreaders reported 300 (1 of 2 route-storms).",
		words.Say(us, "weighed", one, rows.Tally{}))
}

func TestBasesSentence(t *testing.T) {
	reported := &rows.LearningBasis{Verdict: "falling"}
	assert.Equal(t, "No fit yet on either basis.", words.Say(us, "bases", nil, nil, "no worse", "falling"))
	assert.Equal(t, "By reported pounds: rates are coming down (roads no worse). Too few rows have weighed loads for a fit of their "+
		"own (no rows, no storms).", words.Say(us, "bases", reported, nil, "no worse", "falling"))
	assert.Equal(t,
		"By reported pounds: rates are coming down (roads no worse). Too few rows have weighed loads for a fit of their own (11 "+
			"rows, 1 storm).",
		words.Say(us, "bases", reported, &rows.LearningBasis{Rows: 11, Storms: 1, Verdict: rows.TooEarly}, "no worse", "falling"))
	assert.Equal(t, "Both bases say the same: rates are coming down (roads no worse).",
		words.Say(us, "bases", reported, &rows.LearningBasis{Verdict: "falling"}, "no worse", "falling"))
	assert.Equal(t, "By reported pounds: rates are coming down (roads no worse); by weighed loads: settled. So the answer depends "+
		"on spreader "+
		"settings: check those on the material page "+
		"first.", words.Say(us, "bases", reported, &rows.LearningBasis{Verdict: "settled"}, "no worse",
		"depends on spreader settings; so far"))
	assert.Equal(t, "By reported pounds: rates are coming down (roads no worse); by weighed loads: cannot be told from an order.",
		words.Say(us, "bases", reported, &rows.LearningBasis{Verdict: "cannot be told from an order"}, "no worse",
			"cannot be told from an order"))
}

func TestLearningWordsOfSpreaderSettings(t *testing.T) {
	l := fallingFit()
	l.Verdict = "depends on spreader settings; so far"
	assert.Equal(t, "It depends on spreader settings whether acetate rates come down, for reported and weighed pounds disagree; as "+
		"reported, −3.6 % with each doubling of storms worked (90 % interval −5.7 to −1.4 %, 50 storms, 367 rates), and roads were "+
		"no worse meanwhile; so far; the data reaches "+through+".",
		words.Say(us, "learning", l, book.Roads{}, 5, 12, through))
	assert.Equal(t, "It depends on spreader settings; as reported, from 296 lb per lane-mile in a first storm to 242 after 44 storms, "+
		"in mean weather", words.Say(us, "curve title", l))
}

func TestStockSentence(t *testing.T) {
	assert.Equal(t, "No stock has been counted yet; no data has been loaded yet.", words.StockSentence(us, nil, ""))
	day := time.Date(2031, 2, 3, 0, 0, 0, 0, time.UTC)
	for want, o := range map[string]rows.StockOutlook{
		"4.0 tons of cma on hand, too early to say what the season needs (1 storm so far)": {MaterialID: "cma",
			OnHandLb: new(8000.0), StormsSoFar: 1, Basis: rows.TooEarly},
		"40 tons of cma on hand, enough for a need of 5.0 to 35 tons": {MaterialID: "cma",
			OnHandLb: new(80000.0), NeedP10Lb: new(10000.0), NeedP90Lb: new(70000.0)},
		"40 tons of cma on hand against a need of 5.0 to 45 tons: order by 3 Feb 2031": {MaterialID: "cma",
			OnHandLb: new(80000.0), NeedP10Lb: new(10000.0), NeedP90Lb: new(90000.0), OrderByDate: &day},
		"40 tons of cma on hand against a need of 5.0 to 45 tons: not enough in at least one season of ten": {MaterialID: "cma",
			OnHandLb: new(80000.0), NeedP10Lb: new(10000.0), NeedP90Lb: new(90000.0)},
	} {
		assert.Equal(t, want, words.Say(us, "stock of", o))
	}
	assert.Equal(t, "Cma was never counted, so nothing is known of what is left; delivery time and reserve are yours; the data reaches "+
		through+".", words.StockSentence(us, []rows.StockOutlook{{MaterialID: "cma"}}, through))
	assert.Equal(t, "Cma and urea were never counted, so nothing is known of what is left; delivery time and reserve are yours; the "+
		"data reaches "+through+".", words.StockSentence(us, []rows.StockOutlook{{MaterialID: "cma"}, {MaterialID: "urea"}}, through))
	assert.Equal(t, []string{"0", "0.1", "9.9", "10", format.Missing},
		[]string{us.Tons(new(0.0)), us.Tons(new(200.0)), us.Tons(new(19800.0)), us.Tons(new(20000.0)), us.Tons(nil)})
	assert.Equal(t, "No count lies far below its book.", words.Say(us, "shrinkage", nil))
	assert.Equal(t, "Shrinkage: shed 1 by 24,000 lb at the count of 3 Feb 2031. Check tickets, deliveries and both counts.",
		words.Say(us, "shrinkage", []string{words.Say(us, "gap", "shed 1", 24000.0, "3 Feb 2031")}))
}

func TestCostSentence(t *testing.T) {
	assert.Equal(t, "No material has a cost yet; no data has been loaded yet.", words.CostSentence(us, "", nil, rows.WholeSeason{}, ""))
	assert.Equal(t,
		"No material has a cost yet; the cost of acetate is not known, for a price or pounds are not on file; the data reaches "+through+
			".", words.CostSentence(us, "2030-31", []rows.SeasonCost{{MaterialClass: rows.Acetate, Passes: 1}}, rows.WholeSeason{},
			through))
	assert.Equal(t, "In the 2030-31 season material cost $100 (chloride $100); no budget is on file; how much chloride acetate kept "+
		"off is not known; the data reaches "+through+".",
		words.CostSentence(us, "2030-31", []rows.SeasonCost{{MaterialClass: rows.Chloride, Passes: 1, Usd: new(100.0)}},
			rows.WholeSeason{Usd: new(100.0)}, through))
	assert.Equal(t, "In the 2030-31 season there is no acetate price at which both would have cost the same.",
		words.Say(us, "break even", rows.BreakEven{Season: "2030-31"}))
	assert.Equal(t, "In strong wind: Wind carries pellets.", words.Say(us, "talk reason", "wind", "Wind carries pellets."))
	assert.Equal(t, "In the 2030-31 season nothing of cold, wind or timing stands out.",
		words.Say(us, "talk", "2030-31", []string(nil), words.MostTalk))
	assert.Equal(t, "Route-storms of the 2030-31 season with material put down: 1 in strong wind; 2 first after 2 h of snow. At most 8 "+
		"of each kind stand here; the file has all.",
		words.Say(us, "talk", "2030-31", []string{"1 " + words.Say(us, "talk kind", "wind"),
			"2 " + words.Say(us, "talk kind", "late")}, words.MostTalk))
}
