package site

import (
	"encoding/json"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/pages"
)

// writeSearch writes the search page and its index, which no other page loads.
func (w *builder) writeSearch() error {
	index := pages.SearchIndex(w.book)
	text, err := json.Marshal(index)
	if err != nil {
		return err
	}
	// A script that assigns, for a page opened from a folder may not fetch. encoding/json escapes <, > and &.
	script := "var searchIndex = " + strings.ReplaceAll(string(text), `],[`, "],\n[") + ";\n"
	if err := w.writeFile("assets/search-index.js", []byte(rows.VisibleLines(script))); err != nil {
		return err
	}
	return w.writePage("search.html", pages.SearchPage(w.book, index))
}
