package site

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"time"
)

// likeSeverity is how far two severities (0 to 1) may lie apart in storms that are alike.
const likeSeverity = 0.1

// mostAlike is how many like storms a zone's table holds.
const mostAlike = 10

// fewestAlike is the least number of like storms that tell what is usual.
const fewestAlike = 3

// stretch is a part of seasons' storms that is tallied as one: a season, or its part to a date.
type stretch struct {
	season, name string
	before       time.Time // storms that began before it; the zero time for all
}

// stretches lists the season first, then every other season, the latest first; each also to the date that the data reaches
// where the season is still running, so that like is set beside like.
func (b *book) stretches(season string) []stretch {
	list := []stretch{{season: season, name: season}}
	isRunning := season == b.latestSeason() && b.data.AsOf != nil
	if isRunning {
		list[0].name += " so far"
	}
	for _, other := range slices.Backward(b.seasons) {
		if other == season {
			continue
		}
		if years := firstYear(season) - firstYear(other); isRunning && years > 0 {
			before := b.data.AsOf.In(b.clock.zone).AddDate(-years, 0, 0)
			list = append(list, stretch{other, other + " to " + b.clock.dayShort(before), before})
		}
		name := "all of " + other
		if other == b.latestSeason() && b.isSeasonOpen(other) {
			name = other + " so far"
		}
		list = append(list, stretch{season: other, name: name})
	}
	return list
}

// firstYear is 2030 for the season 2030-31; 0 for a name of another form.
func firstYear(season string) int {
	year, _ := strconv.Atoi(season[:min(4, len(season))])
	return year
}

// tallyStretch sums the solids of one class over the closed storms of a stretch; rows come in the storms' order.
func (b *book) tallyStretch(rows []StormRoute, s stretch, class string) *tally {
	t := &tally{}
	for _, row := range rows {
		e := b.eventByID[row.StormID]
		storm, found := b.zoneRow(row.StormID, row.ZoneID)
		if !found || e.IsOpen || e.Season != s.season || (!s.before.IsZero() && !e.BeganAt.Before(s.before)) {
			continue
		}
		if row.MaterialClass == class && row.Form == solid {
			t.add(row, storm)
		}
	}
	return t
}

// pastSection sets a season beside the others: of all routes, or of those whose rows are given.
func (b *book) pastSection(season, id, caption string, rows []StormRoute) Section {
	s := Section{ID: "other-seasons", Title: "Against other seasons"}
	stretches := b.stretches(season)
	table := Table{ID: id, Caption: caption, Download: "storm_routes.csv", Columns: append([]Column{words("Season"), words("Class")}, pastColumns()...),
		Empty: "No solids were reported in a closed storm.", Note: "Seasons differ in their storms: the temperatures and the hours to bare lane belong to the pounds beside them."}
	for _, class := range []string{acetate, chloride} {
		var tallies []*tally
		for i, stretch := range stretches {
			t := b.tallyStretch(rows, stretch, class)
			tallies = append(tallies, t)
			if t.routeStorms == 0 {
				continue
			}
			row := Row{Cells: append([]Cell{{Text: stretch.name}, {Text: class, Class: class}}, b.pastCells(t)...)}
			if i == 0 {
				row.Mark = "parted"
			}
			table.Rows = append(table.Rows, row)
		}
		s.Text = append(s.Text, pastSentence(b.units, class, stretches, tallies))
	}
	s.Tables = []Table{table}
	return s
}

// pastColumns are what a stretch of storms got, with road state and temperature; pastCells fills them.
func pastColumns() []Column {
	return append(roadColumns(), figures("Applied", "lb"), figures("Storms", "closed"), figures("Route-storms", "treated"))
}

func (b *book) pastCells(t *tally) []Cell {
	return append(b.roadCells(t), cells(b.pounds(&t.appliedLb), whole(len(t.storms)), whole(t.routeStorms))...)
}

// roadColumns are pounds with road state and temperature beside them; roadCells fills them.
func roadColumns() []Column {
	return []Column{figures("Rate", "lb per lane-mile"), figures("Applications", "per storm"), figures("Per storm", "lb per lane-mile of route"), figures("Bare lane after", "h"),
		figures("Came bare", "% of those reported"), figures("Mean air", "°F"), figures("Lowest pavement", "°F")}
}

func (b *book) roadCells(t *tally) []Cell {
	return cells(b.rate(t.rate()), applications(t.applications()), b.rate(t.stormPounds()), hours(t.regainH()), percent(t.bareShare()), b.degrees(t.airF()), b.degrees(t.surfaceFMin))
}

// seasonLinks lead to the other seasons' pages.
func (b *book) seasonLinks(season, root string) []Cell {
	var links []Cell
	for _, other := range slices.Backward(b.seasons) {
		if other != season {
			links = append(links, link("Season "+other, root+b.seasonFile(other)))
		}
	}
	return links
}

// allStormRows are the rows of all storms, oldest first.
func (b *book) allStormRows() []StormRoute {
	var rows []StormRoute
	for _, e := range b.events {
		rows = append(rows, b.rowsByStorm[e.ID]...)
	}
	return rows
}

// likeStorm is a storm of one zone with what its routes got there, by class.
type likeStorm struct {
	storm              Storm
	acetate, chloride  *tally
	severityDifference float64
}

// likeStorms lists the zone's other closed storms of the same kind whose severity is within likeSeverity, the nearest
// first; nil also where the storm's own kind or severity is unknown.
func (b *book) likeStorms(zone Storm) []likeStorm {
	if zone.Severity == nil || zone.Kind == "" {
		return nil
	}
	var list []likeStorm
	for _, e := range b.events {
		other, found := b.zoneRow(e.ID, zone.ZoneID)
		if !found || e.IsOpen || e.ID == zone.StormID || other.Kind != zone.Kind || other.Severity == nil {
			continue
		}
		// A difference of just 0.1 counts; 1e-9 takes up what binary fractions add to it.
		if difference := math.Abs(*other.Severity - *zone.Severity); difference <= likeSeverity+1e-9 {
			like := b.withTallies(other)
			like.severityDifference = difference
			list = append(list, like)
		}
	}
	slices.SortStableFunc(list, func(x, y likeStorm) int {
		return cmp.Or(cmp.Compare(x.severityDifference, y.severityDifference), y.storm.BeganAt.Compare(x.storm.BeganAt))
	})
	return list
}

// withTallies sums what the solids of each class came to on the zone's routes in a storm.
func (b *book) withTallies(zone Storm) likeStorm {
	like := likeStorm{storm: zone, acetate: &tally{}, chloride: &tally{}}
	for _, row := range b.rowsByStorm[zone.StormID] {
		if row.ZoneID != zone.ZoneID || row.Form != solid {
			continue
		}
		switch row.MaterialClass {
		case acetate:
			like.acetate.add(row, zone)
		case chloride:
			like.chloride.add(row, zone)
		}
	}
	return like
}

// likeSection sets a storm beside its like, zone by zone.
func (b *book) likeSection(e event) Section {
	s := Section{ID: "alike", Title: "Against storms of the same kind and severity"}
	for _, zone := range e.Zones {
		here, alike := b.withTallies(zone), b.likeStorms(zone)
		s.Text = append(s.Text, likeSentence(b.units, b.zoneName(zone.ZoneID), here, alike))
		if len(alike) > 0 {
			s.Tables = append(s.Tables, b.likeTable(here, alike))
		}
	}
	return s
}

func (b *book) likeTable(here likeStorm, alike []likeStorm) Table {
	zone := here.storm
	table := Table{ID: "alike-" + FileName(zone.ZoneID), Caption: capital(b.namedZone(zone.ZoneID)) + ": this storm, and those alike, the nearest in severity first", Download: "storm_routes.csv",
		Columns: []Column{words("Storm"), words("Began"), figures("Severity", "0 to 1"), figures("Length", "h"), figures("Acetate rate", "lb per lane-mile"), figures("Chloride rate", "lb per lane-mile"),
			figures("Acetate applications", "per route"), figures("Chloride applications", "per route"), figures("Acetate bare after", "h"), figures("Chloride bare after", "h"),
			figures("Mean air", "°F"), figures("Lowest pavement", "°F")}}
	for i, like := range append([]likeStorm{here}, alike[:min(len(alike), mostAlike)]...) {
		storm := like.storm
		head := link(storm.StormID, b.stormHref("../", storm.StormID))
		mark := ""
		if i == 0 {
			head = Cell{Text: storm.StormID + ", this storm"}
		} else if i == 1 {
			mark = "parted"
		}
		table.Rows = append(table.Rows, Row{Mark: mark, Cells: append([]Cell{head}, cells(b.clock.moment(storm.BeganAt), fixed(storm.Severity, 2), hours(storm.Hours), b.rate(like.acetate.rate()), b.rate(like.chloride.rate()),
			applications(like.acetate.applications()), applications(like.chloride.applications()), roadState(like.acetate), roadState(like.chloride), b.degrees(storm.AirFMean), b.degrees(storm.SurfaceFMin))...)})
	}
	if more := len(alike) - mostAlike; more > 0 {
		table.Note = "The " + whole(mostAlike) + " nearest of " + whole(len(alike)) + "."
	}
	return table
}
