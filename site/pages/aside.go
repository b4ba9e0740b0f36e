package pages

import (
	"cmp"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// asideSection says what is not counted yet; found is false when everything is counted.
func asideSection(b *book.Book, root string, tables ...table.Table) (s table.Section, found bool) {
	all, sums := asideSums(b)
	trucks := book.CountOf(sums, func(s rows.SetAsideTruck) bool { return s.TruckID != "" })
	text := []string{words.Say(b.Units, "set aside", all.Rows, rows.OrZero(all.DispensedLb), trucks),
		words.AsideTrucksSentence(b.Units, sums)}
	return table.Section{ID: "not-counted", Title: "Not counted yet", Tone: "warn", Text: text,
		Tables: tables, Links: []table.Cell{table.Link("Each row, with what would mend it", root+"data.html#quarantine")}}, all.Rows > 0
}

// asideSums are the rows of set_aside_trucks: of all trucks, and of each, the most pounds first.
func asideSums(b *book.Book) (all rows.SetAsideTruck, sums []rows.SetAsideTruck) {
	for _, sum := range b.Data.SetAsideTrucks {
		if sum.Part == "all" {
			all = sum
		} else {
			sums = append(sums, sum)
		}
	}
	return all, book.Sorted(sums, func(x, y rows.SetAsideTruck) int {
		return cmp.Or(cmp.Compare(rows.OrZero(y.DispensedLb), rows.OrZero(x.DispensedLb)), cmp.Compare(x.TruckID, y.TruckID))
	})
}

// asideByReason is the whole table of the data page.
func asideByReason(b *book.Book) table.Table {
	list := book.Sorted(b.Data.SetAside, func(x, y rows.SetAside) int {
		return cmp.Or(cmp.Compare(rows.OrZero(y.DispensedLb), rows.OrZero(x.DispensedLb)), book.CompareOptional(y.Rows, x.Rows),
			cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.Reason(), y.Reason()))
	})
	return table.Filled(b, table.Table{ID: "set-aside",
		Caption:  b.UnitWords("Pass rows set aside, by truck and reason, the most pounds first"),
		Download: "quarantine.csv"}, []table.Column[rows.SetAside]{
		table.TruckColumn(func(s rows.SetAside) string { return truckName(s.TruckID) }),
		table.Prose("Reason", rows.SetAside.Reason),
		table.Counts("Rows", "", func(s rows.SetAside) *int64 { return s.Rows }),
		table.Numbers(b, "Reported", "lb", format.Mass, func(s rows.SetAside) *float64 { return s.DispensedLb }),
		table.Moments(b, "First", func(s rows.SetAside) *time.Time { return s.FirstAt }),
		table.Moments(b, "Last", func(s rows.SetAside) *time.Time { return s.LastAt }),
	}, list)
}

func truckName(id string) string { return cmp.Or(id, "(no truck)") }
