package site

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

// bothBases heads a figure by both bases of pounds, the leading one first; one column where nothing was weighed.
func (b *book) bothBases(head, unit string) []Column {
	reported, corrected := figures(head, unit+", as reported"), figures(head, unit+", by weighed loads")
	switch {
	case !b.hasCorrected:
		return []Column{figures(head, unit)}
	case b.leadsCorrected():
		return []Column{corrected, reported}
	}
	return []Column{reported, corrected}
}

// bothTexts fills the columns of bothBases.
func (b *book) bothTexts(reported, corrected string) []string {
	switch {
	case !b.hasCorrected:
		return []string{reported}
	case b.leadsCorrected():
		return []string{corrected, reported}
	}
	return []string{reported, corrected}
}

// leadCorrected puts the sentence on weighed loads in front of a page's lead where those lead; else it gives it as text for below.
func (b *book) leadCorrected(p *page, ac, cl tally) []string {
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
