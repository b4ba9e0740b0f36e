package site

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
)

const through = "9 Mar 2031, 06:40 (America/Chicago)"

// summed is a class's tally with a rate of lb over 10 lane-miles, in so many storms.
func summed(class string, lb float64, storms ...string) book.ClassTally {
	n := int64(len(storms))
	return book.ClassTally{Class: class, Season: rows.Tally{MaterialClass: class, Storms: n, RouteStorms: n,
		AppliedLb: new(lb * 10 * float64(n)), RateLbPerLaneMi: &lb, StormLbPerLaneMi: &lb,
		Applications: new(1.0), RegainH: new(3.0), Bare: n, AirFMean: new(20.0)}}
}

func withThirds(c book.ClassTally, first, latest float64) book.ClassTally {
	a, b := summed(c.Class, first, "a").Season, summed(c.Class, latest, "z").Season
	c.First, c.Latest = &a, &b
	return c
}

func TestSeasonSentence(t *testing.T) {
	none := book.ClassTally{Class: rows.Acetate}
	salt := summed(rows.Chloride, 300, "a")
	assert.Equal(t, "No data has been loaded yet, so there is no season to show.", words.Say(us, "season", "", 0, 0, none, none, ""))
	assert.Equal(t, "No storm has been counted in the 2030-31 season; the data reaches "+through+".",
		words.Say(us, "season", "2030-31", 0, 0, none, none, through))
	assert.Equal(t, "In the 2030-31 season spreaders reported no rate for solid acetate and 300 lb per lane-mile of chloride (bare "+
		"lane 3.0 h after a storm, capped at 24 h, 0 of 1 route-storm not bare), over 1 closed storm; the data reaches "+through+".",
		words.Say(us, "season", "2030-31", 1, 0, none, salt, through))
	assert.Contains(t, words.Say(us, "season", "2030-31", 1, 1, none, salt, through),
		"over 1 closed storm (1 more is still open and not in these figures);")
	assert.Contains(t, words.Say(us, "season", "2030-31", 0, 2, none, none, through),
		"over no closed storms (2 more are still open and not in these figures);")
	silent := salt
	silent.Season.RegainH = nil
	assert.Contains(t, words.Say(us, "season", "2030-31", 1, 0, none, silent, through),
		"300 lb per lane-mile of chloride (no road state reported)")
}

func TestThirdsSentence(t *testing.T) {
	assert.Equal(t, "No solid acetate was reported in a closed storm.", words.Say(us, "thirds", book.ClassTally{Class: rows.Acetate}))
	assert.Equal(t, "Acetate: too few storms for a first and a latest third (2, 3 needed).",
		words.Say(us, "thirds", summed(rows.Acetate, 400, "a", "b")))
	assert.Equal(t, "Acetate: 450 lb per lane-mile in the first 1 storm, 340 in the latest 1 storm; bare lane after 3.0 h, then 3.0 h, "+
		"capped at 24 h; not bare 0 %, then 0 %; "+
		"mean air 20.0 °F, then 20.0 °F.",
		words.Say(us, "thirds", withThirds(summed(rows.Acetate, 400, "a", "b", "c"), 450, 340)))
	some := rows.Tally{RegainH: new(2.0), Bare: 3, NotBare: 1}
	assert.Equal(t, "no road reported in either", words.Say(us, "bare then", rows.Tally{}, rows.Tally{}))
	assert.Equal(t, "no road reported, then bare lane after 2.0 h, capped at 24 h, 25 % not bare",
		words.Say(us, "bare then", rows.Tally{}, some))
	assert.Equal(t, "bare lane after 2.0 h, capped at 24 h, 25 % not bare, then no road reported",
		words.Say(us, "bare then", some, rows.Tally{}))
	assert.Equal(t, "bare lane after 2.0 h, capped at 12 h, 25 % not bare", words.Say(format.Units{BareCapH: 12}, "bare lane", some),
		"the district's cap")
}

func TestUseAndRoadSentences(t *testing.T) {
	assert.Empty(t, words.Say(us, "use", book.ClassTally{Class: rows.Acetate}))
	assert.Equal(t, "Acetate: a route treated in a storm got 1.00 applications and 400 lb per lane-mile in all; 1 of 1 route-storm "+
		"with reports came bare, after 3.0 h on average, capped at 24 h.",
		words.Say(us, "use", summed(rows.Acetate, 400, "a")))
	for want, roads := range map[string]rows.Tally{
		"no road state reported": {}, "no road state yet": {RegainOpen: 2},
		"bare lane 24.0 h after its end, capped at 24 h, 1 of 1 route not bare": {NotBare: 1, RegainH: new(24.0), RegainOpen: 1},
		"bare lane 2.5 h after its end, capped at 24 h, 2 of 4 routes not bare": {Bare: 2, NotBare: 2, RegainH: new(2.5)},
	} {
		assert.Equal(t, want, words.Say(us, "bare", roads, "its end", "route"))
	}
	assert.Equal(t, "no road state was reported after the storms", words.Say(us, "roads", rows.Tally{}))
	assert.Equal(t, "0 of 2 route-storms with reports came bare, after 24.0 h on average, capped at 24 h",
		words.Say(us, "roads", rows.Tally{NotBare: 2, RegainH: new(24.0)}))
}

func TestSetAsideSentence(t *testing.T) {
	assert.Empty(t, words.Say(us, "set aside", 0, 0, 0))
	assert.Equal(t, "1 pass row with 900 lb, of 1 truck, set aside and in no figure on these pages until mended.",
		words.Say(us, "set aside", 1, 900, 1))
	assert.Equal(t, "33 pass rows with 19,350 lb, of 2 trucks, set aside and in no figure on these pages until mended.",
		words.Say(us, "set aside", 33, 19350, 2))
	assert.Equal(t, "No figure of a past storm moved since the last release.", words.Say(us, "changes", words.ChangeCounts{}))
	assert.Equal(t, "1 figure of 1 past storm moved since the last release, by late or corrected deliveries or a changed reference table.",
		words.Say(us, "changes", words.ChangeCounts{Figures: 1, Moved: map[string]bool{"a": true}}))
	assert.Equal(t, "12 figures of 3 past storms moved since the last release, by late or corrected deliveries or a changed reference "+
		"table.", words.Say(us, "changes", words.ChangeCounts{Figures: 12, Moved: map[string]bool{"a": true, "b": true, "c": true}}))
	assert.Equal(t, "No figure of a past storm moved since the last release. 1 storm appeared. 2 storms vanished.",
		words.Say(us, "changes", words.ChangeCounts{Appeared: map[string]bool{"a": true}, Vanished: map[string]bool{"b": true, "c": true}}))
	assert.Empty(t, words.AsideTrucksSentence(us, nil))
	assert.Equal(t, "1 row names no truck.", words.AsideTrucksSentence(us, []rows.SetAsideTruck{{Rows: 1}}))
	assert.Equal(t, "By truck: A 0 lb (2 rows). 3 rows name no truck.",
		words.AsideTrucksSentence(us, []rows.SetAsideTruck{{Rows: 3}, {TruckID: "A", Rows: 2}}))
	assert.Equal(t, "3 pass rows with 0 lb, set aside and in no figure on these pages until mended.", words.Say(us, "set aside", 3, 0, 0))
	assert.Equal(t, "By truck: V 80,151 lb (41 rows), A 900 lb (2 rows), B 0 lb (1 row), C 0 lb (1 row), and 2 more.",
		words.AsideTrucksSentence(us, []rows.SetAsideTruck{
			{TruckID: "V", Rows: 41, DispensedLb: new(80151.0)}, {TruckID: "A", Rows: 2, DispensedLb: new(900.0)}, {TruckID: "B", Rows: 1},
			{TruckID: "C", Rows: 1}, {TruckID: "D", Rows: 1}, {TruckID: "E", Rows: 1}}))
}

func TestTitles(t *testing.T) {
	none := book.ClassTally{Class: rows.Acetate}
	assert.Equal(t, "No storm has a rate yet", words.Say(us, "course title", 0, none, none))
	assert.Equal(t, "One storm so far: no course can be read from it", words.Say(us, "course title", 1, none, none))
	assert.Equal(t, "Rate, hours to bare lane, capped at 24 h, and pavement temperature over 2 storms",
		words.Say(us, "course title", 2, none, none))
	assert.Equal(t, "First and latest third: acetate 450, then 340 lb per lane-mile",
		words.Say(us, "course title", 3, withThirds(none, 450, 340), book.ClassTally{Class: rows.Chloride}))
}

func TestListSentences(t *testing.T) {
	assert.Equal(t, "Nothing in the data asks for attention.", words.Say(us, "attention", 0, 0))
	assert.Equal(t, "1 finding of 1 kind; the data page lists each one.", words.Say(us, "attention", 1, 1))
	assert.Equal(t, "12 findings of 4 kinds; the data page lists each one.", words.Say(us, "attention", 12, 4))
	assert.Equal(t, "No storm has been counted; no data has been loaded yet.", words.Say(us, "storms", 0, 0, 0, ""))
	assert.Equal(t, "1 storm in 1 season; the data reaches "+through+".", words.Say(us, "storms", 1, 0, 1, through))
	assert.Equal(t, "48 storms in 2 seasons, 1 of them still open; the data reaches "+through+".",
		words.Say(us, "storms", 48, 1, 2, through))
	assert.Equal(t, "No route is listed; the data reaches "+through+".", words.Say(us, "routes", 0, 0, 0, "", through))
	assert.Equal(t, "1 route: 1 got solid acetate and 0 solid chloride in the 2030-31 season; the data reaches "+through+".",
		words.Say(us, "routes", 1, 1, 0, "2030-31", through))
	assert.Equal(t, "No crew is listed; the data reaches "+through+".", words.Say(us, "crews", 0, through))
	assert.Equal(t, "6 crews, in the order of their ids; crews are not ranked by pounds; the data reaches "+through+".",
		words.Say(us, "crews", 6, through))
	assert.Equal(t, "No truck delivers positions.", words.Say(us, "positions", 0, 0))
	assert.Contains(t, words.Say(us, "positions", 1, 1), "1 position, 100 % on a drawn route. Off the routes")
	assert.Contains(t, words.Say(us, "positions", 8000, 6000), "8,000 positions, 75 % on a drawn route. Off the routes")
	assert.Contains(t, words.Say(metric, "positions", 1, 1), "Kilograms on no pass")
	assert.Equal(t, "No delivery has been loaded yet.", words.Say(us, "data", 0, 0, 0, 0, 0, 0, ""))
	assert.Equal(t, "1 delivery held 9 rows: 8 counted, no duplicates, 1 correction, 0 set aside; the data reaches "+through+".",
		words.Say(us, "data", 1, 9, 8, 0, 1, 0, through))
	assert.Equal(t, "How every figure on these pages is made, from no storms; no data has been loaded yet.",
		words.Say(us, "methods", 0, ""))
}

func TestRouteAndCrewSentences(t *testing.T) {
	ac, none := summed(rows.Acetate, 400, "a", "b").Season, rows.Tally{}
	assert.Equal(t, "R1 had no pass in a storm yet; the data reaches "+through+".",
		words.Say(us, "route", "R1", 0, "", none, none, through))
	assert.Equal(t, "R1 had passes in 1 storm; in the 2030-31 season it got no solids; the data reaches "+through+".",
		words.Say(us, "route", "R1", 1, "2030-31", none, none, through))
	assert.Equal(t, "R1 had passes in 2 storms; in the 2030-31 season it got 400 lb per lane-mile of acetate in 2 storms (2 of 2 "+
		"route-storms with reports came bare, after 3.0 h on average, capped at 24 h); the data reaches "+through+".",
		words.Say(us, "route", "R1", 2, "2030-31", ac, none, through))
	assert.Equal(t, "Crew C1 has no treating pass in a storm yet; the data reaches "+through+".",
		words.Say(us, "crew", "C1", 0, 0, nil, through))
	assert.Equal(t, "Crew C1 treated 1 route in 2 storms; the data reaches "+through+".", words.Say(us, "crew", "C1", 2, 1, nil, through))
	assert.Equal(t, "Crew C1 treated 3 routes in 9 storms, and came to its latest acetate storm with 1 acetate storm before it; the "+
		"data reaches "+through+".", words.Say(us, "crew", "C1", 9, 3, new(int64(1)), through))
}

func TestSmallSentences(t *testing.T) {
	assert.Equal(t, "No storm yet.", words.Say(us, "strip", nil))
	assert.Equal(t, "One storm so far, a.", words.Say(us, "strip", []book.Event{{ID: "a"}}))
	assert.Equal(t, "2 storms, from a to b; the tables lead to the page of each.",
		words.Say(us, "strip", []book.Event{{ID: "a"}, {ID: "b"}}))
	assert.Equal(t, "Order 1, from 3 Jan 2031, acetate, route R1: hold.", words.OrderSentence(1, "3 Jan 2031", "hold", rows.Acetate, "R1"))
	assert.Equal(t, "Order 1, from 3 Jan 2031: Acetate: hold.", words.OrderSentence(1, "3 Jan 2031", "Acetate: hold", rows.Acetate, ""))
	assert.Equal(t, "Order 2, from 3 Jan 2031: hold!", words.OrderSentence(2, "3 Jan 2031", "hold!", "", ""))
	assert.Equal(t, "Order 3, from 3 Jan 2031: Acetate: hold.", words.OrderSentence(3, "3 Jan 2031", "Acetate: hold.", rows.Acetate, ""),
		"the class is named once")
	assert.Empty(t, words.Say(us, "flurries", 0))
	assert.Equal(t, "1 wintry spell was too small to be a storm and is not listed.", words.Say(us, "flurries", 1))
	assert.Equal(t, "4 wintry spells were too small to be storms and are not listed.", words.Say(us, "flurries", 4))
	assert.Equal(t, "Every delivered row could be read.", words.Say(us, "quarantine", 0, 0))
	assert.Equal(t, "1 row is set aside. Mend the row or the reference table, deliver again, and it is counted the next night.",
		words.Say(us, "quarantine", 1, 1))
	assert.Equal(t, "900 rows are set aside; the first 500 stand here. Mend the row or the reference table, deliver again, and it is "+
		"counted the next night.", words.Say(us, "quarantine", 900, 500))
	assert.Equal(t, "No findings. None of them is about a crew.", words.Say(us, "findings", 0, 0))
}

func TestFindingSentence(t *testing.T) {
	for want, amount := range map[string]float64{"1,300": 1300.4, "9.5": 9.52, "0.63": 0.629, "−0.63": -0.629,
		"7": 7, "−2,601": -2601} {
		assert.Equal(t, want, book.FindingWriter{Units: us}.Figure(amount, rows.Count, -1))
	}
}

func TestPilesBelowZero(t *testing.T) {
	assert.Contains(t, words.Say(us, "negative", []string{"a", "b", "c"}), "The book of a; b; c fell below 0:")
	assert.Contains(t, words.Say(us, "negative", []string{"a", "b", "c", "d", "e"}), "The book of a; b; c; 2 more fell below 0:")
}

func TestLatestStormsSentence(t *testing.T) {
	assert.Empty(t, words.Say(us, "latest storms", 0, 0))
	assert.Empty(t, words.Say(us, "latest storms", 30, 30))
	assert.Equal(t, "The latest 30 of the crew's 31 storms; the pages of its routes have the earlier ones.",
		words.Say(us, "latest storms", 30, 31))
	assert.Equal(t, "The latest 30 of the crew's 1,204 storms; the pages of its routes have the earlier ones.",
		words.Say(us, "latest storms", 30, 1204))
}
