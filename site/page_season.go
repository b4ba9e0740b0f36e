package site

import (
	"slices"
	"time"
)

// mostFindings is how many lines what needs attention may have.
const mostFindings = 7

// seasonPage builds the page of one season; root leads from it to the top folder.
func (b *book) seasonPage(season, root string) (page, error) {
	events := b.eventsOf(season)
	ac, cl := b.countClass(season, b.compareClass()), b.countClass(season, b.besideClass())
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
	past := b.pastSection(season, "past-seasons", "The season and others, solids in closed storms", "")
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
	var rows []classPart
	for _, c := range []classTally{ac, cl} {
		if c.season.RouteStorms == 0 {
			continue
		}
		rows = append(rows, classPart{c.class, whole, c.season})
		if c.first != nil {
			rows = append(rows, classPart{c.class, "first third", *c.first}, classPart{c.class, "latest third", *c.latest})
		}
	}
	text := []string{thirdsSentence(b.units, ac), thirdsSentence(b.units, cl), useSentence(b.units, ac), useSentence(b.units, cl), b.unitWords(noVerdict)}
	text = slices.DeleteFunc(text, func(s string) bool { return s == "" })
	return Section{ID: "answer-so-far", Title: "The season in numbers", Text: text, Tables: []Table{b.answerTable(whole, rows)}}
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
func (b *book) seasonOrders(rows []Tally) []placedOrder {
	return b.placeOrders(b.seasonBegins(rows), func(Order) bool { return true })
}

func (b *book) seasonCourse(rows []Tally) course {
	c := course{units: b.units}
	byClass := b.classCourses()
	last := ""
	for _, row := range rows {
		if !b.isRated(row.MaterialClass) {
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
	c.classes = []classCourse{*byClass[b.compareClass()], *byClass[b.besideClass()]}
	c.orders = marks(b.seasonOrders(rows))
	return c
}

func (b *book) seasonTable(rows []Tally, root string) Table {
	stormOf := func(t Tally) string { return t.StormID }
	columns := []Column[Tally]{
		stormColumn(b, root, stormOf),
		beganColumn(b, func(t Tally) (*time.Time, bool) { return &t.BeganAt, t.IsOpen }),
		classColumn("", func(t Tally) string { return t.MaterialClass }),
		b.rateColumn(), b.useColumn("per route"), b.stormPoundsColumn(), b.appliedColumn(),
		wholes("Routes", "treated", func(t Tally) int64 { return t.RouteStorms }),
	}
	notBare := wholes("Not bare", "routes", func(t Tally) int64 { return t.NotBare })
	return filled(b, Table{ID: "season-storms", Caption: "Every storm of the season by material class, solids only",
		Download: "storm_routes.csv", Empty: "No storm has a figure yet."},
		append(columns, slices.Insert(b.besideColumns(), 1, notBare)...), rows,
		partedBy(stormOf), marked("open", func(t Tally) bool { return t.IsOpen }))
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

// classPart is what a class came to in a part of a season.
type classPart struct {
	class, part string
	Tally
}

func (b *book) answerTable(whole string, rows []classPart) Table {
	classOf := func(p classPart) string { return p.class }
	columns := slices.Concat(bothBases(b, "Rate", "lb per lane-mile", massRate, Tally.rate, Tally.weighedRate), b.useColumns(),
		b.stateColumns(),
		[]Column[Tally]{stormsColumn("closed"), routeStormsColumn()})
	head := cells("Class and part", func(p classPart) Cell { return Cell{Text: capital(p.class) + ", " + p.part, Class: p.class} })
	return filled(b, Table{ID: "answer", Caption: "Solids in closed storms: the " + whole + ", its first and its latest third",
		Download: "storm_routes.csv", Empty: "No solids were reported in a closed storm.", Note: "Rate: pounds per treated lane-mile. " +
			"Applications and pounds per lane-mile of route: each time a route was treated in a storm. " +
			"Hours to bare lane: from the storm's end, mean over lane-miles reported bare. " +
			"First and latest third: of the class's storms with a rate."},
		append([]Column[classPart]{head}, at(func(p classPart) Tally { return p.Tally }, columns)...), rows, partedBy(classOf))
}
