package pages

import (
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// PastSection sets a season beside the others: of one route, or of all where routeID is "".
func PastSection(b *book.Book, season, id, caption, routeID string) table.Section {
	type past struct {
		name    string
		isFirst bool
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
	columns := []table.Column[past]{table.SeasonColumn(func(p past) string { return p.name }),
		table.ClassColumn("", func(p past) string { return p.MaterialClass })}
	s.Tables = []table.Table{table.Filled(b,
		table.Table{ID: id, Caption: caption, Download: "storm_routes.csv", Empty: "No solids were reported in a closed storm.",
			Note: "Seasons differ in their storms: the temperatures and the hours to bare lane belong to the pounds beside them."},
		append(columns, table.At(func(p past) rows.Tally { return p.Tally }, pastColumns(b))...), list,
		table.Marked("parted", func(p past) bool { return p.isFirst }))}
	return s
}

// pastColumns are what a stretch of storms got, with road state and temperature.
func pastColumns(b *book.Book) []table.Column[rows.Tally] {
	return append(roadColumns(b), appliedColumn(b), stormsColumn("closed"), routeStormsColumn())
}

// roadColumns are pounds with road state and temperature beside them.
func roadColumns(b *book.Book) []table.Column[rows.Tally] {
	return slices.Concat([]table.Column[rows.Tally]{rateColumn(b)}, useColumns(b), stateColumns(b))
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
	shown := table.Table{ID: "alike-" + format.FileName(zone.ZoneID), Download: "storm_routes.csv",
		Caption: format.Capital(b.NamedZone(zone.ZoneID)) + ": this storm, and those alike, the nearest in severity first"}
	if len(alike) > book.MostAlike {
		shown.Note = "The " + format.Whole(book.MostAlike) + " nearest of " + format.Whole(len(alike)) + "."
	}
	columns := []table.Column[book.LikeStorm]{
		table.Cells("Storm", func(l book.LikeStorm) table.Cell {
			if l.Storm.StormID == zone.StormID {
				return table.Cell{Text: zone.StormID + ", this storm"}
			}
			return table.StormCell(b, "../", l.Storm.StormID, false)
		}),
		table.Moments(b, "Began", func(l book.LikeStorm) *time.Time { return &l.Storm.BeganAt }),
		table.Numbers(b, "Severity", "0 to 1", table.Hundredths, func(l book.LikeStorm) *float64 { return l.Storm.Severity }),
		table.Numbers(b, "Length", "h", table.Tenths, func(l book.LikeStorm) *float64 { return l.Storm.Hours })}
	both := table.At(func(l book.LikeStorm) classPair { return classPair{l.Acetate, l.Chloride} },
		slices.Concat(pairRates(b), pairApplications(b), pairStates(b)))
	return table.Filled(b, shown, slices.Concat(columns, both,
		table.At(func(l book.LikeStorm) rows.Storm { return l.Storm }, airColumns(b))),
		append([]book.LikeStorm{here}, alike[:min(len(alike), book.MostAlike)]...),
		table.Marked("parted", func(l book.LikeStorm) bool { return l.Storm.StormID == nearest }))
}
