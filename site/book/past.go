package book

import (
	"cmp"
	"math"
	"slices"

	"lanetally/pipeline/rows"
)

// LikeSeverity is how far two severities (0 to 1) may lie apart in storms that are alike.
const LikeSeverity = 0.1

// MostAlike is how many like storms a zone's table holds.
const MostAlike = 10

// FewestAlike is the least number of like storms that tell what is usual.
const FewestAlike = 3

// Stretch is a part of seasons' storms that is tallied as one: a season, or its part to a date.
type Stretch struct {
	Season, Name string
	IsToDate     bool // its storms until the day and hour that the data reaches in the season that is running
}

// Stretches lists the season first, then every other season, the latest first; each also to the date that the data reaches
// where the season is still running, so that like is set beside like.
func (b *Book) Stretches(season string) []Stretch {
	list := []Stretch{{Season: season, Name: season}}
	isRunning := season == b.LatestSeason() && b.Data.AsOf != nil
	if isRunning {
		list[0].Name += " so far"
	}
	for _, other := range slices.Backward(b.Seasons) {
		if other == season {
			continue
		}
		if date := b.sameDates[other]; isRunning && date != nil {
			list = append(list, Stretch{other, other + " to " + b.Clock.DayShort(*date), true})
		}
		name := "all of " + other
		if other == b.LatestSeason() && b.IsSeasonOpen(other) {
			name = other + " so far"
		}
		list = append(list, Stretch{Season: other, Name: name})
	}
	return list
}

// TallyStretch is what the solids of one class came to over the closed storms of a stretch: on one route, or on all where
// routeID is "".
func (b *Book) TallyStretch(routeID string, s Stretch, class string) rows.Tally {
	part := rows.PartSeason
	switch {
	case routeID != "" && s.IsToDate:
		part = rows.PartRouteToDate
	case routeID != "":
		part = rows.PartRoute
	case s.IsToDate:
		part = rows.PartSeasonToDate
	}
	return b.Tallies[rows.TallyKey{Part: part, Season: s.Season, RouteID: routeID, Class: class}]
}

// LikeStorm is a storm of one zone with what its routes got there, by class.
type LikeStorm struct {
	Storm              rows.Storm
	Acetate, Chloride  rows.Tally
	severityDifference float64
}

// LikeStorms lists the zone's other closed storms of the same kind whose severity is within LikeSeverity, the nearest
// first; nil also where the storm's own kind or severity is unknown.
func (b *Book) LikeStorms(zone rows.Storm) []LikeStorm {
	if zone.Severity == nil || zone.Kind == "" {
		return nil
	}
	var list []LikeStorm
	for _, e := range b.Events {
		other, found := b.ZoneRow(e.ID, zone.ZoneID)
		if !found || e.IsOpen || e.ID == zone.StormID || other.Kind != zone.Kind || other.Severity == nil {
			continue
		}
		// A difference of just 0.1 counts; 1e-9 takes up what binary fractions add to it.
		if difference := math.Abs(*other.Severity - *zone.Severity); difference <= LikeSeverity+1e-9 {
			like := b.WithTallies(other)
			like.severityDifference = difference
			list = append(list, like)
		}
	}
	slices.SortStableFunc(list, func(x, y LikeStorm) int {
		return cmp.Or(cmp.Compare(x.severityDifference, y.severityDifference), y.Storm.BeganAt.Compare(x.Storm.BeganAt))
	})
	return list
}

// WithTallies is the zone in a storm with what the solids of each class came to on its routes.
func (b *Book) WithTallies(zone rows.Storm) LikeStorm {
	return LikeStorm{Storm: zone, Acetate: b.ZoneTally(zone, b.CompareClass()), Chloride: b.ZoneTally(zone, b.BesideClass())}
}
