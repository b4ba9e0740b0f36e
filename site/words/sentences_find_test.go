package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

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
}
