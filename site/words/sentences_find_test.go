package words

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

func TestFindSentences(t *testing.T) {
	assert.Empty(t, Say(format.Units{}, "minor", 0))
	assert.Equal(t, "1 minor storm without any pass and under 0.01 in of water is among these.", Say(format.Units{}, "minor", 1))
	assert.Equal(t, "3 minor storms without any pass and under 0.01 in of water are among these.", Say(format.Units{}, "minor", 3))
	assert.Equal(t, "1 minor storm without any pass and under 0.03 cm of water is among these.",
		Say(format.Units{IsMetric: true}, "minor", 1))
	assert.Equal(t, "No data has been loaded yet, so only 85 terms of the methods page can be found.", Say(us, "search", 0, 0, 0, 85))
	assert.Equal(t, "Find 14 routes, 1 storm and 85 terms of the methods page.", Say(us, "search", 14, 1, 0, 85))
	assert.Equal(t, "Find 1 route, no storms, 6 crews and 85 terms of the methods page.", Say(us, "search", 1, 0, 6, 85))
	clock := format.Clock{Zone: time.FixedZone("", -7*3600)}
	assert.Empty(t, Say(us, "feed ends", clock, []rows.FeedEnd(nil)))
	at := time.Date(2029, 3, 6, 4, 5, 0, 0, time.UTC)
	assert.Equal(t, "By feed the data reaches: passes to 30 Jan 2029, 21:05, behind the others; weather to 5 Mar 2029, 21:05.",
		Say(us, "feed ends", clock, []rows.FeedEnd{{Feed: "passes", UntilAt: at.AddDate(0, 0, -34), IsStale: true},
			{Feed: "weather", UntilAt: at}}))
}
