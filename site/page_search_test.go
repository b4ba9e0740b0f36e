package site

import (
	"encoding/json"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/site/book"
)

// indexIn reads the index that the search page loads.
func indexIn(t *testing.T, files map[string]string) [][4]string {
	text, isScript := strings.CutPrefix(files["assets/search-index.js"], "var searchIndex = ")
	require.True(t, isScript)
	text, isScript = strings.CutSuffix(text, ";\n")
	require.True(t, isScript)
	var entries [][4]string
	require.NoError(t, json.Unmarshal([]byte(text), &entries))
	return entries
}

func TestTheIndexHoldsRoutesStormsCrewsAndTerms(t *testing.T) {
	files, count := made(t), map[string]int{}
	for _, entry := range indexIn(t, files) {
		count[entry[0]]++
		page, place, _ := strings.Cut(entry[3], "#")
		require.Contains(t, files, page, entry[1])
		assert.Contains(t, files[page], `id="`+place, entry[1])
	}
	terms := strings.Count(files["methods.html"], "<dt id=")
	assert.Equal(t, map[string]int{"route": 14, "storm": 48, "crew": 6, "term": terms}, count)
	assert.Contains(t, files["search.html"], "Find 14 routes, 48 storms, 6 crews and ")
}

// Names with markup cannot leave the script, and no other page loads the index.
func TestTheIndexIsInertAndLoadedOnceOnly(t *testing.T) {
	files := made(t)
	assert.NotContains(t, files["assets/search-index.js"], "<")
	for name, text := range files {
		assert.Equal(t, name == "search.html", strings.Contains(text, `src="assets/search-index.js"`) || strings.Contains(text,
			`src="../assets/search-index.js"`), name)
	}
}

func TestTheIndexOfNothingHoldsTerms(t *testing.T) {
	for _, entry := range indexIn(t, built(t, &book.Data{District: "Empty", TimeZone: "UTC"})) {
		assert.Equal(t, "term", entry[0])
	}
}
