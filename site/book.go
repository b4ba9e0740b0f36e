package site

import (
	"cmp"
	"slices"
	"sort"
	"time"
)

// book is Data in reading order, with the look-ups that pages share.
type book struct {
	units   // what the pages show; their methods format every figure that has a unit
	data    *Data
	clock   clock
	events  []event // oldest first
	seasons []string

	versions     []versionRow
	queryFiles   map[string]string // by the table that the query makes
	eventByID    map[string]*event
	zones        map[string]Zone
	stations     map[string][]Observation // by zone, in time order
	stationCount map[string]int
	routes       map[string]Route
	routeList    []Route
	crews        map[string]Crew
	crewList     []Crew

	rowsByStorm     map[string][]StormRoute
	rowByKey        map[stormRouteKey]StormRoute
	rowsByRoute     map[string][]StormRoute
	passesByStorm   map[stormZone][]StormPass
	crewRows        map[string][]CrewStorm
	crewsOnRoute    map[stormRoute]int       // crews that put down acetate solids
	crewsInSeason   map[seasonRoute][]string // by crew_id
	hasCorrected    bool                     // some row has pounds by weighed loads
	outsideByRoute  map[string][]OutsideStorm
	coverage        map[string][]covered // by route
	bridges         map[string][]Bridge  // by route
	assignedByRoute map[string][]Assignment
	tallies         map[tallyKey]Tally
	seasonRows      map[string][]Tally    // by storm and class, oldest first
	sameDates       map[string]*time.Time // by season, to set it beside the one that is running

	presentWx     map[string]PresentWx
	eventsByZone  map[string][]WeatherEvent
	severities    map[stormZone]StormSeverity
	outsideReason map[string]string // by pass_key
}

// stormZone names a storm's row of one zone.
type stormZone struct{ stormID, zoneID string }

// stormRouteKey names a row of storm_routes.
type stormRouteKey struct{ stormID, routeID, class, form string }

// event is one storm over all its zones.
type event struct {
	ID, Season       string
	Zones            []Storm // by zone_id
	BeganAt, EndedAt time.Time
	IsOpen           bool
}

// newBook sorts and indexes. Its long lists, passes and observations, are sorted where they stand; else data is left as it is.
func newBook(data *Data) (*book, error) {
	zone, err := time.LoadLocation(data.TimeZone)
	if err != nil {
		return nil, err
	}
	b := &book{units: units{data.Units == Metric, classesOf(data)}, data: data, clock: clock{zone}, queryFiles: filesOfQueries(data.Queries)}
	if b.versions, err = readVersions(versionsText); err != nil {
		return nil, err
	}
	b.readPlaces()
	b.readStorms()
	b.readRows()
	b.readCoverage()
	b.readWeather()
	return b, nil
}

func sorted[T any](list []T, order func(a, b T) int) []T {
	list = slices.Clone(list)
	slices.SortFunc(list, order)
	return list
}

// compareOptional orders numbers that may be missing, a missing one first.
func compareOptional[T cmp.Ordered](x, y *T) int {
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

func grouped[K comparable, T any](list []T, key func(T) K) map[K][]T {
	groups := map[K][]T{}
	for _, item := range list {
		groups[key(item)] = append(groups[key(item)], item)
	}
	return groups
}

// parted is grouped for a list in which the items of a key stand together: its groups are parts of the list, not copies.
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

func (b *book) readPlaces() {
	b.zones, b.routes, b.crews = map[string]Zone{}, map[string]Route{}, map[string]Crew{}
	for _, zone := range b.data.Zones {
		b.zones[zone.ZoneID] = zone
	}
	b.routeList = sorted(b.data.Routes, func(x, y Route) int { return cmp.Compare(x.RouteID, y.RouteID) })
	for _, route := range b.routeList {
		b.routes[route.RouteID] = route
	}
	b.crewList = sorted(b.data.Crews, func(x, y Crew) int { return cmp.Compare(x.CrewID, y.CrewID) })
	for _, crew := range b.crewList {
		b.crews[crew.CrewID] = crew
	}
	assignments := sorted(b.data.Assignments, func(x, y Assignment) int {
		return cmp.Or(cmp.Compare(x.RouteID, y.RouteID), x.FromDate.Compare(y.FromDate))
	})
	b.assignedByRoute = grouped(assignments, func(a Assignment) string { return a.RouteID })
	bridges := sorted(b.data.Bridges, func(x, y Bridge) int { return cmp.Compare(x.FromMi, y.FromMi) })
	b.bridges = grouped(bridges, func(x Bridge) string { return x.RouteID })
}

func (b *book) readStorms() {
	b.eventByID = map[string]*event{}
	rows := sorted(b.data.Storms, func(x, y Storm) int {
		return cmp.Or(cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.ZoneID, y.ZoneID))
	})
	for i, row := range rows {
		if i == 0 || rows[i-1].StormID != row.StormID {
			b.events = append(b.events, event{ID: row.StormID, Season: row.Season, BeganAt: row.BeganAt, EndedAt: row.EndedAt})
		}
		e := &b.events[len(b.events)-1]
		e.Zones = append(e.Zones, row)
		e.IsOpen = e.IsOpen || row.IsOpen
		if row.BeganAt.Before(e.BeganAt) {
			e.BeganAt = row.BeganAt
		}
		if row.EndedAt.After(e.EndedAt) {
			e.EndedAt = row.EndedAt
		}
	}
	slices.SortFunc(b.events, func(x, y event) int {
		return cmp.Or(x.BeganAt.Compare(y.BeganAt), cmp.Compare(x.ID, y.ID))
	})
	for i := range b.events {
		e := &b.events[i]
		b.eventByID[e.ID] = e
		if !slices.Contains(b.seasons, e.Season) {
			b.seasons = append(b.seasons, e.Season)
		}
	}
	for _, row := range b.data.OutsideStorms {
		if !slices.Contains(b.seasons, row.Season) {
			b.seasons = append(b.seasons, row.Season)
		}
	}
	slices.Sort(b.seasons)
}

// began is when a storm began, for putting rows in the storms' order; a storm that is not listed comes last.
func (b *book) began(stormID string) time.Time {
	if e := b.eventByID[stormID]; e != nil {
		return e.BeganAt
	}
	return time.Date(9999, 1, 1, 0, 0, 0, 0, time.UTC)
}

func (b *book) readRows() {
	rows := sorted(b.withCorrected(), func(x, y StormRoute) int {
		return cmp.Or(b.began(x.StormID).Compare(b.began(y.StormID)), cmp.Compare(x.StormID, y.StormID),
			cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form))
	})
	b.rowsByStorm = grouped(rows, func(r StormRoute) string { return r.StormID })
	b.rowByKey = map[stormRouteKey]StormRoute{}
	for _, r := range rows {
		b.rowByKey[stormRouteKey{r.StormID, r.RouteID, r.MaterialClass, r.Form}] = r
	}
	b.rowsByRoute = grouped(rows, func(r StormRoute) string { return r.RouteID })
	slices.SortFunc(b.data.StormPasses, func(x, y StormPass) int {
		return cmp.Or(cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.ZoneID, y.ZoneID), x.BeganAt.Compare(y.BeganAt), cmp.Compare(x.PassKey, y.PassKey))
	})
	b.passesByStorm = parted(b.data.StormPasses, func(p StormPass) stormZone { return stormZone{p.StormID, p.ZoneID} })
	crewRows := sorted(b.data.CrewStorms, func(x, y CrewStorm) int {
		return cmp.Or(b.began(x.StormID).Compare(b.began(y.StormID)), cmp.Compare(x.StormID, y.StormID),
			cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form))
	})
	b.crewRows = grouped(crewRows, func(r CrewStorm) string { return r.CrewID })
	b.readCrewsOnRoute()
	b.hasCorrected = slices.ContainsFunc(b.data.StormRoutesCorrected, func(r StormRouteCorrected) bool { return r.CorrectedLb != nil })
	outside := sorted(b.data.OutsideStorms, func(x, y OutsideStorm) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.RouteID, y.RouteID),
			cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form))
	})
	b.outsideByRoute = grouped(outside, func(r OutsideStorm) string { return r.RouteID })
	b.readTallies()
}

func (b *book) readTallies() {
	b.tallies, b.sameDates = map[tallyKey]Tally{}, map[string]*time.Time{}
	var storms []Tally
	for _, t := range b.data.Tallies {
		b.tallies[t.key()] = t
		if t.Part == partStorm {
			storms = append(storms, t)
		}
	}
	b.seasonRows = grouped(sorted(storms, func(x, y Tally) int {
		return cmp.Or(x.BeganAt.Compare(y.BeganAt), cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.MaterialClass, y.MaterialClass))
	}), func(t Tally) string { return t.Season })
	for _, s := range b.data.SeasonDates {
		b.sameDates[s.Season] = s.SameDateAt
	}
}

func (b *book) readWeather() {
	zoneOf := map[string]string{}
	b.stationCount = map[string]int{}
	for _, station := range b.data.Stations {
		zoneOf[station.StationID] = station.ZoneID
		b.stationCount[station.ZoneID]++
	}
	slices.SortFunc(b.data.Observations, func(x, y Observation) int {
		return cmp.Or(cmp.Compare(zoneOf[x.StationID], zoneOf[y.StationID]), x.ObservedAt.Compare(y.ObservedAt), cmp.Compare(x.StationID, y.StationID))
	})
	b.stations = parted(b.data.Observations, func(o Observation) string { return zoneOf[o.StationID] })
	b.readWeatherWords(zoneOf)
}

// weather is the zone's observations from begin to end, both included, in time order.
func (b *book) weather(zoneID string, begin, end time.Time) []Observation {
	list := b.stations[zoneID]
	at := func(o Observation, t time.Time) int { return o.ObservedAt.Compare(t) }
	first, _ := slices.BinarySearchFunc(list, begin, at)
	last, _ := slices.BinarySearchFunc(list, end.Add(time.Nanosecond), at)
	return list[first:last]
}

// zoneRow is the storm's row of one zone; found is false where there is none.
func (b *book) zoneRow(stormID, zoneID string) (row Storm, found bool) {
	e := b.eventByID[stormID]
	if e == nil {
		return Storm{}, false
	}
	// Searched, for a state's storm has hundreds of zones and several columns of a row ask.
	i := sort.Search(len(e.Zones), func(i int) bool { return e.Zones[i].ZoneID >= zoneID })
	if i == len(e.Zones) || e.Zones[i].ZoneID != zoneID {
		return Storm{}, false
	}
	return e.Zones[i], true
}

// eventsOf lists a season's storms, oldest first.
func (b *book) eventsOf(season string) []event {
	var list []event
	for _, e := range b.events {
		if e.Season == season {
			list = append(list, e)
		}
	}
	return list
}

// routeName is the route's name with its id, or the id alone where routes.csv has no name for it.
func (b *book) routeName(routeID string) string {
	if name := b.routes[routeID].Name; name != "" && name != routeID {
		return isolated(routeID + " " + name)
	}
	return isolated(routeID)
}

// longestShown is how many characters of a name a table shows; the name's own page has it whole.
const longestShown = 48

// routeShort is routeName, cut for tables.
func (b *book) routeShort(routeID string) string {
	return shortened(b.routeName(routeID), longestShown)
}

// zoneName is the zone's name, or its id.
func (b *book) zoneName(zoneID string) string {
	return isolated(cmp.Or(b.zones[zoneID].Name, zoneID))
}

// namedZone is the zone's name after the word zone, where it does not begin with that word.
func (b *book) namedZone(zoneID string) string { return named("zone", b.zoneName(zoneID)) }

// crewName is the crew's id, with its label where the district publishes labels.
func (b *book) crewName(crewID string) string {
	if label := b.crews[crewID].Label; b.data.CrewLabels && label != "" && label != crewID {
		return isolated(crewID + " " + label)
	}
	return isolated(crewID)
}

// through says how far the data reaches, with the time zone named.
func (b *book) through() string {
	if b.data.AsOf == nil {
		return ""
	}
	return b.clock.moment(*b.data.AsOf) + " (" + b.data.TimeZone + ")"
}
