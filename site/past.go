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
	type past struct {
		name, class string
		isFirst     bool
		*tally
	}
	s := Section{ID: "other-seasons", Title: "Against other seasons"}
	stretches := b.stretches(season)
	var list []past
	for _, class := range []string{acetate, chloride} {
		var tallies []*tally
		for i, stretch := range stretches {
			t := b.tallyStretch(rows, stretch, class)
			tallies = append(tallies, t)
			if t.routeStorms > 0 {
				list = append(list, past{stretch.name, class, i == 0, t})
			}
		}
		s.Text = append(s.Text, pastSentence(b.units, class, stretches, tallies))
	}
	columns := []Column[past]{seasonColumn(func(p past) string { return p.name }), classColumn("", func(p past) string { return p.class })}
	s.Tables = []Table{filled(b,
		Table{ID: id, Caption: caption, Download: "storm_routes.csv", Empty: "No solids were reported in a closed storm.",
			Note: "Seasons differ in their storms: the temperatures and the hours to bare lane belong to the pounds beside them."},
		append(columns, at(func(p past) *tally { return p.tally }, b.pastColumns())...), list,
		marked("parted", func(p past) bool { return p.isFirst }))}
	return s
}

// pastColumns are what a stretch of storms got, with road state and temperature.
func (b *book) pastColumns() []Column[*tally] {
	return append(b.roadColumns(), b.appliedColumn(), stormsColumn("closed"), routeStormsColumn())
}

// roadColumns are pounds with road state and temperature beside them.
func (b *book) roadColumns() []Column[*tally] {
	return slices.Concat([]Column[*tally]{b.rateColumn()}, b.useColumns(), b.stateColumns())
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
	zone, nearest := here.storm, alike[0].storm.StormID
	table := Table{ID: "alike-" + FileName(zone.ZoneID), Download: "storm_routes.csv",
		Caption: capital(b.namedZone(zone.ZoneID)) + ": this storm, and those alike, the nearest in severity first"}
	if len(alike) > mostAlike {
		table.Note = "The " + whole(mostAlike) + " nearest of " + whole(len(alike)) + "."
	}
	columns := []Column[likeStorm]{
		cells("Storm", func(l likeStorm) Cell {
			if l.storm.StormID == zone.StormID {
				return Cell{Text: zone.StormID + ", this storm"}
			}
			return b.stormCell("../", l.storm.StormID, false)
		}),
		moments(b, "Began", func(l likeStorm) *time.Time { return &l.storm.BeganAt }),
		numbers(b, "Severity", "0 to 1", hundredths, func(l likeStorm) *float64 { return l.storm.Severity }),
		numbers(b, "Length", "h", tenths, func(l likeStorm) *float64 { return l.storm.Hours })}
	both := at(func(l likeStorm) classPair { return classPair{l.acetate, l.chloride} },
		slices.Concat(b.pairRates(), b.pairApplications(), b.pairStates()))
	return filled(b, table, slices.Concat(columns, both, at(func(l likeStorm) Storm { return l.storm }, b.airColumns())),
		append([]likeStorm{here}, alike[:min(len(alike), mostAlike)]...),
		marked("parted", func(l likeStorm) bool { return l.storm.StormID == nearest }))
}

func stormsColumn(unit string) Column[*tally] {
	return wholes("Storms", unit, func(t *tally) int { return len(t.storms) })
}

func routeStormsColumn() Column[*tally] {
	return wholes("Route-storms", "treated", func(t *tally) int { return t.routeStorms })
}

func (b *book) rateColumn() Column[*tally] {
	return numbers(b, "Rate", "lb per lane-mile", massRate, (*tally).rate)
}

// useColumns are what a rate does not tell of the pounds.
func (b *book) useColumns() []Column[*tally] {
	return []Column[*tally]{numbers(b, "Applications", "per storm", hundredths, (*tally).applications),
		numbers(b, "Per storm", "lb per lane-mile of route", massRate, (*tally).stormPounds)}
}

// stateColumns are road state and temperature, with the share that came bare.
func (b *book) stateColumns() []Column[*tally] {
	return slices.Insert(b.besideColumns(), 1, shares(b, "Came bare", "% of those reported", (*tally).bareShare))
}

// besideColumns are what stands beside pounds: road state and temperature.
func (b *book) besideColumns() []Column[*tally] {
	return []Column[*tally]{numbers(b, "Bare lane after", "h", tenths, (*tally).regainH),
		numbers(b, "Mean air", "°F", temperature, (*tally).airF),
		numbers(b, "Lowest pavement", "°F", temperature, func(t *tally) *float64 { return t.surfaceFMin })}
}

// classPair is what acetate and chloride came to in the same storms.
type classPair struct{ acetate, chloride *tally }

func acetateOf(p classPair) *tally  { return p.acetate }
func chlorideOf(p classPair) *tally { return p.chloride }

// pair sets a column of acetate beside the same one of chloride, what as the rest of their heads.
func pair(what string, c Column[*tally]) []Column[classPair] {
	columns := append(at(acetateOf, []Column[*tally]{c}), at(chlorideOf, []Column[*tally]{c})...)
	columns[0].Head, columns[1].Head = "Acetate "+what, "Chloride "+what
	return columns
}

func (b *book) pairRates() []Column[classPair] { return pair("rate", b.rateColumn()) }

func (b *book) pairApplications() []Column[classPair] {
	return pair("applications", numbers(b, "", "per route", hundredths, (*tally).applications))
}

func (b *book) pairStates() []Column[classPair] {
	return pair("bare after", numbers(b, "", "h", tenths, (*tally).regainH).showing(roadState))
}

func (b *book) appliedColumn() Column[*tally] {
	return numbers(b, "Applied", "lb", mass, func(t *tally) *float64 { return &t.appliedLb })
}
