package site

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/words"
)

func TestStormSentence(t *testing.T) {
	ac, none := summed(rows.Acetate, 400, "a").Season, rows.Tally{}
	assert.Equal(t, "Storm s lasted 9.5 h in 1 zone: acetate 400 lb per lane-mile in 1.00 applications on 1 route (bare lane 3.0 h "+
		"after its end, capped at 24 h, 0 of 1 route not bare); no solid chloride reported; 2 routes plowed only; the data reaches "+
		""+through+".",
		words.Say(us, "storm", "s", false, new(9.5), "1 zone", ac, none, 2, through))
	assert.Equal(t,
		"Storm s is still open after 9.5 h in 3 zones: no solid acetate reported; no solid chloride reported; the data reaches "+through+
			".",
		words.Say(us, "storm", "s", true, new(9.5), "3 zones", none, none, 0, through))
	assert.Equal(t, "Storm s lasted 9.5 h in zone Lake: acetate 400 lb per lane-mile in 1.00 applications on 1 route (bare lane 3.0 h "+
		"after its end, capped at 24 h, 0 of 1 route not bare); no solid chloride reported; 1 route plowed only; the data reaches "+
		""+through+".",
		words.Say(us, "storm", "s", false, new(9.5), "zone Lake", ac, none, 1, through))
}
