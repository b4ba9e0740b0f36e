package site

import (
	"encoding/json"
	"slices"
	"strings"
)

// search is what only the search page shows.
type search struct{ Crews int }

// found is one entry of the search's index: what it is, its name, words beside it, and its page. In the file it is a list
// of four texts, in this order.
type found struct{ kind, name, detail, href string }

// MarshalJSON writes the list.
func (f found) MarshalJSON() ([]byte, error) {
	return json.Marshal([4]string{f.kind, f.name, f.detail, f.href})
}

// writeSearch writes the search page and its index, which no other page loads.
func (w *builder) writeSearch() error {
	index := w.book.searchIndex()
	text, err := json.Marshal(index)
	if err != nil {
		return err
	}
	// A script that assigns, for a page opened from a folder may not fetch. encoding/json escapes <, > and &.
	script := "var searchIndex = " + strings.ReplaceAll(string(text), `],[`, "],\n[") + ";\n"
	if err := w.writeFile("assets/search-index.js", []byte(script)); err != nil {
		return err
	}
	return w.writePage("search.html", w.book.searchPage(index))
}

func (b *book) searchPage(index []found) page {
	count := map[string]int{}
	for _, f := range index {
		count[f.kind]++
	}
	return page{Title: "Search", Nav: "search", Search: &search{Crews: count["crew"]},
		Lead: searchSentence(count["route"], count["storm"], count["crew"], count["term"])}
}

// searchIndex lists routes, storms, crews with a page, and terms.
func (b *book) searchIndex() []found {
	list := []found{}
	for _, route := range b.routeList {
		class, _ := b.assigned(route.RouteID)
		list = append(list, found{"route", b.routeName(route.RouteID), joined(b.zoneName(route.ZoneID), class, route.Watershed), b.routeHref("", route.RouteID)})
	}
	for _, e := range slices.Backward(b.events) {
		list = append(list, found{"storm", e.ID, joined(b.clock.day(e.BeganAt), e.kind(), e.Season), b.stormHref("", e.ID)})
	}
	for _, crew := range b.listedCrews() {
		list = append(list, found{"crew", b.crewName(crew.CrewID), "", b.crewHref("", crew.CrewID)})
	}
	for _, part := range methodsParts {
		for _, t := range part.Terms {
			list = append(list, found{"term", t.Name, part.Title, "methods.html#" + part.Anchor(t)})
		}
	}
	return list
}

// joined writes the texts that are not empty, one after the other.
func joined(texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(t string) bool { return t == "" }), ", ")
}
