package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

func TestSmallCrewSentences(t *testing.T) {
	assert.Equal(t, "Crew C9 has fewer than 3 members, so no figure of its own is shown: it would be one of persons. What its routes "+
		"got in all stands below; the data reaches 1 Feb.",
		Say(us, "small crew", "C9", new(int64(2)), "1 Feb"))
	assert.Equal(t, "Crew C9 has no number of members in crews.csv and counts as a small one, so no figure of its own is shown: it "+
		"would be one of persons. What its routes got in all stands below; the data reaches 1 Feb.",
		Say(us, "small crew", "C9", nil, "1 Feb"))
	assert.Equal(t, "fewer than 3 members", Say(us, "small crew listed", new(int64(1))))
	assert.Equal(t, "members not given", Say(us, "small crew listed", nil))
}

func TestSideBySideSentence(t *testing.T) {
	for _, c := range []struct {
		namesCrews      bool
		compared, shown int
		wanted          string
	}{
		{false, 0, 0, "Crews are not set side by side on these pages."},
		{true, 0, 0, "Crews are not set side by side: it takes 3 crews of 3 members or more, and there is none."},
		{true, 0, 1, "Crews are not set side by side: it takes 3 crews of 3 members or more, and there is 1."},
		{true, 0, 2, "Crews are not set side by side: it takes 3 crews of 3 members or more, and there are 2."},
		{true, 3, 3, "Every picture has the same scale; the thin line is the common curve. Crews are not ranked: a crew's rates follow " +
			"its routes, storms and pavement too. Crews of fewer than 3 members are left out."},
	} {
		assert.Equal(t, c.wanted, Say(us, "side by side", c.namesCrews, c.compared, c.shown))
	}
}

func TestDotsSentence(t *testing.T) {
	assert.Equal(t, "Dots: rates of one crew on one route in one storm, as they were, weather and route included.", Say(us, "dots", true))
	assert.Contains(t, Say(us, "dots", false), "all its crews together")
	assert.Equal(t, "250 lb per lane-mile after 1 storm", Say(format.Units{}, "unnamed rate title", book.RatePoint{Rate: 250.2, Prior: 1}))
}

func TestFileSentences(t *testing.T) {
	assert.Equal(t, "The files beside these pages hold no rows of this crew.", Say(us, "file label", "", false))
	assert.Equal(t, "In the files beside these pages this crew is c0a; no other page says so.", Say(us, "file label", "c0a", false))
	assert.Empty(t, Say(us, "file label", "C9", true))
	assert.Equal(t, "Rows of crews of fewer than 3 members are left out of the files, and so are figures and crews' "+
		"names from which theirs could be computed.", Say(us, "crew files", rows.CrewPagesAll, 0))
	assert.Equal(t, "In place of crews the files have labels that mean nothing elsewhere and stay from night to night; rows of crews "+
		"of fewer than 3 members are left out, and so are figures and labels from which theirs could be computed.",
		Say(us, "crew files", rows.CrewPagesOwn, 3))
	assert.Equal(t, "No row of the files is about one crew, a crew is other in all of them, and figures from which those of a crew of "+
		"fewer than 3 members could be computed are left out.",
		Say(us, "crew files", rows.CrewPagesOwn, 0))
	assert.Equal(t, "No row of the files is about one crew, a crew is other in all of them, and figures from which those of a crew of "+
		"fewer than 3 members could be computed are left out.",
		Say(us, "crew files", rows.CrewPagesNone, 0))
	assert.Equal(t, "1 rate is fitted and not drawn: of crews of fewer than 3 members, on shared routes.", Say(us, "rates not public", 1))
	assert.Equal(t, "2 rates are fitted and not drawn: of crews of fewer than 3 members, on shared routes.", Say(us, "rates not public", 2))
}
