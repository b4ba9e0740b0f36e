package site

import (
	"cmp"
	"slices"
)

// mostFindings is how many lines what needs attention may have.
const mostFindings = 7

// seasonPage builds the page of one season; root leads from it to the top folder.
func (b *book) seasonPage(season, root string) (page, error) {
	events := b.eventsOf(season)
	ac, cl := b.countClass(season, acetate), b.countClass(season, chloride)
	open := openCount(events)
	list := claims(b.units, b.learningOf(allCrews), b.comparisonOf(season))
	p := page{Title: "Season " + season, Nav: "season", Root: root, Lead: courseSentence(b.units, season, b.isSeasonOpen(season), list, b.comparisonOf(season), b.through())}
	if season == b.latestSeason() {
		if aside, found := b.asideSection(root); found {
			p.Sections = append(p.Sections, aside)
		}
	}
	p.Sections = append(p.Sections, b.claimsSection(season, root, list), b.attentionSection(season, root))
	answer := b.answerSection(b.isSeasonOpen(season), ac, cl)
	answer.Text = append([]string{seasonSentence(b.units, season, len(events)-open, open, ac, cl, b.through())}, answer.Text...)
	course, err := b.courseSection(season, ac, cl)
	if err != nil {
		return page{}, err
	}
	past := b.pastSection(season, "past-seasons", "The season and others, solids in closed storms", b.allStormRows())
	past.Links = b.seasonLinks(season, root)
	p.Sections = append(p.Sections, course, answer, past, b.stripSection(events, root),
		Section{ID: "every-storm", Title: "Every storm in numbers", Tables: []Table{b.seasonTable(b.seasonRows[season], root)}})
	return p, nil
}

func openCount(events []event) int {
	n := 0
	for _, e := range events {
		if e.IsOpen {
			n++
		}
	}
	return n
}

func (b *book) latestSeason() string {
	if len(b.seasons) == 0 {
		return ""
	}
	return b.seasons[len(b.seasons)-1]
}

func (b *book) answerSection(isOpen bool, ac, cl classTally) Section {
	whole := "season"
	if isOpen {
		whole = "season so far"
	}
	table := Table{ID: "answer", Caption: "Solids in closed storms: the " + whole + ", its first and its latest third", Download: "storm_routes.csv",
		Note: "Rate: pounds per treated lane-mile. Applications and pounds per lane-mile of route: each time a route was treated in a storm. Hours to bare lane: from the storm's end, mean over lane-miles reported bare. First and latest third: of the class's storms with a rate.",
		Columns: slices.Concat([]Column{words("Class and part")}, b.bothBases("Rate", "lb per lane-mile"), []Column{figures("Applications", "per storm"), figures("Per storm", "lb per lane-mile of route"),
			figures("Bare lane after", "h"), figures("Came bare", "% of those reported"), figures("Mean air", "°F"), figures("Lowest pavement", "°F"),
			figures("Storms", "closed"), figures("Route-storms", "treated")}),
		Empty: "No solids were reported in a closed storm."}
	for _, c := range []classTally{ac, cl} {
		if c.season.routeStorms == 0 {
			continue
		}
		table.Rows = append(table.Rows, b.answerRow(c.class, whole, &c.season, "parted"))
		if c.first != nil {
			table.Rows = append(table.Rows, b.answerRow(c.class, "first third", c.first, ""), b.answerRow(c.class, "latest third", c.latest, ""))
		}
	}
	text := []string{thirdsSentence(b.units, ac), thirdsSentence(b.units, cl), useSentence(b.units, ac), useSentence(b.units, cl), b.unitWords(noVerdict)}
	text = slices.DeleteFunc(text, func(s string) bool { return s == "" })
	return Section{ID: "answer-so-far", Title: "The season in numbers", Text: text, Tables: []Table{table}}
}

func (b *book) answerRow(class, part string, t *tally, mark string) Row {
	storms, routes := int64(len(t.storms)), int64(t.routeStorms)
	return Row{Mark: mark, Cells: append([]Cell{{Text: capital(class) + ", " + part, Class: class}}, cells(append(b.bothTexts(b.rate(t.rate()), b.rate(t.correctedRate())), applications(t.applications()),
		b.rate(t.stormPounds()), hours(t.regainH()), percent(t.bareShare()), b.degrees(t.airF()), b.degrees(t.surfaceFMin),
		count(&storms), count(&routes))...)...)}
}

// courseSection shows both classes' rates over the season's storms.
func (b *book) courseSection(season string, ac, cl classTally) (Section, error) {
	rows := b.seasonRows[season]
	c := b.seasonCourse(rows)
	title := courseTitle(b.units, len(c.storms), ac, cl)
	s := Section{ID: "course", Title: title}
	if len(c.storms) == 0 {
		return s, nil
	}
	chart, err := courseChart("season-rates", "season-storms", title, seasonCourseLabel(title, len(c.storms)), c)
	s.Chart = &chart
	chart.Notes = b.notes(b.seasonOrders(rows))
	return s, err
}

// seasonOrders are the orders among a season's storms, of one route or of all.
func (b *book) seasonOrders(rows []PageSeason) []placedOrder {
	return b.placeOrders(seasonBegins(rows), func(Order) bool { return true })
}

func (b *book) seasonCourse(rows []PageSeason) course {
	c := course{units: b.units}
	byClass := map[string]*classCourse{acetate: {class: acetate}, chloride: {class: chloride}}
	last := ""
	for _, row := range rows {
		if !isRated(row.MaterialClass) {
			continue
		}
		if row.StormID != last || len(c.storms) == 0 {
			last = row.StormID
			c.storms = append(c.storms, b.clock.dayShort(row.BeganAt))
			c.isOpen = append(c.isOpen, row.IsOpen)
			c.surface = append(c.surface, nil)
			for _, class := range byClass {
				class.rate, class.regain = append(class.rate, nil), append(class.regain, nil)
			}
		}
		n := len(c.storms) - 1
		byClass[row.MaterialClass].rate[n], byClass[row.MaterialClass].regain[n] = row.RateLbPerLaneMi, row.RegainH
		c.surface[n] = lower(c.surface[n], row.SurfaceFMin)
	}
	c.classes = []classCourse{*byClass[acetate], *byClass[chloride]}
	c.orders = marks(b.seasonOrders(rows))
	return c
}

func (b *book) seasonTable(rows []PageSeason, root string) Table {
	table := Table{ID: "season-storms", Caption: "Every storm of the season by material class, solids only", Download: "storm_routes.csv",
		Columns: []Column{words("Storm"), words("Began"), words("Class"), figures("Rate", "lb per lane-mile"), figures("Applications", "per route"),
			figures("Per storm", "lb per lane-mile of route"), figures("Applied", "lb"), figures("Routes", "treated"), figures("Bare lane after", "h"),
			figures("Not bare", "routes"), figures("Mean air", "°F"), figures("Lowest pavement", "°F")},
		Empty: "No storm has a figure yet."}
	last := ""
	for _, row := range rows {
		r := Row{Cells: append([]Cell{link(row.StormID, b.stormHref(root, row.StormID)), {Text: b.clock.moment(row.BeganAt)}, {Text: cmp.Or(row.MaterialClass, "plowed only"), Class: row.MaterialClass}},
			cells(b.rate(row.RateLbPerLaneMi), applications(row.Applications), b.rate(row.StormLbPerLaneMi), b.pounds(row.AppliedLb), count(row.Routes),
				hours(row.RegainH), count(row.NotBare), b.degrees(row.AirFMean), b.degrees(row.SurfaceFMin))...)}
		if row.StormID != last {
			r.Mark = "parted"
		}
		if row.IsOpen {
			r.Mark += " open"
			r.Cells[1].Text += ", open"
		}
		last = row.StormID
		table.Rows = append(table.Rows, r)
	}
	return table
}

func (b *book) stripSection(events []event, root string) Section {
	s := Section{ID: "storms", Title: "When the storms came", Text: []string{stripSentence(events)}, Minor: b.minorCount(events), Picture: "strip"}
	if len(events) > 0 {
		s.Figures = []Figure{{Drawing: b.strip(events), Caption: b.unitWords("S snow, F freezing rain, L sleet, M mixed, V varies by zone, U unclassed, D dry. Width: how long; height: inches of water. Open storms are dashed.")}}
		s.Links = []Cell{link("All storms as a table", root+"storms.html")}
	}
	return s
}

// seasonFile is where a season's page stands: the latest one is the front page.
func (b *book) seasonFile(season string) string {
	if season == b.latestSeason() {
		return "index.html"
	}
	return "seasons/" + FileName(season) + ".html"
}

// stormHref leads to a storm's page, "" where the storm is not listed.
func (b *book) stormHref(root, stormID string) string {
	if b.eventByID[stormID] == nil {
		return ""
	}
	return root + "storms/" + FileName(stormID) + ".html"
}
