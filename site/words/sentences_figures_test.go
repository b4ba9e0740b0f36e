package words

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

func TestLabelsOfPictures(t *testing.T) {
	assert.Equal(t, "Rates of route R1 by storm; the table holds each value.", Say(us, "rates label", "R1"))
	assert.Equal(t, "One storm so far on route R1; the table below holds every value.",
		Say(us, "route course label", "One storm so far", "R1"))
	assert.Equal(t, "No storm has a rate yet. Rate, hours to bare lane, capped at 24 h, and lowest pavement temperature of no storms; the "+
		"table below holds every value.", Say(us, "season course label", "No storm has a rate yet", 0))
	assert.Equal(t, "1 rate over acetate storms worked, with the common curve and its 90 % interval; the table below holds the curve.",
		Say(us, "curve label", 1))
	assert.Equal(t, "No rates of crew C1 with its own curve and the common one; the table holds the same trend.",
		Say(us, "crew curve label", 0, "C1"))
	assert.Equal(t, "Weather and passes of storm s in Ridge; the table beneath holds the same passes summed.",
		Say(us, "storm label", "s", "Ridge"))
	assert.Equal(t, "2 storms along the season's dates with water and lowest pavement temperature; the table holds the same figures.",
		Say(us, "strip label", 2))
	assert.Equal(t, "Pounds per lane-mile of acetate and chloride routes in 1 storm of 2030-31, and their ratios; the table below "+
		"holds each value.", Say(us, "pairs label", 1, "2030-31"))
	assert.Equal(t, "Kilograms per lane-km of acetate and chloride routes in 1 storm of 2030-31, and their ratios; the table below "+
		"holds each value.", Say(metric, "pairs label", 1, "2030-31"))
	assert.Equal(t, "1 row of storm and material over the route's reference posts, with how often each stretch was treated; the table "+
		"below names what was missed and doubled.", Say(us, "coverage label", 1))
	assert.Equal(t, "T1, salt: 1.00, agrees. Running ratio of weighed to spread pounds by week.",
		Say(us, "ratio label", "T1, salt: 1.00, agrees"))
}

func TestCaptionsOfPictures(t *testing.T) {
	assert.Equal(t, []string{"acetate bare after, h", "chloride bare after, h", "mean air, °F"}, RoadHeads(us))
	assert.Equal(t, "mean air, °C", RoadHeads(metric)[2])
	assert.Regexp(t, `^Times in Europe/Oslo\. Bars are passes: .*\.$`, Say(us, "storm caption", "Europe/Oslo"))
	assert.NotContains(t, Say(us, "pairs caption", ""), "Dotted")
	assert.Regexp(t, `^Discs: acetate routes;.* and the air\. Dotted: A: 10 Jan\.$`, Say(us, "pairs caption", "A: 10 Jan."))
	assert.Regexp(t, `^Dots: rates of one crew .* Line: the fit .* \(common practice\)\.$`, Say(us, "curve caption", true, 0, ""))
	assert.Regexp(t, `^Dots: rates of one route .* 1 rate is fitted and not drawn: .* Dotted: A\.$`,
		Say(us, "curve caption", false, 1, "A."))
}

// 1 in is 2.54 cm, 5 °F are -15 °C, 300 lb per lane-mile 84.6 kg per lane-km, 1000 lb 454 kg, 10 lane-miles 16.1 lane-km.
func TestTitlesInPictures(t *testing.T) {
	began := time.Date(2031, 1, 10, 0, 0, 0, 0, time.UTC)
	e := book.Event{ID: "s", BeganAt: began, EndedAt: began.Add(9 * time.Hour),
		Zones: []rows.Storm{{Kind: "snow", PrecipIn: new(1.0), SurfaceFMin: new(5.0)}}}
	assert.Equal(t, "s, 10 Jan 2031: snow, 9.0 h, 1.00 in of water, lowest pavement 5.0 °F", Say(us, "storm title", e, "10 Jan 2031"))
	e.IsOpen = true
	assert.Equal(t, "s, 10 Jan 2031: snow, 9.0 h, 2.54 cm of water, lowest pavement −15.0 °C, still open",
		Say(metric, "storm title", e, "10 Jan 2031"))
	assert.Equal(t, "s, 10 Jan 2031: dry, 9.0 h, – in of water, lowest pavement – °F",
		Say(us, "storm title", book.Event{ID: "s", BeganAt: began, EndedAt: began.Add(9 * time.Hour)}, "10 Jan 2031"))
	p := book.RatePoint{StormID: "s", RouteID: "R1", Rate: 300}
	assert.Equal(t, "s, route R1: 300 lb per lane-mile after no storms", Say(us, "rate title", p))
	p.Prior = 1
	assert.Equal(t, "s, route R1: 84.6 kg per lane-km after 1 storm", Say(metric, "rate title", p))
	assert.Equal(t, "s: acetate routes –, chloride routes 300 lb per lane-mile",
		Say(us, "pair title", rows.Comparison{StormID: "s", ChlorideStormLb: new(300.0)}))
	pass := rows.StormPass{TruckID: "T1", MaterialID: "salt", MaterialClass: rows.Chloride}
	assert.Equal(t, "a to b, truck T1: plowed only", Say(us, "pass", pass, "a", "b"))
	pass.IsTreating = true
	assert.Equal(t, "a to b, truck T1: salt, – lb, lane-miles not known", Say(us, "pass", pass, "a", "b"))
	pass.AppliedLb, pass.LaneMiles = new(1000.0), new(10.0)
	assert.Equal(t, "a to b, truck T1: salt, 454 kg on 16.1 lane-km", Say(metric, "pass", pass, "a", "b"))
	assert.Equal(t, "84,000 lb on hand: order by 18 Mar 2031; delivery time and reserve are yours",
		rows.Finding{Code: rows.StockLowFinding, Amount: new(84000.0), Unit: rows.Pound,
			Name: "18 Mar 2031"}.Sentence(book.FindingWriter{Units: us}))
	assert.Equal(t, "hours to bare lane: none reported", Say(us, "regain title", false))
	assert.Equal(t, "hours from storm's end to bare lane, capped at 24 h", Say(us, "regain title", true))
	assert.Contains(t, Say(us, "fan", "3 past seasons"), "Drawn from 3 past seasons. So few seasons")
	assert.Equal(t, "−10", format.Tick(-10))
}
