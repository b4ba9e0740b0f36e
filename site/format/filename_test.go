package format

import (
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"pgregory.net/rapid"
)

func TestFileNameIsSafeForAnyID(t *testing.T) {
	for _, c := range []struct{ id, want string }{
		{"r07", "r07"},
		{"R07", "r_07"},
		{"east-20291203b", "east-20291203b"},
		{"../x", "=2e=2e=2fx"},
		{"a/b", "a=2fb"},
		{`a\b`, "a=5cb"},
		{"CON", "c_o_n_"},
		{"con", "con="},
		{"lpt1", "lpt1="},
		{"", "="},
		{"a_b", "a=5fb"},
		{"index.html", "index=2ehtml"},
		{"ü", "=c3=bc"},
	} {
		assert.Equal(t, c.want, FileName(c.id), "id %q", c.id)
	}
}

func TestFileNameKeepsLongIDsApart(t *testing.T) {
	long := strings.Repeat("x", 300)
	first, second := FileName(long+"1"), FileName(long+"2")
	assert.NotEqual(t, first, second)
	assert.Len(t, first, longestName)
}

func TestFileNamesDifferWhereverIDsDiffer(t *testing.T) {
	safe := regexp.MustCompile(`^[a-z0-9=_-]{1,80}$`)
	rapid.Check(t, func(t *rapid.T) {
		first, second := rapid.String().Draw(t, "first"), rapid.String().Draw(t, "second")
		assert.Regexp(t, safe, FileName(first))
		if first != second {
			assert.NotEqual(t, strings.ToLower(FileName(first)), strings.ToLower(FileName(second)))
		}
	})
}
