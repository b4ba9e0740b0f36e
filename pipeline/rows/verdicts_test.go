package rows

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// With a margin of 0.10 the same is 0.909 to 1.10, ends included.
func TestJudgeRatioAtItsEdges(t *testing.T) {
	for _, one := range []struct {
		low, high float64
		want      string
	}{
		{1 / 1.1, 1.1, "about the same"},
		{0.95, 0.99, "about the same"}, // wholly below 1, but inside
		{0.80, 0.99, "less"},
		{0.80, 1.00, "not yet known"},
		{1.01, 1.11, "more"},
		{1.00, 1.11, "not yet known"},
	} {
		assert.Equal(t, one.want, JudgeRatio(one.low, one.high, 0.10), "%v", one)
	}
}
