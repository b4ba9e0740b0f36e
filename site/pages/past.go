package pages

import (
	"slices"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// PastSection sets a season beside the others: of one route, or of all where routeID is "".
func PastSection(b *book.Book, season, id, routeID string) table.Section {
	type past struct {
		name    string
		IsFirst bool
		rows.Tally
	}
	s := table.Section{ID: "other-seasons", Title: "Against other seasons"}
	stretches := b.Stretches(season)
	var list []past
	for _, class := range b.Sides() {
		var tallies []rows.Tally
		for i, stretch := range stretches {
			t := b.TallyStretch(routeID, stretch, class)
			tallies = append(tallies, t)
			if t.RouteStorms > 0 {
				list = append(list, past{stretch.Name, i == 0, t})
			}
		}
		s.Text = append(s.Text, words.PastSentence(b.Units, class, stretches, tallies))
	}
	s.Tables = []table.Table{table.Filled(b, table.Place{ID: id}, list, table.Own[past]{"season": func(p past) any { return p.name }})}
	return s
}

// seasonLinks lead to the other seasons' pages.
func seasonLinks(b *book.Book, season, root string) []table.Cell {
	var links []table.Cell
	for _, other := range slices.Backward(b.Seasons) {
		if other != season {
			links = append(links, table.Link("Season "+other, root+b.SeasonFile(other)))
		}
	}
	return links
}

// LikeSection sets a storm beside its like, zone by zone.
func LikeSection(b *book.Book, e book.Event) table.Section {
	s := table.Section{ID: "alike", Title: "Against storms of the same kind and severity"}
	for _, zone := range e.Zones {
		here, alike := b.WithTallies(zone), b.LikeStorms(zone)
		s.Text = append(s.Text, words.LikeSentence(b.Units, b.ZoneName(zone.ZoneID), here, alike))
		if len(alike) > 0 {
			s.Tables = append(s.Tables, likeTable(b, here, alike))
		}
	}
	return s
}

func likeTable(b *book.Book, here book.LikeStorm, alike []book.LikeStorm) table.Table {
	zone, nearest := here.Storm, alike[0].Storm.StormID
	place := table.Place{ID: "alike-" + format.FileName(zone.ZoneID), Names: []any{format.Capital(b.NamedZone(zone.ZoneID))}}
	if len(alike) > book.MostAlike {
		place.Note = "The " + format.Whole(book.MostAlike) + " nearest of " + format.Whole(len(alike)) + "."
	}
	return table.Filled(b, place, append([]book.LikeStorm{here}, alike[:min(len(alike), book.MostAlike)]...), table.Own[book.LikeStorm]{
		"alike": func(l book.LikeStorm) any {
			if l.Storm.StormID == zone.StormID {
				return zone.StormID + ", this storm"
			}
			return table.StormCell(b, "../", l.Storm.StormID, false)
		},
		"is_nearest": func(l book.LikeStorm) any { return l.Storm.StormID == nearest }})
}
