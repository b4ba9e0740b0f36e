package site

import (
	"strings"

	"lanetally/site/book"
	"lanetally/site/pages"
	"lanetally/site/table"
)

// why answers the question behind every number of a table or picture: what it means, what computed it, where it can be
// taken from. The links are relative to the page.
type why struct {
	Terms, Queries, Files []table.Cell
	Given                 string
}

// whyOf links what the catalogue knows of a table or picture; download is the table's own file, "" for none. Only what is
// published is linked.
func whyOf(b *book.Book, root, name, download string) why {
	e := table.EntryOf(name)
	w := why{Given: e.Given}
	for _, anchor := range e.Terms {
		w.Terms = append(w.Terms, table.Link(pages.TermNames[anchor], root+"methods.html#"+anchor))
	}
	var exports []string
	if stem, isCSV := strings.CutSuffix(download, ".csv"); isCSV {
		exports = append(exports, stem)
	}
	exports = append(exports, e.Exports...)
	for _, shown := range append(exports[:len(exports):len(exports)], e.Queries...) {
		if file := pages.QueryOf(b, shown); file != "" {
			w.Queries = append(w.Queries, table.Link(file, root+"queries/"+file))
		}
	}
	for _, export := range exports {
		for _, file := range []string{export + ".csv", export + ".parquet"} {
			if b.IsPublished(file) {
				w.Files = append(w.Files, table.Link(file, root+"data/"+file))
			}
		}
	}
	return w
}
