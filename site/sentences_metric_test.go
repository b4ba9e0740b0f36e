package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/words"
)

// 300 lb per lane-mile are 84.5548 kg per lane-km, 450 are 126.8 and 340 are 95.8; 20 °F is -6.67 °C; 900 lb are 408 kg, 24,000 lb 10,886
// kg; 8000 lb are 3.63 t, 90,000 lb 40.8 t: worked by hand from the pound, the mile and the degree.
func TestSentencesInMetricUnits(t *testing.T) {
	none, salt := book.ClassTally{Class: rows.Acetate}, summed(rows.Chloride, 300, "a")
	thirds := withThirds(summed(rows.Acetate, 300, "a", "b", "c"), 450, 340)
	day := time.Date(2031, 2, 3, 0, 0, 0, 0, time.UTC)
	for want, got := range map[string]string{
		"In the 2030-31 season spreaders reported no rate for solid acetate and 84.6 kg per lane-km of chloride (bare lane 3.0 h after " +
			"a storm, capped at 24 h, 0 of 1 route-storm not bare), over 1 closed storm; the data reaches " + through + ".": words.Say(
			metric, "season", "2030-31", 1, 0, none, salt, through),
		"Acetate: 126.8 kg per lane-km in the first 1 storm, 95.8 in the latest 1 storm; bare lane after 3.0 h, then 3.0 h, capped " +
			"at 24 h; not " +
			"bare 0 %, then 0 %; mean air −6.7\u00a0°C, then −6.7\u00a0°C.": words.Say(metric, "thirds", thirds),
		"First and latest third: acetate 126.8, then 95.8 kg per lane-km": words.Say(metric, "course title", 3, thirds,
			none),
		"1 pass row with 408 kg, of 1 truck, set aside and in no figure on these pages until mended.": words.Say(metric, "set aside", 1,
			900, 1),
		"By truck: A 408 kg (2 rows).": words.AsideTrucksSentence(metric,
			[]rows.SetAsideTruck{{TruckID: "A", Rows: 2, DispensedLb: new(900.0)}}),
		"Storm s lasted 9.5 h in 1 zone: no solid acetate reported; chloride 84.6 kg per lane-km in 1.00 applications on 1 route (bare " +
			"lane 3.0 h after its end, capped at 24 h, 0 of 1 route not bare); the data reaches " +
			"" + through + ".": words.Say(metric, "storm", "s", false, new(9.5),
			"1 zone", rows.Tally{}, salt.Season, 0, through),
		"R1 had passes in 1 storm; in the 2030-31 season it got 84.6 kg per lane-km of chloride in 1 storm (1 of 1 route-storm with " +
			"reports came bare, after 3.0 h on average, capped at 24 h); the data reaches " +
			"" + through + ".": words.Say(metric, "route", "R1", 1,
			"2030-31", rows.Tally{}, salt.Season, through),
		"By weighed loads: acetate 76.1 kg per lane-km, where spreaders reported 84.6 (1 of 2 route-storms).": words.Say(metric,
			"weighed", rows.Tally{RouteStorms: 2, Weighed: 1, WeighedRate: new(270.0), ReportedRate: new(300.0)}, rows.Tally{}),
		"3.6 t of cma on hand, too early to say what the season needs (1 storm so far)": words.Say(metric, "stock of",
			rows.StockOutlook{MaterialID: "cma", OnHandLb: new(8000.0), StormsSoFar: 1, Basis: rows.TooEarly}),
		"36 t of cma on hand against a need of 4.5 to 41 t: order by 3 Feb 2031": words.Say(metric, "stock of",
			rows.StockOutlook{MaterialID: "cma", OnHandLb: new(80000.0), NeedP10Lb: new(10000.0), NeedP90Lb: new(90000.0),
				OrderByDate: &day}),
		"Shrinkage: shed 1 by 10,886 kg at the count of 3 Feb 2031. Check tickets, deliveries and both counts.": words.Say(metric,
			"shrinkage", []string{words.Say(metric, "gap", "shed 1", 24000.0, "3 Feb 2031")}),
		"pavement between −3.9 and 0.0 °C": words.Say(metric, "temperature", "mid", false),
		"acetate routes got 0.99 times the kilograms per lane-km of chloride routes (90 % interval from storm to storm 0.94 to 1.05, " +
			"approximate, 24 storms), which is what these routes got and no verdict. Of the material: 1.02 times the kilograms (90 " +
			"% interval " +
			"0.95 to 1.09), about the same, within 15 %, and acetate routes came bare no later: at most 5 % later, 4 points more " +
			"not bare " +
			"(−0.1 h from storm to storm, 90 % interval −0.2 to 0.0 h, capped at 24 h)": words.Say(metric, "pounds found", sameSeason(),
			roadsOf(sameSeason()), 5, 0.15),
		"Chloride kept off by acetate: 408 kg over the season, from 1 of 2 acetate route-storms " +
			"with something to be set against.": words.Say(metric, "kept off",
			rows.WholeSeason{KeptOffLb: new(900.0), KeptOffRouteStorms: 1, AcetateRouteStorms: 2}),
		"more than usual here (middle half 84.6 to 126.8 kg per lane-km)": words.Say(metric, "reason",
			rows.StormReason{TotalKind: "more than usual here", LowStormLb: new(300.0), HighStormLb: new(450.0)}),
		"Kilograms are as reported by spreaders.": words.Say(metric, "basis", false),
		// 100 USD a ton are 110.23 USD a metric ton.
		"In the 2030-31 season acetate at $110 per t would have cost the same per lane-km as chloride at $55; paid was $1,102 (2 " +
			"storms, on 3 acetate and 4 chloride routes). Of material alone: labour, " +
			"trucks and damage are not in it.": words.Say(metric, "break even",
			rows.BreakEven{Season: "2030-31", Storms: 2, AcetateRoutes: 3, ChlorideRoutes: 4, BreakEvenUsdPerTon: new(100.0),
				ChlorideUsdPerTon: new(50.0), AcetateUsdPerTon: new(1000.0)}),
	} {
		assert.Equal(t, want, got)
	}
	assert.Equal(t, []string{"medium snow (10.7 cm over 24 h)", "cold pavement (−6.9 °C)", "strong wind (27 km/h)",
		"cooling after (−1.9 °C)"},
		words.SeverityClasses(metric, rows.StormSeverity{ST: "medium snow", Ti: "cold", Wi: "strong", Tp: "cooling", SnowIn: new(4.2),
			TiF: new(19.5), WiMph: new(17.0), TpF: new(-3.4)}, false))
	seasons := []book.Stretch{{Name: "2030-31"}, {Name: "2029-30"}}
	assert.Contains(t, words.PastSentence(metric, rows.Chloride, seasons, []rows.Tally{salt.Season, salt.Season}),
		"Chloride: 84.6 kg per lane-km in 2030-31 (1 storm), 84.6 in 2029-30 (1 storm);")
	here := book.LikeStorm{Storm: rows.Storm{Kind: "snow", Severity: new(0.4)}, Chloride: salt.Season}
	assert.Contains(t, words.LikeSentence(metric, "upper", here, []book.LikeStorm{here, here, here}),
		"Chloride: 84.6 kg per lane-km here, 84.6 to 84.6 in 3 of them.")
	assert.Contains(t, words.Say(metric, "handbook"), "Under −9.4 °C: plow;")
	assert.Contains(t, words.Say(metric, "curve title", &rows.Learning{StartRate: new(300.0), LatestRate: new(340.0)}),
		"84.6 kg per lane-km in a first storm to 95.8 after")
	assert.Contains(t, words.Say(metric, "units", true), "stay in US units")
	assert.Contains(t, words.Say(us, "units", false), "Pages and files are in US units")
}
