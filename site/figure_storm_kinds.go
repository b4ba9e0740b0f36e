package site

import (
	"fmt"
	"time"
)

// fallKind is a kind of precipitation with its own row and sign, so that no colour is needed to tell it.
type fallKind struct {
	name string
	has  func(PresentWx) bool
	sign func(d *drawing, x, y float64, title string)
}

var fallKinds = []fallKind{
	{"snow", func(p PresentWx) bool { return p.HasSnow }, starSign},
	{"freezing rain", func(p PresentWx) bool { return p.HasFreezing }, diamondSign},
	{"sleet", func(p PresentWx) bool { return p.HasSleet }, triangleSign},
	{"rain", func(p PresentWx) bool { return p.HasRain }, dashSign},
}

func signPath(d *drawing, style, path, title string) {
	fmt.Fprintf(&d.body, `<path class="%s" d="%s">%s</path>`, style, path, titled(title))
}

func starSign(d *drawing, x, y float64, title string) {
	signPath(d, "fallstroke", fmt.Sprintf("M%s %sL%s %sM%s %sL%s %sM%s %sL%s %s", px(x-4), px(y), px(x+4), px(y), px(x-2), px(y-3.5), px(x+2), px(y+3.5), px(x-2), px(y+3.5), px(x+2), px(y-3.5)), title)
}

func diamondSign(d *drawing, x, y float64, title string) {
	signPath(d, "fallsign", fmt.Sprintf("M%s %sL%s %sL%s %sL%s %sZ", px(x), px(y-5), px(x+4), px(y), px(x), px(y+5), px(x-4), px(y)), title)
}

func triangleSign(d *drawing, x, y float64, title string) {
	signPath(d, "fallopen", fmt.Sprintf("M%s %sL%s %sL%s %sZ", px(x), px(y-4.5), px(x+4.5), px(y+3.5), px(x-4.5), px(y+3.5)), title)
}

func dashSign(d *drawing, x, y float64, title string) {
	signPath(d, "fallstroke", fmt.Sprintf("M%s %sL%s %s", px(x), px(y-5), px(x), px(y+5)), title)
}

// drawKinds draws a sign in each hour in which some station of the zone reported a kind, and ticks at the begins and ends
// that remarks of reports tell.
func (f *stormFigure) drawKinds() {
	list := f.book.weather(f.storm.ZoneID, f.time.begin, f.time.end)
	f.text("strong", "start", 4, kindTop+11, "Falling")
	isAny := false
	for i, kind := range fallKinds {
		y := kindTop + kindRowHeight*(float64(i)+0.5)
		f.line("rule", stormLeft, y+kindRowHeight/2, stormRight, y+kindRowHeight/2)
		f.text("small", "end", stormLeft-6, y+4, kind.name)
		for _, at := range f.book.hoursOf(list, kind) {
			isAny = true
			x := (f.time.x(at) + f.time.x(at.Add(time.Hour))) / 2
			if x < stormRight {
				kind.sign(&f.drawing, x, y, f.book.clock.moment(at)+": "+kind.name)
			}
		}
	}
	if !isAny {
		f.text("small", "middle", (stormLeft+stormRight)/2, kindTop+kindRowHeight*2+4, "no kind reported")
	}
	for _, e := range f.book.eventsIn(f.storm.ZoneID, f.time.begin, f.time.end) {
		x := f.time.x(e.EventAt)
		f.line("remark", x, kindTop-6, x, kindTop)
	}
}

// hoursOf lists the whole hours in which some report names a kind, in time order.
func (b *book) hoursOf(list []Observation, kind fallKind) []time.Time {
	var found []time.Time
	for _, o := range list {
		at := o.ObservedAt.Truncate(time.Hour)
		if n := len(found); kind.has(b.presentWx[o.PresentWx]) && (n == 0 || !found[n-1].Equal(at)) {
			found = append(found, at)
		}
	}
	return found
}

// drawSight draws the visibility, hourly means; beyond 10 miles all is clear.
func (f *stormFigure) drawSight(bins []bin) {
	seen := func(b bin) *float64 {
		if b.sightMi == nil {
			return nil
		}
		near := f.book.value(sight, min(*b.sightMi, clearSightMi))
		return &near
	}
	if _, _, found := extent(bins, seen); !found {
		f.nothing("Visibility", "no reports", sightTop, sightBottom)
		return
	}
	s, ticks := roundScale(0, f.book.value(sight, clearSightMi), 2, sightTop, sightBottom)
	f.panel("Visibility", f.book.unitWords("miles, to ")+f.book.write(sight, new(clearSightMi)), s, ticks)
	f.curve("curve sight", f.trace(bins, s, seen))
}

// clearSightMi is the visibility beyond which the picture tells no difference, in miles.
const clearSightMi = 10.0

// eventsIn are the begins and ends that the zone's stations told in remarks, in time order.
func (b *book) eventsIn(zoneID string, begin, end time.Time) []WeatherEvent {
	var list []WeatherEvent
	for _, e := range b.eventsByZone[zoneID] {
		if !e.EventAt.Before(begin) && !e.EventAt.After(end) {
			list = append(list, e)
		}
	}
	return list
}
