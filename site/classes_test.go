package site

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// Five classes, given in no order: the sides come first, then what is never compared, then the others by name.
func TestSignsOfClasses(t *testing.T) {
	c := classesOf(&Data{Compare: "formate", MaterialClasses: []MaterialClass{
		{"carbonate", true}, {"sand", false}, {"acetate", true}, {"formate", true}, {"chloride", true}}})
	assert.Equal(t, []string{"formate", "chloride"}, c.sides())
	want := [][3]string{{"formate", "acetate", "acetate"}, {"chloride", "chloride", "chloride"}, {"sand", "abrasive", "abrasive"},
		{"acetate", "triangle", "other"}, {"carbonate", "wedge", "other"}, {"", "plow", "plow"}, {"not listed", "other", "other"}}
	shapes := map[string]bool{}
	for _, w := range want {
		assert.Equal(t, w[1], c.sign(w[0]), w[0])
		assert.Equal(t, w[2], c.classStyle(w[0]), w[0])
		d := &drawing{}
		d.mark(c.sign(w[0]), false, 10, 10, 4, "")
		shapes[d.body.String()] = true
	}
	assert.Len(t, shapes, len(want), "each sign is drawn in a way of its own")
	assert.True(t, c.isPlain("sand"))
	assert.False(t, c.isPlain("carbonate"))
	assert.True(t, c.isRated("formate"))
	assert.False(t, c.isRated("acetate"))
	signs := c.classSigns()
	require.Len(t, signs, 5)
	assert.Equal(t, classSign{"carbonate", "wedge", `<path class="mark other" d="M1 2L13 2L7 13Z"/>`}, signs[4])
}

func TestClassWords(t *testing.T) {
	fixed := "{Acetate} over {chloride}: {acetate} beside {salt}, {Salt} and {Chloride}"
	assert.Equal(t, "Acetate over chloride: acetate beside salt, Salt and Chloride", us.unitWords(fixed), "the usual classes")
	swapped := units{classes: classesOf(&Data{Compare: "chloride", Beside: "formate", MaterialClasses: []MaterialClass{{"chloride", true}, {"formate", true}}})}
	assert.Equal(t, "Chloride over formate: chloride beside formate, Formate and Formate", swapped.unitWords(fixed))
	assert.Equal(t, "Chloride 3 lb", swapped.sprintf("{Acetate} %d lb", 3))
	assert.Equal(t, "{chloride}", swapped.sprintf("%s", "{chloride}"), "what was delivered stays as it is")
}
