package words

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The rank of one more among k + 1 alike is as likely to be any: it lies between the lowest and the highest of the k in k - 1 of k + 1
// cases.
func TestFewSeasonsWords(t *testing.T) {
	assert.Equal(t, " So few seasons hold the next one less often: 3 in about 50 % of cases.", fewSeasonsWords(us, "3 past seasons"))
	assert.Contains(t, fewSeasonsWords(us, "8 past seasons"), "8 in about 77 %")
	assert.Empty(t, fewSeasonsWords(us, "9 past seasons"))
	assert.Empty(t, fewSeasonsWords(us, "50 storms of 2 seasons"))
	assert.Empty(t, fewSeasonsWords(us, "too early"))
}
