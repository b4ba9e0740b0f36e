package pages

import (
	"encoding/json"
	"slices"
	"strings"

	"lanetally/site/book"
	"lanetally/site/table"
	"lanetally/site/words"
)

// found is one entry of the search's index: what it is, its name, words beside it, and its page. In the file it is a list
// of four texts, in this order.
type found struct{ kind, name, detail, href string }

// MarshalJSON writes the list.
func (f found) MarshalJSON() ([]byte, error) {
	return json.Marshal([4]string{f.kind, f.name, f.detail, f.href})
}

// SearchPage is the page of the search, which says how much of each kind the index holds.
func SearchPage(b *book.Book, index []found) table.Page {
	count := map[string]int{}
	for _, f := range index {
		count[f.kind]++
	}
	return table.Page{Title: "Search", Nav: "search", Search: &table.Search{Crews: count["crew"]},
		Lead: words.Say(b.Units, "search", count["route"], count["storm"], count["crew"], count["term"])}
}

// SearchIndex lists routes, storms, crews with a page, and terms.
func SearchIndex(b *book.Book) []found {
	list := []found{}
	for _, route := range b.RouteList {
		class, _ := b.Assigned(route.RouteID)
		list = append(list, found{"route", b.RouteName(route.RouteID), joined(b.ZoneName(route.ZoneID), class, route.Watershed),
			b.RouteHref("", route.RouteID)})
	}
	for _, e := range slices.Backward(b.Events) {
		list = append(list, found{"storm", e.ID, joined(b.Clock.Day(e.BeganAt), e.Kind(), e.Season), b.StormHref("", e.ID)})
	}
	for _, crew := range b.ListedCrews() {
		list = append(list, found{"crew", b.CrewName(crew.CrewID), "", b.CrewHref("", crew.CrewID)})
	}
	for _, part := range words.MethodsParts {
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
