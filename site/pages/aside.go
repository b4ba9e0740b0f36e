package pages

import (
	"cmp"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
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
	of := book.Grouped(b.Data.SetAsideTrucks, func(s rows.SetAsideTruck) bool { return s.Part == "all" })
	return append(of[true], rows.SetAsideTruck{})[0], book.Sorted(of[false], func(x, y rows.SetAsideTruck) int {
		return cmp.Or(cmp.Compare(rows.OrZero(y.DispensedLb), rows.OrZero(x.DispensedLb)), cmp.Compare(x.TruckID, y.TruckID))
	})
}

// asideByReason is the whole table of the data page.
func asideByReason(b *book.Book) table.Table {
	list := book.Sorted(b.Data.SetAside, func(x, y rows.SetAside) int {
		return cmp.Or(cmp.Compare(rows.OrZero(y.DispensedLb), rows.OrZero(x.DispensedLb)), book.CompareOptional(y.Rows, x.Rows),
			cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.Reason(), y.Reason()))
	})
	return table.Filled(b, table.Place{ID: "set-aside"}, list, table.Own[rows.SetAside]{
		"truck_id": func(s rows.SetAside) any { return cmp.Or(s.TruckID, "(no truck)") }})
}
