package site

import (
	"cmp"
	"math"
	"slices"
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
	isToDate     bool // its storms until the day and hour that the data reaches in the season that is running
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
		if date := b.sameDates[other]; isRunning && date != nil {
			list = append(list, stretch{other, other + " to " + b.clock.dayShort(*date), true})
		}
		name := "all of " + other
		if other == b.latestSeason() && b.isSeasonOpen(other) {
			name = other + " so far"
		}
		list = append(list, stretch{season: other, name: name})
	}
	return list
}

// tallyStretch is what the solids of one class came to over the closed storms of a stretch: on one route, or on all where
// routeID is "".
func (b *book) tallyStretch(routeID string, s stretch, class string) Tally {
	part := partSeason
	switch {
	case routeID != "" && s.isToDate:
		part = partRouteToDate
	case routeID != "":
		part = partRoute
	case s.isToDate:
		part = partSeasonToDate
	}
	return b.tallies[tallyKey{part: part, season: s.season, routeID: routeID, class: class}]
}

// pastSection sets a season beside the others: of one route, or of all where routeID is "".
func (b *book) pastSection(season, id, caption, routeID string) Section {
	type past struct {
		name    string
		isFirst bool
		Tally
	}
	s := Section{ID: "other-seasons", Title: "Against other seasons"}
	stretches := b.stretches(season)
	var list []past
	for _, class := range b.sides() {
		var tallies []Tally
		for i, stretch := range stretches {
			t := b.tallyStretch(routeID, stretch, class)
			tallies = append(tallies, t)
			if t.RouteStorms > 0 {
				list = append(list, past{stretch.name, i == 0, t})
			}
		}
		s.Text = append(s.Text, pastSentence(b.units, class, stretches, tallies))
	}
	columns := []Column[past]{seasonColumn(func(p past) string { return p.name }),
		classColumn("", func(p past) string { return p.MaterialClass })}
	s.Tables = []Table{filled(b,
		Table{ID: id, Caption: caption, Download: "storm_routes.csv", Empty: "No solids were reported in a closed storm.",
			Note: "Seasons differ in their storms: the temperatures and the hours to bare lane belong to the pounds beside them."},
		append(columns, at(func(p past) Tally { return p.Tally }, b.pastColumns())...), list,
		marked("parted", func(p past) bool { return p.isFirst }))}
	return s
}

// pastColumns are what a stretch of storms got, with road state and temperature.
func (b *book) pastColumns() []Column[Tally] {
	return append(b.roadColumns(), b.appliedColumn(), stormsColumn("closed"), routeStormsColumn())
}

// roadColumns are pounds with road state and temperature beside them.
func (b *book) roadColumns() []Column[Tally] {
	return slices.Concat([]Column[Tally]{b.rateColumn()}, b.useColumns(), b.stateColumns())
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

// likeStorm is a storm of one zone with what its routes got there, by class.
type likeStorm struct {
	storm              Storm
	acetate, chloride  Tally
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

// withTallies is the zone in a storm with what the solids of each class came to on its routes.
func (b *book) withTallies(zone Storm) likeStorm {
	return likeStorm{storm: zone, acetate: b.zoneTally(zone, b.compareClass()), chloride: b.zoneTally(zone, b.besideClass())}
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

func stormsColumn(unit string) Column[Tally] {
	return wholes("Storms", unit, func(t Tally) int64 { return t.Storms })
}

func routeStormsColumn() Column[Tally] {
	return wholes("Route-storms", "treated", func(t Tally) int64 { return t.RouteStorms })
}

func (b *book) rateColumn() Column[Tally] {
	return numbers(b, "Rate", "lb per lane-mile", massRate, Tally.rate)
}

// useColumns are what a rate does not tell of the pounds.
func (b *book) useColumns() []Column[Tally] {
	return []Column[Tally]{b.useColumn("per storm"), b.stormPoundsColumn()}
}

func (b *book) useColumn(unit string) Column[Tally] {
	return numbers(b, "Applications", unit, hundredths, Tally.applications)
}

func (b *book) stormPoundsColumn() Column[Tally] {
	return numbers(b, "Per storm", "lb per lane-mile of route", massRate, Tally.stormPounds)
}

// stateColumns are road state and temperature, with the share that came bare.
func (b *book) stateColumns() []Column[Tally] {
	return slices.Insert(b.besideColumns(), 1, shares(b, "Came bare", "% of those reported", Tally.bareShare))
}

// besideColumns are what stands beside pounds: road state and temperature.
func (b *book) besideColumns() []Column[Tally] {
	return []Column[Tally]{numbers(b, "Bare lane after", "h", tenths, Tally.regainH),
		numbers(b, "Mean air", "°F", temperature, Tally.airF),
		numbers(b, "Lowest pavement", "°F", temperature, Tally.surfaceF)}
}

// classPair is what acetate and chloride came to in the same storms.
type classPair struct{ acetate, chloride Tally }

func acetateOf(p classPair) Tally  { return p.acetate }
func chlorideOf(p classPair) Tally { return p.chloride }

// pair sets a column of acetate beside the same one of chloride, what as the rest of their heads.
func pair(what string, c Column[Tally]) []Column[classPair] {
	columns := append(at(acetateOf, []Column[Tally]{c}), at(chlorideOf, []Column[Tally]{c})...)
	columns[0].Head, columns[1].Head = "{Acetate} "+what, "{Chloride} "+what
	return columns
}

func (b *book) pairRates() []Column[classPair] { return pair("rate", b.rateColumn()) }

func (b *book) pairApplications() []Column[classPair] {
	return pair("applications", numbers(b, "", "per route", hundredths, Tally.applications))
}

func (b *book) pairStates() []Column[classPair] {
	return pair("bare after", numbers(b, "", "h", tenths, Tally.regainH).showing(roadState))
}

func (b *book) appliedColumn() Column[Tally] {
	return numbers(b, "Applied", "lb", mass, func(t Tally) *float64 { return t.AppliedLb })
}
