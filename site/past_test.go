package site

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/pages"
	"lanetally/site/words"
)

// pastDistrict is one zone and one route in two seasons. The route has 10 lane-miles, treated once over in each storm:
// lb is also pounds per lane-mile x 10.
func pastDistrict(t *testing.T) *book.Book {
	t.Helper()
	data := &book.Data{TimeZone: "America/Chicago", AsOf: new(time.Date(2031, 1, 31, 18, 0, 0, 0, time.UTC)),
		Zones:  []rows.Zone{{ZoneID: "A", Name: "Upper", DistrictID: "d1"}},
		Routes: []rows.Route{{RouteID: "R1", ZoneID: "A", LaneMiles: new(10.0)}}}
	for _, s := range []struct {
		season, id, kind string
		began            time.Time
		severity, lb     float64
		isOpen           bool
	}{
		{"2029-30", "a", "snow", time.Date(2029, 12, 5, 0, 0, 0, 0, time.UTC), 0.30, 4000, false},
		{"2029-30", "b", "snow", time.Date(2030, 1, 31, 17, 0, 0, 0, time.UTC), 0.50, 3600, false}, // an hour before the date reached
		{"2029-30", "c", "snow", time.Date(2030, 1, 31, 18, 0, 0, 0, time.UTC), 0.61, 2000, false}, // just at it
		{"2030-31", "d", "snow", time.Date(2030, 12, 9, 0, 0, 0, 0, time.UTC), 0.40, 3000, false},
		{"2030-31", "e", "sleet", time.Date(2030, 12, 20, 0, 0, 0, 0, time.UTC), 0.40, 2800, false},
		{"2030-31", "f", "snow", time.Date(2031, 1, 31, 0, 0, 0, 0, time.UTC), 0.40, 9000, true},
	} {
		data.Storms = append(data.Storms, rows.Storm{Season: s.season, StormID: s.id, ZoneID: "A", Kind: s.kind, Severity: new(s.severity),
			BeganAt: s.began, EndedAt: s.began.Add(time.Hour), IsOpen: s.isOpen, AirFMean: new(20.0)})
		data.StormRoutes = append(data.StormRoutes,
			rows.StormRoute{Season: s.season, StormID: s.id, ZoneID: "A", RouteID: "R1", MaterialClass: rows.Acetate, Form: rows.Solid,
				RouteLaneMiles: new(10.0), TreatedLaneMiles: new(10.0),
				MeasuredLaneMiles: new(10.0), AppliedLb: new(s.lb), RateLbPerLaneMi: new(s.lb / 10), RegainState: "bare",
				RegainH: new(3.0), CappedRegainH: new(3.0), IsBareInCap: new(true)})
	}
	b, err := book.NewBook(tallied(data))
	require.NoError(t, err)
	return b
}

// By hand: this season closed d, e: (3000 + 2800) / 20 = 290. To 31 Jan of the former: a, b: 7600 / 20 = 380; whole: 9600 / 30 = 320.
func TestSeasonStandsBesideItsPast(t *testing.T) {
	b := pastDistrict(t)
	s := pages.PastSection(b, "2030-31", "past-seasons", "")
	require.Len(t, s.Tables[0].Rows, 3)
	var got [][]string
	for _, row := range s.Tables[0].Rows {
		got = append(got, []string{row.Cells[0].Text, row.Cells[2].Text, row.Cells[10].Text})
	}
	assert.Equal(t, [][]string{{"2030-31 so far", "290", "2"}, {"2029-30 to 31 Jan", "380", "2"}, {"all of 2029-30", "320", "3"}}, got)

	s = pages.PastSection(b, "2029-30", "route-seasons", "R1")
	require.Len(t, s.Tables[0].Rows, 2, "a season that is over is set beside whole ones")
	assert.Equal(t, "2029-30", s.Tables[0].Rows[0].Cells[0].Text)
	assert.Equal(t, "290", s.Tables[0].Rows[1].Cells[2].Text)
}

// Alike d (snow, 0.40): a (0.30) and b (0.50), just within 0.1; not c (0.61), not e (sleet), not f (open).
func TestLikeStormsAreOfOneKindAndNearInSeverity(t *testing.T) {
	b := pastDistrict(t)
	zone, _ := b.ZoneRow("d", "A")
	var ids []string
	for _, like := range b.LikeStorms(zone) {
		ids = append(ids, like.Storm.StormID)
	}
	assert.ElementsMatch(t, []string{"a", "b"}, ids)

	section := pages.LikeSection(b, *b.EventByID["d"])
	assert.Equal(t, "Upper: 2 other closed storms are of kind snow with a severity within 0.1 of this storm's 0.40. Acetate: 300 lb "+
		"per lane-mile here, 360 to 400 in 2: too few storms to say what is usual (2 of 3).", section.Text[0])
	require.Len(t, section.Tables, 1)
	assert.Equal(t, "d, this storm", section.Tables[0].Rows[0].Cells[0].Text)
	assert.Len(t, section.Tables[0].Rows, 3)

	zone.Severity = nil
	assert.Empty(t, b.LikeStorms(zone))
}

func TestPastSentence(t *testing.T) {
	now, before := book.Stretch{Season: "2030-31", Name: "2030-31 so far"}, book.Stretch{Season: "2029-30", Name: "all of 2029-30"}
	none, some := rows.Tally{}, summed(rows.Acetate, 300, "a", "b").Season
	assert.Equal(t, "Acetate: no other season is in the data.",
		words.PastSentence(us, rows.Acetate, []book.Stretch{now}, []rows.Tally{some}))
	assert.Equal(t, "Acetate: no rate in 2030-31 so far and none in all of 2029-30.",
		words.PastSentence(us, rows.Acetate, []book.Stretch{now, before}, []rows.Tally{none, none}))
	assert.Equal(t, "Acetate: 300 lb per lane-mile in 2030-31 so far, no rate in all of 2029-30.",
		words.PastSentence(us, rows.Acetate, []book.Stretch{now, before}, []rows.Tally{some, none}))
	assert.Equal(t, "Acetate: 300 lb per lane-mile in all of 2029-30, no rate in 2030-31 so far.",
		words.PastSentence(us, rows.Acetate, []book.Stretch{now, before}, []rows.Tally{none, some}))
	assert.Equal(t, "Acetate: 300 lb per lane-mile in 2030-31 so far (2 storms), 300 in all of 2029-30 (2 storms); 1.00 and 1.00 "+
		"applications; bare lane after 3.0 and 3.0 h, capped at 24 h, 0 and 0 % not bare; mean air 20.0 and 20.0 °F.",
		words.PastSentence(us, rows.Acetate, []book.Stretch{now, before}, []rows.Tally{some, some}))
	silent := some
	silent.RegainH = nil
	for want, tallies := range map[string][]rows.Tally{
		"; no road reported in either; mean air": {silent, silent},
		"; bare lane after 3.0 h, capped at 24 h, 0 % not bare in 2030-31 so far, no road reported in all of 2029-30; mean": {some, silent},
		"; bare lane after 3.0 h, capped at 24 h, 0 % not bare in all of 2029-30, no road reported in 2030-31 so far; mean": {silent, some},
	} {
		assert.Contains(t, words.PastSentence(us, rows.Acetate, []book.Stretch{now, before}, tallies), want)
	}
}

func TestLikeSentence(t *testing.T) {
	with := func(lb float64) book.LikeStorm {
		return book.LikeStorm{Storm: rows.Storm{Kind: "snow", Severity: new(0.4)}, Acetate: summed(rows.Acetate, lb, "x").Season}
	}
	here := with(300)
	assert.Equal(t, "Upper: no other closed storm of kind snow has a severity within 0.1.", words.LikeSentence(us, "upper", here, nil))
	assert.Equal(t, "Upper: 3 other closed storms are of kind snow with a severity within 0.1 of this storm's 0.40. Acetate: 300 lb "+
		"per lane-mile here, 280 to 350 in 3 of them.",
		words.LikeSentence(us, "upper", here, []book.LikeStorm{with(280), with(350), with(310)}))
	bare := book.LikeStorm{Storm: here.Storm}
	assert.Contains(t, words.LikeSentence(us, "upper", here, []book.LikeStorm{bare}), "1 other closed storm is of kind snow with a "+
		"severity within 0.1 of this storm's 0.40. Acetate: 300 lb per lane-mile here, no rate in those.")
	assert.Contains(t, words.LikeSentence(us, "upper", bare, []book.LikeStorm{here, here, here}),
		"Acetate: no rate here, 300 to 300 in 3 of them.")
	bare.Storm.Severity = nil
	assert.Equal(t, "Upper: no like storm can be named, since this storm's kind or severity is not known.",
		words.LikeSentence(us, "upper", bare, nil))
}
