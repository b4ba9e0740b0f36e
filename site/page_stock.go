package site

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"time"

	"lanetally/pipeline/rows"
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
	s := Section{ID: "outlook", Title: "Does it last the season?", Picture: "outlook-pictures", Text: []string{leadTimeSentence(b.setting("lead_days"))}}
	fans := grouped(sorted(b.data.StockFan, func(x, y StockFan) int { return x.Date.Compare(y.Date) }), func(f StockFan) string { return f.MaterialID })
	for _, o := range b.outlooks() {
		if o.OnHandLb != nil {
			s.Figures = append(s.Figures, b.outlookFigure(o, fans[o.MaterialID]))
		}
	}
	s.Tables = []Table{filled(b,
		Table{ID: "outlook-table", Caption: "On hand, and what the rest of the season may need", Download: "stock_outlook.csv",
			Empty: "No material is stocked yet.",
			Note: "p10, p50, p90: one draw in ten needs less than the first, half need less than the second, " +
				"one in ten needs more than the third. The same seed gives the same draws."}, []Column[StockOutlook]{
			words("Material", func(o StockOutlook) string { return o.MaterialID }).picked(),
			dates("As of", func(o StockOutlook) *time.Time { return &o.AsOfDate }),
			numbers(b, "On hand", "lb", mass, func(o StockOutlook) *float64 { return o.OnHandLb }),
			wholes("Storms", "so far", func(o StockOutlook) int64 { return o.StormsSoFar }),
			numbers(b, "Need, p10", "lb", mass, func(o StockOutlook) *float64 { return o.NeedP10Lb }),
			numbers(b, "Need, p50", "lb", mass, func(o StockOutlook) *float64 { return o.NeedP50Lb }),
			numbers(b, "Need, p90", "lb", mass, func(o StockOutlook) *float64 { return o.NeedP90Lb }),
			dates("Order by", func(o StockOutlook) *time.Time { return o.OrderByDate }),
			prose("Drawn from", func(o StockOutlook) string { return o.Basis }),
			words("Seed", func(o StockOutlook) string { return o.Seed }),
		}, b.outlooks())}
	return s
}

// outlookFigure draws a counted material's fan, or the state that keeps it from being drawn.
func (b *book) outlookFigure(o StockOutlook, fan []StockFan) Figure {
	f := Figure{Title: outlookSentence(b.units, o), IsSmall: true}
	switch {
	case o.Basis == rows.TooEarly:
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
	list := sorted(b.data.StockOnHand, func(x, y StockOnHand) int {
		return cmp.Or(cmp.Compare(x.StockpileID, y.StockpileID), cmp.Compare(x.MaterialID, y.MaterialID))
	})
	table := filled(b, Table{ID: "piles-table", Caption: "What the book says of each pile",
		Empty: "No pile has been counted or loaded from yet.",
		Note:  "The last count, then deliveries, adjustments and returns less loads out. Share: of the district's material."},
		[]Column[StockOnHand]{
			words("Pile", func(s StockOnHand) string { return s.StockpileID }).picked(),
			words("Material", func(s StockOnHand) string { return s.MaterialID }).picked(),
			numbers(b, "On hand", "lb by the book", mass, func(s StockOnHand) *float64 { return s.OnHandLb }),
			shares(b, "Share", "%", func(s StockOnHand) *float64 { return s.Share }),
			moments(b, "Last counted", func(s StockOnHand) *time.Time { return s.CountedAt }),
			moments(b, "Last event", func(s StockOnHand) *time.Time { return s.LastEventAt }),
		}, list)
	return Section{ID: "piles", Title: "Pile by pile", Tables: []Table{table}}
}

func (b *book) stockEvents() []StockEvent {
	return sorted(b.data.StockBook, func(x, y StockEvent) int {
		return cmp.Or(cmp.Compare(x.StockpileID, y.StockpileID), cmp.Compare(x.MaterialID, y.MaterialID), cmp.Compare(orNone(x.EventNo), orNone(y.EventNo)), x.At.Compare(y.At))
	})
}

// countsSection sets every count against the book before it, the latest first.
func (b *book) countsSection() Section {
	lowest := map[string]bool{}
	var counted []StockEvent
	for _, e := range sorted(b.stockEvents(), func(x, y StockEvent) int {
		return cmp.Or(y.At.Compare(x.At), cmp.Compare(x.StockpileID, y.StockpileID), cmp.Compare(x.MaterialID, y.MaterialID))
	}) {
		if e.BookLb != nil && *e.BookLb < 0 {
			lowest[e.StockpileID+" ("+e.MaterialID+")"] = true
		}
		if e.DifferenceLb != nil && e.AmountLb != nil {
			counted = append(counted, e)
		}
	}
	bookedLb := func(e StockEvent) float64 { return *e.AmountLb - *e.DifferenceLb }
	columns := append([]Column[StockEvent]{moments(b, "Counted", func(e StockEvent) *time.Time { return &e.At })}, pileColumns...)
	table := filled(b, Table{ID: "counts-table", Caption: "Counts against the book, the latest first",
		Empty: "No pile has been counted twice yet.",
		Note: "Difference: counted less book. Below 0 is shrinkage: wet material, spillage, loads without a ticket, " +
			"or a count that is off. A difference of more than two of the pile's largest loads is a finding."}, append(columns,
		numbers(b, "Counted", "lb", mass, func(e StockEvent) *float64 { return e.AmountLb }),
		numbers(b, "Book", "lb", mass, func(e StockEvent) *float64 { return new(bookedLb(e)) }),
		signedNumbers(b, "Difference", "lb", mass, func(e StockEvent) *float64 { return e.DifferenceLb }),
		signedNumbers(b, "Of the book", "%", tenths,
			func(e StockEvent) *float64 { return hundredfold(ratio(*e.DifferenceLb, bookedLb(e))) }),
		moments(b, "Count before", func(e StockEvent) *time.Time { return e.CountedBeforeAt })), counted)
	text := []string{shrinkageSentence(b.units, b.stockFindings(rows.ShrinkageFinding))}
	if negative := slices.Sorted(maps.Keys(lowest)); len(negative) > 0 {
		text = append(text, negativeSentence(negative))
	}
	return Section{ID: "counts", Title: "Counted against booked", Text: text, Tables: []Table{table}}
}

// pileColumns name a pile and what lies in it.
var pileColumns = []Column[StockEvent]{words("Pile", func(e StockEvent) string { return e.StockpileID }).picked(),
	words("Material", func(e StockEvent) string { return e.MaterialID }).picked()}

// stockFindings are the findings of one code about piles, the latest first.
func (b *book) stockFindings(code string) []stockGap {
	var list []stockGap
	for _, f := range b.shownFindings() {
		if f.Code == code {
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
	pileOf := func(e StockEvent) [2]string { return [2]string{e.StockpileID, e.MaterialID} }
	shown := map[[2]string]int{}
	rows := slices.DeleteFunc(latestFirst(b.stockEvents()), func(e StockEvent) bool {
		shown[pileOf(e)]++
		return shown[pileOf(e)] > bookEvents
	})
	ticket := func(e StockEvent) string {
		if e.Reference == e.Event { // a count, delivery or adjustment is its own reference
			return missing
		}
		return cmp.Or(e.Reference, missing)
	}
	table := filled(b, Table{ID: "book-table", Caption: "The latest events of each pile", Empty: "The book is empty.",
		Note: fmt.Sprintf("At most %d events of each pile and material stand here, the latest first.", bookEvents)},
		append(slices.Clone(pileColumns),
			moments(b, "When", func(e StockEvent) *time.Time { return &e.At }),
			words("Event", func(e StockEvent) string { return e.Event }),
			words("Ticket", ticket),
			signedNumbers(b, "Amount", "lb", mass, func(e StockEvent) *float64 { return e.AmountLb }),
			numbers(b, "Book after", "lb", mass, func(e StockEvent) *float64 { return e.BookLb })), rows, partedBy(pileOf))
	return Section{ID: "book", Title: "The book", Tables: []Table{table}}
}

// judgedFindings are the findings that follow from fits and outlooks: service slower, and stock that asks for an order within the delivery time.
func (b *book) judgedFindings() []Finding {
	var list []Finding
	if l := b.learningOf(allCrews); l != nil && l.ServiceVerdict == rows.ServiceSlower {
		list = append(list, Finding{Finding: rows.Finding{Code: rows.ServiceSlowerFinding}, SubjectKind: "all", SubjectID: b.unitWords("{acetate} routes")})
	}
	if b.data.AsOf == nil {
		return list
	}
	soon := b.data.AsOf.AddDate(0, 0, int(b.setting("lead_days")))
	for _, o := range b.data.StockOutlook {
		if o.OrderByDate != nil && !b.localMidnight(*o.OrderByDate).After(soon) {
			list = append(list, Finding{
				Finding:     rows.Finding{Code: rows.StockLowFinding, Amount: o.OnHandLb, Unit: rows.Pound, Name: date(*o.OrderByDate)},
				SubjectKind: "material", SubjectID: o.MaterialID, SinceAt: b.data.AsOf})
		}
	}
	return list
}
