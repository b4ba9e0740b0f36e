package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lanetally/site/format"
)

func TestFindSentences(t *testing.T) {
	assert.Empty(t, MinorSentence(format.Units{}, 0))
	assert.Equal(t, "1 minor storm without any pass and under 0.01 in of water is among these.", MinorSentence(format.Units{}, 1))
	assert.Equal(t, "3 minor storms without any pass and under 0.01 in of water are among these.", MinorSentence(format.Units{}, 3))
	assert.Equal(t, "1 minor storm without any pass and under 0.03 cm of water is among these.",
		MinorSentence(format.Units{IsMetric: true}, 1))
	assert.Equal(t, "No data has been loaded yet, so only 85 terms of the methods page can be found.", SearchSentence(0, 0, 0, 85))
	assert.Equal(t, "Find 14 routes, 1 storm and 85 terms of the methods page.", SearchSentence(14, 1, 0, 85))
	assert.Equal(t, "Find 1 route, no storms, 6 crews and 85 terms of the methods page.", SearchSentence(1, 0, 6, 85))
}
