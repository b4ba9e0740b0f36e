package site

import (
	"cmp"
	"fmt"
	"slices"
	"time"
)

// seasonName is the season that begins on 1 July of a year, such as 2029-30.
func seasonName(year int) string { return fmt.Sprintf("%d-%02d", year, (year+1)%100) }

// bookEvents is how many events of each pile the page shows; the book itself holds all.
const bookEvents = 12

func (b *book) outlooks() []StockOutlook {
	return sorted(b.data.StockOutlook, func(x, y StockOutlook) int { return cmp.Compare(x.MaterialID, y.MaterialID) })
}

// stockPage answers whether the sheds last the season, and when to order.
func (b *book) stockPage() page {
	p := page{Title: "Stock", Nav: "stock", Lead: stockSentence(b.units, b.outlooks(), b.through())}
	p.Sections = append(p.Sections, b.outlookSection(), b.pilesSection(), b.countsSection(), b.eventsSection())
	return p
}

func (b *book) outlookSection() Section {
	table := Table{ID: "outlook-table", Caption: "On hand, and what the rest of the season may need", Download: "stock_outlook.csv", Empty: "No material is stocked yet.",
		Note:    "p10, p50, p90: one draw in ten needs less than the first, half need less than the second, one in ten needs more than the third. The same seed gives the same draws.",
		Columns: []Column{words("Material"), words("As of"), figures("On hand", "lb"), figures("Storms", "so far"), figures("Need, p10", "lb"), figures("Need, p50", "lb"), figures("Need, p90", "lb"), words("Order by"), prose("Drawn from"), words("Seed")}}
	s := Section{ID: "outlook", Title: "Does it last the season?", Picture: "outlook-pictures", Text: []string{leadTimeSentence(b.setting("lead_days"))}}
	fans := grouped(sorted(b.data.StockFan, func(x, y StockFan) int { return x.Date.Compare(y.Date) }), func(f StockFan) string { return f.MaterialID })
	for _, o := range b.outlooks() {
		orderBy, asOf := missing, missing
		if o.OrderByDate != nil {
			orderBy = date(*o.OrderByDate)
		}
		if o.AsOfDate != nil {
			asOf = date(*o.AsOfDate)
		}
		table.Rows = append(table.Rows, Row{Cells: cells(o.MaterialID, asOf, b.pounds(o.OnHandLb), count(o.StormsSoFar), b.pounds(o.NeedP10Lb), b.pounds(o.NeedP50Lb), b.pounds(o.NeedP90Lb), orderBy, o.Basis, o.Seed)})
		if o.OnHandLb != nil {
			s.Figures = append(s.Figures, b.outlookFigure(o, fans[o.MaterialID]))
		}
	}
	s.Tables = []Table{table}
	return s
}

// outlookFigure draws a counted material's fan, or the state that keeps it from being drawn.
func (b *book) outlookFigure(o StockOutlook, fan []StockFan) Figure {
	f := Figure{Title: outlookSentence(b.units, o), IsSmall: true}
	switch {
	case o.Basis == tooEarly:
		f.Drawing = fanState("too early", "too few storms to draw from")
	case len(fan) > 1:
		f.Drawing = b.fanFigure(o, fan)
		f.Caption = fanCaption(o)
	default:
		f.Drawing = fanState("no day of the season", "is left to draw")
	}
	return f
}

func (b *book) pilesSection() Section {
	table := Table{ID: "piles-table", Caption: "What the book says of each pile", Empty: "No pile has been counted or loaded from yet.",
		Note:    "The last count, then deliveries, adjustments and returns less loads out. Share: of the district's material.",
		Columns: []Column{words("Pile"), words("Material"), figures("On hand", "lb by the book"), figures("Share", "%"), words("Last counted"), words("Last event")}}
	for _, s := range sorted(b.data.StockOnHand, func(x, y StockOnHand) int {
		return cmp.Or(cmp.Compare(x.StockpileID, y.StockpileID), cmp.Compare(x.MaterialID, y.MaterialID))
	}) {
		table.Rows = append(table.Rows, Row{Cells: cells(s.StockpileID, s.MaterialID, b.pounds(s.OnHandLb), percent(s.Share), b.clock.momentOf(s.CountedAt), b.clock.momentOf(s.LastEventAt))})
	}
	return Section{ID: "piles", Title: "Pile by pile", Tables: []Table{table}}
}

func (b *book) stockEvents() []StockEvent {
	return sorted(b.data.StockBook, func(x, y StockEvent) int {
		return cmp.Or(cmp.Compare(x.StockpileID, y.StockpileID), cmp.Compare(x.MaterialID, y.MaterialID), cmp.Compare(orNone(x.EventNo), orNone(y.EventNo)), x.At.Compare(y.At))
	})
}

// countsSection sets every count against the book before it, the latest first.
func (b *book) countsSection() Section {
	table := Table{ID: "counts-table", Caption: "Counts against the book, the latest first", Empty: "No pile has been counted twice yet.",
		Note:    "Difference: counted less book. Below 0 is shrinkage: wet material, spillage, loads without a ticket, or a count that is off. A difference of more than two of the pile's largest loads is a finding.",
		Columns: []Column{words("Counted"), words("Pile"), words("Material"), figures("Counted", "lb"), figures("Book", "lb"), figures("Difference", "lb"), figures("Of the book", "%"), words("Count before")}}
	lowest := map[string]bool{}
	for _, e := range sorted(b.stockEvents(), func(x, y StockEvent) int {
		return cmp.Or(y.At.Compare(x.At), cmp.Compare(x.StockpileID, y.StockpileID), cmp.Compare(x.MaterialID, y.MaterialID))
	}) {
		if e.BookLb != nil && *e.BookLb < 0 {
			lowest[e.StockpileID+" ("+e.MaterialID+")"] = true
		}
		if e.DifferenceLb == nil || e.AmountLb == nil {
			continue
		}
		booked := *e.AmountLb - *e.DifferenceLb
		table.Rows = append(table.Rows, Row{Cells: cells(b.clock.moment(e.At), e.StockpileID, e.MaterialID, b.pounds(e.AmountLb), b.pounds(&booked), b.signed(mass, e.DifferenceLb), signedPercent(ratio(*e.DifferenceLb, booked)), b.clock.momentOf(e.CountedBeforeAt))})
	}
	var negative []string
	for name := range lowest {
		negative = append(negative, name)
	}
	slices.Sort(negative)
	text := []string{shrinkageSentence(b.units, b.stockFindings("shrinkage"))}
	if len(negative) > 0 {
		text = append(text, negativeSentence(negative))
	}
	return Section{ID: "counts", Title: "Counted against booked", Text: text, Tables: []Table{table}}
}

func signedPercent(share *float64) string {
	if share == nil {
		return missing
	}
	return signed(ptrTo(100**share), 1)
}

func ptrTo(x float64) *float64 { return &x }

// stockFindings are the findings of one kind about piles, the latest first.
func (b *book) stockFindings(kind string) []stockGap {
	var list []stockGap
	for _, f := range b.shownFindings() {
		if f.Kind == kind {
			list = append(list, stockGap{pile: f.SubjectID, at: b.clock.dayOf(f.SinceAt), lb: f.Amount})
		}
	}
	return list
}

// dayOf is day for a value that may be missing.
func (c clock) dayOf(t *time.Time) string {
	if t == nil {
		return missing
	}
	return c.day(*t)
}

// eventsSection shows the latest events of each pile.
func (b *book) eventsSection() Section {
	table := Table{ID: "book-table", Caption: "The latest events of each pile", Empty: "The book is empty.", Note: fmt.Sprintf("At most %d events of each pile and material stand here, the latest first.", bookEvents),
		Columns: []Column{words("Pile"), words("Material"), words("When"), words("Event"), words("Ticket"), figures("Amount", "lb"), figures("Book after", "lb")}}
	events, shown := b.stockEvents(), map[string]int{}
	var rows []Row
	for _, e := range slices.Backward(events) {
		key := e.StockpileID + "|" + e.MaterialID
		if shown[key]++; shown[key] > bookEvents {
			continue
		}
		ticket := cmp.Or(e.Reference, missing)
		if ticket == e.Event { // a count, delivery or adjustment is its own reference
			ticket = missing
		}
		row := Row{Cells: cells(e.StockpileID, e.MaterialID, b.clock.moment(e.At), e.Event, ticket, b.signed(mass, e.AmountLb), b.pounds(e.BookLb))}
		if shown[key] == 1 {
			row.Mark = "parted"
		}
		rows = append(rows, row)
	}
	table.Rows = rows
	return Section{ID: "book", Title: "The book", Tables: []Table{table}}
}

// judgedFindings are the findings that follow from fits and outlooks: service slower, and stock that asks for an order within the delivery time.
func (b *book) judgedFindings() []Finding {
	var list []Finding
	if l := b.learningOf(allCrews); l != nil && l.ServiceVerdict == "slower" {
		list = append(list, Finding{Kind: "service slower", SubjectKind: "all", SubjectID: "acetate routes", Detail: b.unitWords("roads took longer to come bare as crews gained storms: look at road state before pounds")})
	}
	if b.data.AsOf == nil {
		return list
	}
	soon := b.data.AsOf.AddDate(0, 0, int(b.setting("lead_days")))
	for _, o := range b.data.StockOutlook {
		if o.OrderByDate != nil && !b.localMidnight(*o.OrderByDate).After(soon) {
			list = append(list, Finding{Kind: "stock running low", SubjectKind: "material", SubjectID: o.MaterialID, SinceAt: b.data.AsOf, Amount: o.OnHandLb, Detail: orderByDetail(date(*o.OrderByDate))})
		}
	}
	return list
}
