package site

import "slices"

// leadsCorrected tells whether storm and route pages lead with pounds by weighed loads: the setting lead_with.
func (b *book) leadsCorrected() bool { return b.data.LeadWith == "corrected" && b.hasCorrected }

// withCorrected gives the rows of storm_routes, each with its pounds by weighed loads where there are some.
func (b *book) withCorrected() []StormRoute {
	type key struct{ stormID, routeID, class, form string }
	byKey := map[key]*StormRouteCorrected{}
	for i := range b.data.StormRoutesCorrected {
		c := &b.data.StormRoutesCorrected[i]
		byKey[key{c.StormID, c.RouteID, c.MaterialClass, c.Form}] = c
	}
	rows := make([]StormRoute, len(b.data.StormRoutes))
	for i, row := range b.data.StormRoutes {
		row.Corrected = byKey[key{row.StormID, row.RouteID, row.MaterialClass, row.Form}]
		rows[i] = row
	}
	return rows
}

// bothBases gives a column by both bases of pounds, the leading one first; one column where nothing was weighed.
func bothBases[T any](b *book, head, unit string, m measure, reported, corrected func(T) *float64) []Column[T] {
	columns := []Column[T]{numbers(b, head, unit+", as reported", m, reported), numbers(b, head, unit+", by weighed loads", m, corrected)}
	switch {
	case !b.hasCorrected:
		return []Column[T]{numbers(b, head, unit, m, reported)}
	case b.leadsCorrected():
		slices.Reverse(columns)
	}
	return columns
}

// leadCorrected puts the sentence on weighed loads in front of a page's lead where those lead; else it gives it as text for below.
func (b *book) leadCorrected(p *page, ac, cl Tally) []string {
	text := weighedSentence(b.units, ac, cl)
	switch {
	case text == "":
		return nil
	case b.leadsCorrected():
		p.Lead = weighedFirst(text, p.Lead)
		return nil
	}
	return []string{text}
}
