package book

import "lanetally/pipeline/rows"

// ClassTally holds one class over a season and over its first and latest third of storms; the thirds are nil below
// FewestForThirds storms.
type ClassTally struct {
	Class         string
	Season        rows.Tally
	First, Latest *rows.Tally
}

// CountClass is what the solids of one class came to over the closed storms of a season.
func (b *Book) CountClass(season, class string) ClassTally {
	c := ClassTally{Class: class, Season: b.Tallies[rows.TallyKey{Part: rows.PartSeason, Season: season, Class: class}]}
	if first, found := b.Tallies[rows.TallyKey{Part: rows.PartFirstThird, Season: season, Class: class}]; found {
		latest := b.Tallies[rows.TallyKey{Part: rows.PartLatestThird, Season: season, Class: class}]
		c.First, c.Latest = &first, &latest
	}
	return c
}

// StormTally is what the solids of one class came to in a storm of a season.
func (b *Book) StormTally(season, stormID, class string) rows.Tally {
	return b.Tallies[rows.TallyKey{Part: rows.PartStorm, Season: season, StormID: stormID, Class: class}]
}

// ZoneTally is StormTally on one zone's routes.
func (b *Book) ZoneTally(zone rows.Storm, class string) rows.Tally {
	return b.Tallies[rows.TallyKey{Part: rows.PartStormZone, Season: zone.Season, StormID: zone.StormID, ZoneID: zone.ZoneID, Class: class}]
}

// RouteTally is what a route's solids of one class came to over the closed storms of a season.
func (b *Book) RouteTally(routeID, season, class string) rows.Tally {
	return b.Tallies[rows.TallyKey{Part: rows.PartRoute, Season: season, RouteID: routeID, Class: class}]
}
