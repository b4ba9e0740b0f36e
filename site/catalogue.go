package site

import (
	_ "embed" // the catalogue
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"

	"lanetally/site/book"
	"lanetally/site/pages"
	"lanetally/site/table"
)

// entry tells where the numbers of a table or a picture come from, and what may be done with its rows. The head of the catalogue explains
// its fields.
type entry struct {
	Terms, Exports, Queries []string
	Given                   string
	IsFixed                 bool `toml:"fixed"`
	OfCrew                  bool `toml:"crew"`
}

//go:embed catalogue.toml
var catalogueText string

// catalogue has the entries by name. It panics on a key that none can hold: the text is part of the program.
var catalogue = func() (entries map[string]entry) {
	if read, err := toml.Decode(catalogueText, &entries); err != nil || len(read.Undecoded()) > 0 {
		panic(fmt.Sprint("catalogue.toml: ", err, read.Undecoded()))
	}
	return entries
}()

// entryOf finds the entry of a table or picture: by its whole name, else by the longest beginning; empty without one.
func entryOf(name string) entry {
	if e, found := catalogue[name]; found {
		return e
	}
	for end := len(name) - 1; end > 0; end-- {
		if e, found := catalogue[name[:end]]; found && name[end-1] == '-' {
			return e
		}
	}
	return entry{}
}

// why answers the question behind every number of a table or picture: what it means, what computed it, where it can be
// taken from. The links are relative to the page.
type why struct {
	Terms, Queries, Files []table.Cell
	Given                 string
}

// whyOf links what the catalogue knows of a table or picture; download is the table's own file, "" for none. Only what is
// published is linked.
func whyOf(b *book.Book, root, name, download string) why {
	e := entryOf(name)
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
