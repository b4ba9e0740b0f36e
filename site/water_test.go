package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Chloride criteria: 230 mg/L over four days and 860 mg/L over one hour (EPA 440/5-88-001, From memory); 250 mg/L secondary level (40 CFR 143.3).
func TestWaterCriteria(t *testing.T) {
	require.Len(t, WaterCriteria, 3)
	for i, want := range []struct {
		mgPerL float64
		source string
	}{{230, "EPA 440/5-88-001"}, {860, "EPA 440/5-88-001"}, {250, "40 CFR 143.3"}} {
		got := WaterCriteria[i]
		assert.Equal(t, want.mgPerL, got.MgPerL)
		assert.Contains(t, got.Source, want.source)
		assert.NotEqual(t, got.IsSeen, strings.Contains(got.Source, "from memory"), "%s says whether its text was seen", got.Name)
	}
}
