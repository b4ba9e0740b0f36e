package pages

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// BookEvents is how many events of each pile the page shows; the book itself holds all.
const BookEvents = 12

func outlooks(b *book.Book) []rows.StockOutlook {
	return book.Sorted(b.Data.StockOutlook, func(x, y rows.StockOutlook) int { return cmp.Compare(x.MaterialID, y.MaterialID) })
}

// StockPage answers whether the sheds last the season, and when to order.
func StockPage(b *book.Book) table.Page {
	p := table.Page{Title: "Stock", Nav: "stock", Lead: words.StockSentence(b.Units, outlooks(b), b.Through())}
	p.Sections = append(p.Sections, outlookSection(b), pilesSection(b), countsSection(b), eventsSection(b))
	return p
}

func outlookSection(b *book.Book) table.Section {
	s := table.Section{ID: "outlook", Title: "Does it last the season?", Picture: "outlook-pictures",
		Text:   []string{words.Say(b.Units, "lead time", b.Setting("lead_days"))},
		Tables: []table.Table{table.Filled[rows.StockOutlook](b, table.Place{ID: "outlook-table"}, b.Data.StockOutlook, nil)}}
	fans := book.Grouped(book.Sorted(b.Data.StockFan, func(x, y rows.StockFan) int { return x.Date.Compare(y.Date) }),
		func(f rows.StockFan) string { return f.MaterialID })
	for _, o := range outlooks(b) {
		if o.OnHandLb != nil {
			s.Figures = append(s.Figures, outlookFigure(b, o, fans[o.MaterialID]))
		}
	}
	return s
}

// outlookFigure draws a counted material's fan, or the state that keeps it from being drawn.
func outlookFigure(b *book.Book, o rows.StockOutlook, fan []rows.StockFan) table.Figure {
	f := table.Figure{Title: words.Say(b.Units, "outlook", o), IsSmall: true}
	switch {
	case o.Basis == rows.TooEarly:
		f.Drawing = draw.FanState("too early", "too few storms to draw from")
	case len(fan) > 1:
		f.Drawing = draw.FanFigure(b, o, fan)
		f.Caption = words.Say(b.Units, "fan", o.Basis)
	default:
		f.Drawing = draw.FanState("no day of the season", "is left to draw")
	}
	return f
}

func pilesSection(b *book.Book) table.Section {
	return table.Section{ID: "piles", Title: "Pile by pile",
		Tables: []table.Table{table.Filled[rows.StockOnHand](b, table.Place{ID: "piles-table"}, b.Data.StockOnHand, nil)}}
}

func stockEvents(b *book.Book) []rows.StockEvent {
	return book.Sorted(b.Data.StockBook, func(x, y rows.StockEvent) int {
		return cmp.Or(cmp.Compare(x.StockpileID, y.StockpileID), cmp.Compare(x.MaterialID, y.MaterialID),
			cmp.Compare(words.OrNone(x.EventNo), words.OrNone(y.EventNo)), x.At.Compare(y.At))
	})
}

// countsSection sets every count against the book before it, the latest first.
func countsSection(b *book.Book) table.Section {
	lowest := map[string]bool{}
	var counted []rows.StockEvent
	for _, e := range book.Sorted(stockEvents(b), func(x, y rows.StockEvent) int {
		return cmp.Or(y.At.Compare(x.At), cmp.Compare(x.StockpileID, y.StockpileID), cmp.Compare(x.MaterialID, y.MaterialID))
	}) {
		if e.BookLb != nil && *e.BookLb < 0 {
			lowest[e.StockpileID+" ("+e.MaterialID+")"] = true
		}
		if e.DifferenceLb != nil && e.AmountLb != nil {
			counted = append(counted, e)
		}
	}
	bookedLb := func(e rows.StockEvent) float64 { return *e.AmountLb - *e.DifferenceLb }
	shown := table.Filled(b, table.Place{ID: "counts-table"}, counted, table.Own[rows.StockEvent]{
		"booked_lb":   func(e rows.StockEvent) any { return bookedLb(e) },
		"of_the_book": func(e rows.StockEvent) any { return format.Hundredfold(rows.RatioOf(*e.DifferenceLb, bookedLb(e))) }})
	text := []string{words.Say(b.Units, "shrinkage", stockFindings(b, rows.ShrinkageFinding))}
	if negative := slices.Sorted(maps.Keys(lowest)); len(negative) > 0 {
		text = append(text, words.Say(b.Units, "negative", negative))
	}
	return table.Section{ID: "counts", Title: "Counted against booked", Text: text, Tables: []table.Table{shown}}
}

// stockFindings tells the findings of one code about piles, the latest first.
func stockFindings(b *book.Book, code string) []string {
	var list []string
	for _, f := range shownFindings(b) {
		if f.Code == code {
			list = append(list, words.Say(b.Units, "gap", f.SubjectID, -rows.OrZero(f.Amount), dayOf(b.Clock, f.SinceAt)))
		}
	}
	return list
}

// dayOf is day for a value that may be missing.
func dayOf(c format.Clock, t *time.Time) string {
	if t == nil {
		return format.Missing
	}
	return c.Day(*t)
}

// eventsSection shows the latest events of each pile.
func eventsSection(b *book.Book) table.Section {
	perPile := map[[2]string]int{}
	list := slices.DeleteFunc(book.LatestFirst(stockEvents(b)), func(e rows.StockEvent) bool {
		pile := [2]string{e.StockpileID, e.MaterialID}
		perPile[pile]++
		return perPile[pile] > BookEvents
	})
	shown := table.Filled(b, table.Place{ID: "book-table",
		Note: fmt.Sprintf("At most %d events of each pile and material stand here, the latest first.", BookEvents)}, list,
		table.Own[rows.StockEvent]{"ticket": func(e rows.StockEvent) any {
			if e.Reference == e.Event { // a count, delivery or adjustment is its own reference
				return format.Missing
			}
			return cmp.Or(e.Reference, format.Missing)
		}})
	return table.Section{ID: "book", Title: "The book", Tables: []table.Table{shown}}
}

// judgedFindings are the findings that follow from fits and outlooks: service slower, and stock that asks for an order within the delivery
// time.
func judgedFindings(b *book.Book) []rows.FindingRow {
	var list []rows.FindingRow
	if l := b.LearningOf(rows.AllCrews); l != nil && l.ServiceVerdict == rows.RoadsWorse {
		list = append(list, rows.FindingRow{Finding: rows.Finding{Code: rows.ServiceSlowerFinding}, SubjectKind: "all",
			SubjectID: b.UnitWords("{acetate} routes")})
	}
	if b.Data.AsOf == nil {
		return list
	}
	soon := b.Data.AsOf.AddDate(0, 0, int(b.Setting("lead_days")))
	for _, o := range b.Data.StockOutlook {
		if o.OrderByDate != nil && !b.LocalMidnight(*o.OrderByDate).After(soon) {
			list = append(list, rows.FindingRow{
				Finding: rows.Finding{Code: rows.StockLowFinding, Amount: o.OnHandLb, Unit: rows.Pound,
					Name: format.Date(*o.OrderByDate)},
				SubjectKind: "material", SubjectID: o.MaterialID, SinceAt: b.Data.AsOf})
		}
	}
	return list
}
