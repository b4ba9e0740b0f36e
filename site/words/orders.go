package words

import (
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// Notes writes out the orders that marks names.
func Notes(b *book.Book, placed []book.PlacedOrder) []string {
	var list []string
	for i, order := range placed {
		list = append(list, OrderSentence(i+1, format.Date(order.FromDate), order.Text, order.MaterialClass, order.RouteID))
	}
	return list
}

// OrderNotes writes out the orders that the pictures of learning name by number; "" without any.
func OrderNotes(b *book.Book) string {
	var list []string
	for i, o := range b.FittedOrders() {
		list = append(list, OrderSentence(i+1, format.Date(o.FromDate), o.Text, o.MaterialClass, o.RouteID))
	}
	return strings.Join(list, " ")
}

// Claims are the season's five lines, roads first. The learning fit pools all seasons; the comparison is the season's.
func Claims(u format.Units, l *rows.Learning, c *rows.Comparison) []book.Claim {
	return []book.Claim{
		{Name: "Roads come bare no later", State: book.RoadsState(l, c), Words: RoadsWords(u, l, c)},
		{Name: u.UnitWords("{Acetate} begins 1.25 to 1.50 times as high as {salt}"), State: book.StartState(l), Words: StartSentence(u, l)},
		{Name: u.UnitWords("{Acetate} rates come down as crews gain storms"), State: book.LearningState(l), Words: TrendWords(u, l)},
		{Name: u.UnitWords("{Acetate} routes get fewer applications"), State: book.ApplicationsState(c), Words: ApplicationsWords(u, c)},
		{Name: u.UnitWords("{Acetate} routes get about the same pounds"), State: book.PoundsState(c), Words: PoundsWords(u, c)},
	}
}
