package site

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
)

// Five classes, given in no order: the sides come first, then what is never compared, then the others by name.
func TestSignsOfClasses(t *testing.T) {
	c := book.ClassesOf(&book.Data{Compare: "formate", MaterialClasses: []rows.MaterialClass{
		{Class: "carbonate", IsCompared: true}, {Class: "sand", IsCompared: false}, {Class: "acetate", IsCompared: true},
		{Class: "formate", IsCompared: true}, {Class: "chloride", IsCompared: true}}})
	assert.Equal(t, []string{"formate", "chloride"}, c.Sides())
	want := [][3]string{{"formate", "acetate", "acetate"}, {"chloride", "chloride", "chloride"}, {"sand", "abrasive", "abrasive"},
		{"acetate", "triangle", "other"}, {"carbonate", "wedge", "other"}, {"", "plow", "plow"}, {"not listed", "other", "other"}}
	shapes := map[string]bool{}
	for _, w := range want {
		assert.Equal(t, w[1], c.Sign(w[0]), w[0])
		assert.Equal(t, w[2], c.ClassStyle(w[0]), w[0])
		d := &draw.Drawing{}
		d.Mark(c.Sign(w[0]), false, 10, 10, 4, "")
		shapes[d.Body.String()] = true
	}
	assert.Len(t, shapes, len(want), "each sign is drawn in a way of its own")
	assert.True(t, c.IsPlain("sand"))
	assert.False(t, c.IsPlain("carbonate"))
	assert.True(t, book.IsRated(c, "formate"))
	assert.False(t, book.IsRated(c, "acetate"))
	signs := c.ClassSigns()
	require.Len(t, signs, 5)
	assert.Equal(t, format.ClassSign{Class: "carbonate", Sign: "wedge", Shape: `<path class="mark other" d="M1 2L13 2L7 13Z"/>`}, signs[4])
}

func TestClassWords(t *testing.T) {
	fixed := "{Acetate} over {chloride}: {acetate} beside {salt}, {Salt} and {Chloride}"
	assert.Equal(t, "Acetate over chloride: acetate beside salt, Salt and Chloride", us.UnitWords(fixed), "the usual classes")
	swapped := format.Units{Classes: book.ClassesOf(&book.Data{Compare: "chloride", Beside: "formate",
		MaterialClasses: []rows.MaterialClass{{Class: "chloride", IsCompared: true}, {Class: "formate", IsCompared: true}}})}
	assert.Equal(t, "Chloride over formate: chloride beside formate, Formate and Formate", swapped.UnitWords(fixed))
	assert.Equal(t, "Chloride 3 lb", swapped.Sprintf("{Acetate} %d lb", 3))
	assert.Equal(t, "{chloride}", swapped.Sprintf("%s", "{chloride}"), "what was delivered stays as it is")
}
