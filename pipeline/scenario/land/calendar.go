package land

import (
	"math"
	"slices"
	"time"
)

// The kinds of weather events that the calendar plans.
const (
	KindSnow     = "snow"
	KindFreezing = "freezing rain"
	KindSleet    = "sleet"
	KindMixed    = "mixed"
	KindBlowing  = "blowing snow"
	kindRain     = "rain"
	kindCold     = "dry cold"
	kindFlurry   = "flurry"
)

// event is one planned spell of weather, at the first zone it reaches.
type event struct {
	kind      string
	season    int
	began     time.Time
	hours     float64
	airF      float64 // air temperature in its middle, district mean
	trendF    float64 // change of air temperature over its length
	peakInH   float64 // water equivalent at its height, inches an hour
	windMph   float64
	tailHours float64 // blowing snow after the snow has ended
	lullFrom  float64 // a lull without precipitation, hours from began; 0: none
	lullHours float64
	misses    int        // zone that it passes by; -1: none
	lateMin   [3]float64 // how much later than its usual delay it reaches each zone
}

// IsStorm tells all kinds but rain, dry cold and flurry.
func (e event) IsStorm() bool {
	return e.kind != kindRain && e.kind != kindCold && e.kind != kindFlurry
}

// span is the part of a season that has weather reports.
type span struct{ From, To time.Time }

var (
	Spans = [2]span{
		{time.Date(2027, 10, 15, 0, 0, 0, 0, time.UTC), time.Date(2028, 4, 21, 0, 0, 0, 0, time.UTC)},
		{time.Date(2028, 10, 15, 0, 0, 0, 0, time.UTC), time.Date(2029, 3, 6, 4, 5, 0, 0, time.UTC)},
	}
	SeasonNames = [2]string{"2027-28", "2028-29"}
)

// The planted nights. Times are local.
const (
	clockNight  = "2028-11-04 21:20" // a storm over the autumn change of 5 November 2028
	lastStorm   = "2029-03-05 13:30" // still open when the data end
	pairedDay   = "2028-01-18 00:40" // two storms on one local date
	stormsAYear = 25
)

// PlanEvents lists both seasons' weather in order of time. Storms lie at least 6 h of dry weather apart.
func PlanEvents(seed uint64, place *time.Location) []event {
	d := NewDraw(seed, "calendar")
	first := planStorms(d, 0, localTime("2027-10-24 00:00", place), localTime("2028-04-11 00:00", place))
	first = withPair(first, place)
	second := planStorms(d, 1, localTime("2028-10-24 00:00", place), localTime("2029-03-06 00:00", place))
	moveNearest(second, localTime(clockNight, place), 10.5)
	last := &second[len(second)-1]
	last.began, last.hours, last.kind, last.misses = localTime(lastStorm, place), 20, KindSnow, -1
	last.airF, last.peakInH, last.trendF = 25, 0.05, -3
	separate(first)
	separate(second)
	return append(withQuietWeather(d, first, 0), withQuietWeather(d, second, 1)...)
}

// planStorms puts one storm in each of equal slots between from and to.
func planStorms(d Draw, season int, from, to time.Time) []event {
	storms := make([]event, 0, stormsAYear+1)
	slot := to.Sub(from).Hours() / stormsAYear
	for i := range stormsAYear {
		at := from.Add(Hours(slot * (float64(i) + d.Between(0.05, 0.50))))
		storms = append(storms, drawStorm(d, season, i, at.Truncate(20*time.Minute)))
	}
	return storms
}

// stormKinds is the season's order of kinds: mostly snow, the icy ones toward the ends of the winter.
var stormKinds = [stormsAYear]string{
	KindSnow, KindMixed, KindSnow, KindFreezing, KindSnow, KindSnow, KindBlowing, KindSnow, KindSleet, KindSnow,
	KindBlowing, KindSnow, KindSnow, KindMixed, KindSnow, KindBlowing, KindSnow, KindFreezing, KindSnow, KindSnow,
	KindSleet, KindSnow, KindMixed, KindSnow, KindSnow,
}

func drawStorm(d Draw, season, i int, at time.Time) event {
	e := event{kind: stormKinds[(i+season*3)%stormsAYear], season: season, began: at, misses: -1}
	winter := 1 - Clamp(math.Abs(float64(i)-12)/12, 0, 1) // 1 in the middle of the season
	e.hours = Clamp(d.Normal(15, 5), 7, 28)
	e.airF = Clamp(d.Normal(30-8*winter, 4), 9, 32)
	e.trendF = d.Between(-7, 1)
	e.peakInH = d.Between(0.022, 0.085)
	e.windMph = d.Between(6, 15)
	switch e.kind {
	case KindFreezing:
		e.airF, e.trendF, e.hours = d.Between(27.5, 30.5), d.Between(-1, 1), Clamp(d.Normal(10, 2), 7, 14)
	case KindSleet:
		e.airF, e.trendF = d.Between(26, 30), d.Between(-2, 0)
	case KindMixed:
		e.airF, e.trendF = d.Between(28.5, 31), d.Between(-6, -3)
	case KindBlowing:
		e.airF, e.windMph, e.tailHours = d.Between(11, 22), d.Between(21, 29), d.Between(2, 5)
	}
	if d.Chance(0.18) {
		e.misses = d.IntN(len(SheetZones))
	}
	for z := range e.lateMin {
		e.lateMin[z] = reportStep.Minutes() * float64(d.IntN(4)-1)
	}
	if i == 9 {
		e.hours, e.lullFrom, e.lullHours = 18, 7, 4 // a lull shorter than the dry gap: still one storm
	}
	return e
}

// withPair plants two storms on one local date, a dry gap of some ten hours between them.
func withPair(storms []event, place *time.Location) []event {
	begin := localTime(pairedDay, place)
	moveNearest(storms, begin, 6)
	for i, e := range storms {
		if e.began.Equal(begin) {
			second := e
			second.began, second.hours = begin.Add(Hours(17)), 8
			return slices.Insert(storms, i+1, second)
		}
	}
	return storms
}

// moveNearest moves the storm nearest to at there, as plain snow that reaches every zone.
func moveNearest(storms []event, at time.Time, length float64) {
	nearest := 0
	for i, e := range storms {
		if e.began.Sub(at).Abs() < storms[nearest].began.Sub(at).Abs() {
			nearest = i
		}
	}
	e := &storms[nearest]
	e.began, e.hours, e.kind, e.misses, e.tailHours, e.lullHours = at, length, KindSnow, -1, 0, 0
	e.windMph, e.peakInH, e.airF, e.lateMin = 12, 0.05, Clamp(e.airF, 20, 29), [3]float64{}
}

// withQuietWeather adds what is no storm: rain above freezing, dry cold spells, single flurries.
func withQuietWeather(d Draw, storms []event, season int) []event {
	var all []event
	for i, e := range storms {
		all = append(all, e)
		if i+1 == len(storms) {
			continue
		}
		free := e.began.Add(Hours(e.hours + e.tailHours + 34))
		gap := storms[i+1].began.Sub(free).Hours() - 30
		if gap < 12 {
			continue
		}
		at := free.Add(Hours(d.Between(0, gap-10))).Truncate(20 * time.Minute)
		switch {
		case i%3 == 0:
			all = append(all, event{kind: kindRain, season: season, began: at, misses: -1,
				hours: d.Between(5, 10), airF: d.Between(43, 49), peakInH: d.Between(0.03, 0.12), windMph: d.Between(8, 15)})
		case i%6 == 1:
			all = append(all, event{kind: kindCold, season: season, began: at, misses: -1,
				hours: Clamp(gap, 12, 40), airF: d.Between(2, 9), windMph: 4})
		case i%11 == 5:
			all = append(all, event{kind: kindFlurry, season: season, began: at, misses: -1,
				hours: 0.3, airF: d.Between(22, 28), windMph: 7})
		}
	}
	return all
}

// Hours is a length of h hours, rounded to a second.
func Hours(h float64) time.Duration { return time.Duration(h * float64(time.Hour)).Round(time.Second) }

// localTime reads a constant local time of the district as an instant in UTC.
func localTime(text string, place *time.Location) time.Time {
	at, err := time.ParseInLocation("2006-01-02 15:04", text, place)
	if err != nil {
		panic(err) // a constant of this package
	}
	return at.UTC()
}

// dryGapHours lies between the end of one storm and the begin of the next, at the least, before zones' delays.
const dryGapHours = 9.5

// separate shortens a storm that would run into the next one.
func separate(storms []event) {
	for i := range len(storms) - 1 {
		free := storms[i+1].began.Sub(storms[i].began).Hours() - storms[i].tailHours - dryGapHours
		if storms[i].hours > free {
			storms[i].hours, storms[i].lullHours = max(free, 5), 0
		}
	}
}
