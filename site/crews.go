package site

import (
	"fmt"
	"slices"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/pages"
	"lanetally/site/table"
	"lanetally/site/words"
)

// menuEntries are the entries of the menu on every page.
func menuEntries(b *book.Book) []menuEntry {
	if b.NamesCrews() {
		return menu
	}
	return slices.DeleteFunc(slices.Clone(menu), func(e menuEntry) bool { return e.Name == "crews" })
}

// writeCrews writes the pages of crews that the district wants.
func (w *builder) writeCrews() error {
	b := w.book
	if b.Data.CrewPages != rows.CrewPagesAll && b.Data.CrewPages != rows.CrewPagesOwn {
		return nil
	}
	for _, crew := range b.CrewList {
		file := b.CrewFile(crew.CrewID)
		if !strings.HasPrefix(file, "crews/") {
			return fmt.Errorf("crew %q has no address for its page", crew.CrewID)
		}
		if err := w.writePage(file, pages.CrewPage(b, crew)); err != nil {
			return err
		}
		if err := w.writePage(b.CrewSheetFile(crew.CrewID), pages.CrewSheet(b, crew)); err != nil {
			return err
		}
	}
	if b.NamesCrews() {
		return w.writePage("crews.html", pages.CrewsPage(b))
	}
	// Where the folder's own address is asked for, a web server must not list what is in it.
	return w.writePage("crews/index.html", table.Page{Title: "Crews", Root: "../", IsPrivate: true,
		Lead: words.Say(w.book.Units, "crew folder")})
}
