// Package book is the night's tables in reading order, with the look-ups, judgements and privacy that pages share.
//
// In: Data, plain rows. Out: a Book. Nothing is read but Data and the list of versions embedded here.
package book

import (
	"cmp"
	"slices"
	"sort"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// Book is Data in reading order, with the look-ups that pages share.
type Book struct {
	format.Units // what the pages show; their methods format every figure that has a unit
	Data         *Data
	Clock        format.Clock
	Events       []Event // oldest first
	Seasons      []string

	Versions     []VersionRow
	QueryFiles   map[string]string // by the table that the query makes
	EventByID    map[string]*Event
	zones        map[string]rows.Zone
	stations     map[string][]rows.Observation // by zone, in time order
	stationCount map[string]int
	Routes       map[string]rows.Route
	RouteList    []rows.Route
	crews        map[string]rows.Crew
	CrewList     []rows.Crew

	RowsByStorm     map[string][]rows.StormRoute
	rowByKey        map[stormRouteKey]rows.StormRoute
	RowsByRoute     map[string][]rows.StormRoute
	PassesByStorm   map[StormZone][]rows.StormPass
	CrewRows        map[string][]rows.CrewStorm
	crewsOnRoute    map[stormRoute]int       // crews that put down acetate solids
	CrewsInSeason   map[SeasonRoute][]string // by crew_id
	HasCorrected    bool                     // some row has pounds by weighed loads
	OutsideByRoute  map[string][]rows.OutsideStorm
	Coverage        map[string][]Covered     // by route
	Bridges         map[string][]rows.Bridge // by route
	AssignedByRoute map[string][]rows.Assignment
	Tallies         map[rows.TallyKey]rows.Tally
	SeasonRows      map[string][]rows.Tally // by storm and class, oldest first
	sameDates       map[string]*time.Time   // by season, to set it beside the one that is running

	PresentWx     map[string]rows.PresentWx
	eventsByZone  map[string][]rows.WeatherEvent
	Severities    map[StormZone]rows.StormSeverity
	OutsideReason map[string]string // by pass_key
}

// StormZone names a storm's row of one zone.
type StormZone struct{ StormID, ZoneID string }

// stormRouteKey names a row of storm_routes.
type stormRouteKey struct{ stormID, routeID, class, form string }

// Event is one storm over all its zones.
type Event struct {
	ID, Season       string
	Zones            []rows.Storm // by zone_id
	BeganAt, EndedAt time.Time
	IsOpen           bool
}

// NewBook sorts and indexes. Its long lists, passes and observations, are sorted where they stand; else data is left as it is.
func NewBook(data *Data) (*Book, error) {
	zone, err := time.LoadLocation(data.TimeZone)
	if err != nil {
		return nil, err
	}
	b := &Book{Units: format.Units{IsMetric: data.Units == rows.Metric, Classes: ClassesOf(data)}, Data: data,
		Clock: format.Clock{Zone: zone}, QueryFiles: filesOfQueries(data.Queries)}
	b.Units.BareCapH = b.Setting("bare_cap_h")
	if b.Versions, err = ReadVersions(VersionsText); err != nil {
		return nil, err
	}
	b.readPlaces()
	b.readStorms()
	b.readRows()
	b.readCoverage()
	b.readWeather()
	return b, nil
}

// Sorted is a sorted copy of a list; items that order calls equal stand in no set order.
func Sorted[T any](list []T, order func(a, b T) int) []T {
	list = slices.Clone(list)
	slices.SortFunc(list, order)
	return list
}

// CompareOptional orders numbers that may be missing, a missing one first.
func CompareOptional[T cmp.Ordered](x, y *T) int {
	switch {
	case x == nil && y == nil:
		return 0
	case x == nil:
		return -1
	case y == nil:
		return 1
	}
	return cmp.Compare(*x, *y)
}

// Where are the items of a list that keep tells, in its order; nil without one.
func Where[T any](list []T, keep func(T) bool) []T {
	var kept []T
	for _, item := range list {
		if keep(item) {
			kept = append(kept, item)
		}
	}
	return kept
}

// CountOf counts the items of a list that is tells.
func CountOf[T any](list []T, is func(T) bool) int { return len(Where(list, is)) }

// indexed has the items of a list by key, the last of those alike.
func indexed[K comparable, T any](list []T, key func(T) K) map[K]T {
	byKey := make(map[K]T, len(list))
	for _, item := range list {
		byKey[key(item)] = item
	}
	return byKey
}

// Grouped parts a list by key; within a group items keep their order.
func Grouped[K comparable, T any](list []T, key func(T) K) map[K][]T {
	groups := map[K][]T{}
	for _, item := range list {
		groups[key(item)] = append(groups[key(item)], item)
	}
	return groups
}

// parted is Grouped for a list in which the items of a key stand together: its groups are parts of the list, not copies.
func parted[K comparable, T any](list []T, key func(T) K) map[K][]T {
	groups := map[K][]T{}
	for begin := 0; begin < len(list); {
		end := begin + 1
		for end < len(list) && key(list[end]) == key(list[begin]) {
			end++
		}
		groups[key(list[begin])] = list[begin:end:end]
		begin = end
	}
	return groups
}

func (b *Book) readPlaces() {
	b.zones = indexed(b.Data.Zones, func(z rows.Zone) string { return z.ZoneID })
	b.RouteList = Sorted(b.Data.Routes, func(x, y rows.Route) int { return cmp.Compare(x.RouteID, y.RouteID) })
	b.Routes = indexed(b.RouteList, func(r rows.Route) string { return r.RouteID })
	b.CrewList = Sorted(b.Data.Crews, func(x, y rows.Crew) int { return cmp.Compare(x.CrewID, y.CrewID) })
	b.crews = indexed(b.CrewList, func(c rows.Crew) string { return c.CrewID })
	assignments := Sorted(b.Data.Assignments, func(x, y rows.Assignment) int {
		return cmp.Or(cmp.Compare(x.RouteID, y.RouteID), x.FromDate.Compare(y.FromDate))
	})
	b.AssignedByRoute = Grouped(assignments, func(a rows.Assignment) string { return a.RouteID })
	bridges := Sorted(b.Data.Bridges, func(x, y rows.Bridge) int { return cmp.Compare(x.FromMi, y.FromMi) })
	b.Bridges = Grouped(bridges, func(x rows.Bridge) string { return x.RouteID })
}

func (b *Book) readStorms() {
	b.EventByID = map[string]*Event{}
	rows := Sorted(b.Data.Storms, func(x, y rows.Storm) int {
		return cmp.Or(cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.ZoneID, y.ZoneID))
	})
	for i, row := range rows {
		if i == 0 || rows[i-1].StormID != row.StormID {
			b.Events = append(b.Events, Event{ID: row.StormID, Season: row.Season, BeganAt: row.BeganAt, EndedAt: row.EndedAt})
		}
		e := &b.Events[len(b.Events)-1]
		e.Zones = append(e.Zones, row)
		e.IsOpen = e.IsOpen || row.IsOpen
		if row.BeganAt.Before(e.BeganAt) {
			e.BeganAt = row.BeganAt
		}
		if row.EndedAt.After(e.EndedAt) {
			e.EndedAt = row.EndedAt
		}
	}
	slices.SortFunc(b.Events, func(x, y Event) int {
		return cmp.Or(x.BeganAt.Compare(y.BeganAt), cmp.Compare(x.ID, y.ID))
	})
	for i := range b.Events {
		e := &b.Events[i]
		b.EventByID[e.ID] = e
		if !slices.Contains(b.Seasons, e.Season) {
			b.Seasons = append(b.Seasons, e.Season)
		}
	}
	for _, row := range b.Data.OutsideStorms {
		if !slices.Contains(b.Seasons, row.Season) {
			b.Seasons = append(b.Seasons, row.Season)
		}
	}
	slices.Sort(b.Seasons)
}

// Began is when a storm began, for putting rows in the storms' order; a storm that is not listed comes last.
func (b *Book) Began(stormID string) time.Time {
	if e := b.EventByID[stormID]; e != nil {
		return e.BeganAt
	}
	return time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)
}

// CompareStorms puts storms in their order: by begin, then by id.
func (b *Book) CompareStorms(x, y string) int {
	return cmp.Or(b.Began(x).Compare(b.Began(y)), cmp.Compare(x, y))
}

func (b *Book) readRows() {
	list := Sorted(b.withCorrected(), func(x, y rows.StormRoute) int {
		return cmp.Or(b.CompareStorms(x.StormID, y.StormID),
			cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form))
	})
	b.RowsByStorm = Grouped(list, func(r rows.StormRoute) string { return r.StormID })
	b.rowByKey = indexed(list, func(r rows.StormRoute) stormRouteKey {
		return stormRouteKey{r.StormID, r.RouteID, r.MaterialClass, r.Form}
	})
	b.RowsByRoute = Grouped(list, func(r rows.StormRoute) string { return r.RouteID })
	slices.SortFunc(b.Data.StormPasses, func(x, y rows.StormPass) int {
		return cmp.Or(cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.ZoneID, y.ZoneID), x.BeganAt.Compare(y.BeganAt),
			cmp.Compare(x.PassKey, y.PassKey))
	})
	b.PassesByStorm = parted(b.Data.StormPasses, func(p rows.StormPass) StormZone { return StormZone{p.StormID, p.ZoneID} })
	crewRows := Sorted(b.Data.CrewStorms, func(x, y rows.CrewStorm) int {
		return cmp.Or(b.CompareStorms(x.StormID, y.StormID),
			cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form))
	})
	b.CrewRows = Grouped(crewRows, func(r rows.CrewStorm) string { return r.CrewID })
	b.readCrewsOnRoute()
	b.HasCorrected = slices.ContainsFunc(b.Data.StormRoutesCorrected, func(r rows.StormRouteCorrected) bool { return r.CorrectedLb != nil })
	outside := Sorted(b.Data.OutsideStorms, func(x, y rows.OutsideStorm) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.RouteID, y.RouteID),
			cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form))
	})
	b.OutsideByRoute = Grouped(outside, func(r rows.OutsideStorm) string { return r.RouteID })
	b.readTallies()
}

func (b *Book) readTallies() {
	b.Tallies, b.sameDates = map[rows.TallyKey]rows.Tally{}, map[string]*time.Time{}
	var storms []rows.Tally
	for _, t := range b.Data.Tallies {
		b.Tallies[t.Key()] = t
		if t.Part == rows.PartStorm {
			storms = append(storms, t)
		}
	}
	b.SeasonRows = Grouped(Sorted(storms, func(x, y rows.Tally) int {
		return cmp.Or(x.BeganAt.Compare(y.BeganAt), cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.MaterialClass, y.MaterialClass))
	}), func(t rows.Tally) string { return t.Season })
	for _, s := range b.Data.SeasonDates {
		b.sameDates[s.Season] = s.SameDateAt
	}
}

func (b *Book) readWeather() {
	zoneOf := map[string]string{}
	b.stationCount = map[string]int{}
	for _, station := range b.Data.Stations {
		zoneOf[station.StationID] = station.ZoneID
		b.stationCount[station.ZoneID]++
	}
	slices.SortFunc(b.Data.Observations, func(x, y rows.Observation) int {
		return cmp.Or(cmp.Compare(zoneOf[x.StationID], zoneOf[y.StationID]), x.ObservedAt.Compare(y.ObservedAt),
			cmp.Compare(x.StationID, y.StationID))
	})
	b.stations = parted(b.Data.Observations, func(o rows.Observation) string { return zoneOf[o.StationID] })
	b.readWeatherWords(zoneOf)
}

// Weather is the zone's observations from begin to end, both included, in time order.
func (b *Book) Weather(zoneID string, begin, end time.Time) []rows.Observation {
	list := b.stations[zoneID]
	at := func(o rows.Observation, t time.Time) int { return o.ObservedAt.Compare(t) }
	first, _ := slices.BinarySearchFunc(list, begin, at)
	last, _ := slices.BinarySearchFunc(list, end.Add(time.Nanosecond), at)
	return list[first:last]
}

// ZoneRow is the storm's row of one zone; found is false where there is none.
func (b *Book) ZoneRow(stormID, zoneID string) (row rows.Storm, found bool) {
	e := b.EventByID[stormID]
	if e == nil {
		return rows.Storm{}, false
	}
	// Searched, for a state's storm has hundreds of zones and several columns of a row ask.
	i := sort.Search(len(e.Zones), func(i int) bool { return e.Zones[i].ZoneID >= zoneID })
	if i == len(e.Zones) || e.Zones[i].ZoneID != zoneID {
		return rows.Storm{}, false
	}
	return e.Zones[i], true
}

// EventsOf lists a season's storms, oldest first.
func (b *Book) EventsOf(season string) []Event {
	return Where(b.Events, func(e Event) bool { return e.Season == season })
}

// RouteName is the route's name with its id, or the id alone where routes.csv has no name for it.
func (b *Book) RouteName(routeID string) string {
	if name := b.Routes[routeID].Name; name != "" && name != routeID {
		return format.Isolated(routeID + " " + name)
	}
	return format.Isolated(routeID)
}

// longestShown is how many characters of a name a table shows; the name's own page has it whole.
const longestShown = 48

// RouteShort is RouteName, cut for tables.
func (b *Book) RouteShort(routeID string) string {
	return format.Shortened(b.RouteName(routeID), longestShown)
}

// ZoneName is the zone's name, or its id.
func (b *Book) ZoneName(zoneID string) string {
	return format.Isolated(cmp.Or(b.zones[zoneID].Name, zoneID))
}

// NamedZone is the zone's name after the word zone, where it does not begin with that word.
func (b *Book) NamedZone(zoneID string) string { return format.Named("zone", b.ZoneName(zoneID)) }

// CrewName is the crew's id, with its label where the district publishes labels.
func (b *Book) CrewName(crewID string) string {
	if label := b.crews[crewID].Label; b.Data.CrewLabels && label != "" && label != crewID {
		return format.Isolated(crewID + " " + label)
	}
	return format.Isolated(crewID)
}

// Through says how far the data reaches, with the time zone named.
func (b *Book) Through() string {
	if b.Data.AsOf == nil {
		return ""
	}
	return b.Clock.Moment(*b.Data.AsOf) + " (" + b.Data.TimeZone + ")"
}

// ClassesOf puts the sides first, then those that are not compared, each by name.
func ClassesOf(data *Data) format.Classes {
	sides := []string{cmp.Or(data.Compare, rows.Acetate), cmp.Or(data.Beside, rows.Chloride)}
	list := data.MaterialClasses
	if len(list) == 0 {
		list = format.UsualClasses.List
	}
	place := func(c rows.MaterialClass) int {
		if at := slices.Index(sides, c.Class); at >= 0 {
			return at
		} else if c.IsCompared {
			return len(sides) + 1
		}
		return len(sides)
	}
	return format.Classes{List: Sorted(list, func(x,
		y rows.MaterialClass) int {
		return cmp.Or(place(x)-place(y), strings.Compare(x.Class, y.Class))
	})}
}
