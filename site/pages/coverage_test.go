package pages

import (
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/words"
)

// spansOf makes a row of coverage of the states given for one mile each.
func spansOf(storm, class string, states ...string) []rows.CoverageSpan {
	var spans []rows.CoverageSpan
	for i, state := range states {
		s := rows.CoverageSpan{Season: "2030-31", StormID: storm, RouteID: "R1", MaterialClass: class, Form: rows.Solid,
			FromMi: float64(i), ToMi: float64(i + 1), Passes: 1, Applications: 1, State: state}
		switch state {
		case rows.MissedState:
			s.Passes, s.Applications = 0, 0
		case rows.DoubledState:
			s.Passes, s.Applications = 2, 2
		}
		spans = append(spans, s)
	}
	return spans
}

func coverageBook(t *testing.T, spans ...[]rows.CoverageSpan) *book.Book {
	t.Helper()
	began := time.Date(2030, 12, 3, 6, 0, 0, 0, time.UTC)
	data := &book.Data{District: "d", TimeZone: "UTC", Routes: []rows.Route{{RouteID: "R1", Name: "One", ZoneID: "A"}}}
	for i, storm := range []string{"s1", "s2", "s3"} {
		at := began.AddDate(0, 0, 7*i)
		data.Storms = append(data.Storms, rows.Storm{Season: "2030-31", StormID: storm, ZoneID: "A", BeganAt: at,
			EndedAt: at.Add(time.Hour), IsOpen: storm == "s3"})
	}
	for _, list := range spans {
		data.Coverage = append(data.Coverage, list...)
	}
	b, err := book.NewBook(data)
	require.NoError(t, err)
	return b
}

// TestCoverageSums: worked by hand. In s1 acetate leaves miles 1 to 4 out and chloride 0 to 3: nothing reached 1 to 3. s2 leaves nothing
// out and doubles mile 2 to 3. s3 is open and counts nowhere.
func TestCoverageSums(t *testing.T) {
	b := coverageBook(t, spansOf("s1", rows.Acetate, "", rows.MissedState, rows.MissedState, rows.MissedState),
		spansOf("s1", rows.Chloride, rows.MissedState, rows.MissedState, rows.MissedState, ""),
		spansOf("s2", rows.Chloride, "", "", rows.DoubledState, ""), spansOf("s3", rows.Chloride, rows.MissedState, "", "", ""))
	assert.Equal(t, book.CoverageSums{Storms: 2, Missed: 1, Doubled: 1, WorstShare: 0.5, WorstStorm: "3 Dec 2030"},
		b.CoverageSums(b.Coverage["R1"], "2030-31"))
	assert.Equal(t, book.CoverageSums{}, b.CoverageSums(b.Coverage["R1"], "2029-30"))
	table := CoverageTable(b, b.Coverage["R1"])
	require.Len(t, table.Rows, 4)
	var texts []string
	for _, cell := range table.Rows[3].Cells {
		texts = append(texts, cell.Text)
	}
	assert.Equal(t, []string{"s1", "acetate, solid", "0.00", "1.00", "75", "1.0 to 4.0", "0", format.Missing, format.Missing}, texts)
	assert.Equal(t, "open", table.Rows[0].Mark)
}

// TestCoverageFigure: what was missed is outlined and says 0, what was doubled has two bars, an open storm is dashed, a bridge is marked;
// nothing stands in a title that only a pointer shows.
func TestCoverageFigure(t *testing.T) {
	b := coverageBook(t, spansOf("s1", rows.Chloride, "", rows.MissedState, "", rows.DoubledState),
		spansOf("s3", rows.Acetate, "", "", "", ""))
	drawing := string(draw.CoverageFigure(b, b.Coverage["R1"], []rows.Bridge{{RouteID: "R1", FromMi: 1, ToMi: 2}}))
	assert.Equal(t, 1, strings.Count(drawing, `class="cover missed"`))
	assert.Equal(t, 1, strings.Count(drawing, `class="cover chloride twice"`))
	assert.Equal(t, 2, strings.Count(drawing, `class="twiceline"`))
	assert.Equal(t, 4, strings.Count(drawing, `class="cover acetate open"`))
	assert.Equal(t, 1, strings.Count(drawing, `class="bridgeband"`))
	assert.Contains(t, drawing, ">17 Dec, open<")
	assert.Contains(t, drawing, ">2.0<")
	assert.NotContains(t, drawing, "<title>")
}

func TestPlaces(t *testing.T) {
	assert.Equal(t, format.Missing, book.PostsOf(nil))
	assert.Equal(t, "2.0 to 2.4", book.PostsOf([]book.Between{{From: 2, To: 2.4}}))
	assert.Equal(t, "0.0 to 0.15, 1.0 to 2.0, 3.0 to 4.0, 5.0 to 6.0 and 2 more",
		book.PostsOf([]book.Between{{From: 0, To: 0.15}, {From: 1, To: 2}, {From: 3, To: 4}, {From: 5, To: 6}, {From: 7, To: 8},
			{From: 9, To: 10}}))
}

func TestCoverageSentence(t *testing.T) {
	for want, s := range map[string]book.CoverageSums{
		"In the 2030-31 season no closed storm has a treating pass of solids whose place is known here, so nothing can be said of " +
			"missed or doubled stretches.": {},
		"In the 2030-31 season solids reached the whole route in the one closed storm with solids; " +
			"no stretch got twice what the rest got.": {Storms: 1},
		"In the 2030-31 season solids reached the whole route in all 18 closed storms with solids; in 1 storm a stretch got about " +
			"twice the applications of the rest, or more.": {Storms: 18, Doubled: 1},
		"In the 2030-31 season solids reached the whole route in 0 of 1 closed storm with solids and left a part out in 1, most on 3 " +
			"Dec 2030: 21 % of its length; no stretch got twice what the rest got.": {Storms: 1,
			Missed: 1, WorstShare: 0.214, WorstStorm: "3 Dec 2030"},
		"In the 2030-31 season solids reached the whole route in 16 of 18 closed storms with solids and left a part out in 2, most on " +
			"3 Dec 2030: 18 % of its length; in 3 storms a stretch got about twice the applications of the rest, or more.": {Storms: 18,
			Missed: 2, Doubled: 3, WorstShare: 0.1786, WorstStorm: "3 Dec 2030"},
	} {
		assert.Equal(t, want, words.Say(format.Units{}, "coverage", "2030-31", s))
	}
	assert.Empty(t, words.BridgeSentence(format.Units{}, nil, nil))
	assert.Empty(t, words.BridgeSentence(format.Units{}, nil, new(0.0)))
	assert.Equal(t, "Bridges make up 2.4 lane-miles of this route; where they lie is not on record: reference/bridges.csv marks them "+
		"on the strip.", words.BridgeSentence(format.Units{}, nil, new(2.4)))
	assert.Equal(t, "Bridges make up 3.9 lane-km of this route; where they lie is not on record: reference/bridges.csv marks them on "+
		"the strip.", words.BridgeSentence(format.Units{IsMetric: true}, nil, new(2.4)))
	assert.Equal(t, "1 bridge is marked, at post 1.0 to 2.0.",
		words.BridgeSentence(format.Units{}, []rows.Bridge{{FromMi: 1, ToMi: 2}}, new(2.0)))
	assert.Equal(t, "2 bridges are marked, at posts 1.0 to 2.0, 3.0 to 3.25.",
		words.BridgeSentence(format.Units{}, []rows.Bridge{{FromMi: 1, ToMi: 2}, {FromMi: 3, ToMi: 3.25}}, nil))
}
