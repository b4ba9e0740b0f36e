package draw

import (
	"fmt"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// fallKind is a kind of precipitation with its own row and sign, so that no colour is needed to tell it.
type fallKind struct {
	name string
	has  func(rows.PresentWx) bool
	Sign func(d *Drawing, x, y float64, title string)
}

var FallKinds = []fallKind{
	{"snow", func(p rows.PresentWx) bool { return p.HasSnow }, starSign},
	{"freezing rain", func(p rows.PresentWx) bool { return p.HasFreezing }, diamondSign},
	{"sleet", func(p rows.PresentWx) bool { return p.HasSleet }, triangleSign},
	{"rain", func(p rows.PresentWx) bool { return p.HasRain }, dashSign},
}

func signPath(d *Drawing, style, path, title string) {
	fmt.Fprintf(&d.Body, `<path class="%s" d="%s">%s</path>`, style, path, titled(title))
}

func starSign(d *Drawing, x, y float64, title string) {
	signPath(d, "fallstroke", fmt.Sprintf("M%s %sL%s %sM%s %sL%s %sM%s %sL%s %s", px(x-4), px(y), px(x+4), px(y), px(x-2), px(y-3.5),
		px(x+2), px(y+3.5), px(x-2), px(y+3.5), px(x+2), px(y-3.5)), title)
}

func diamondSign(d *Drawing, x, y float64, title string) {
	signPath(d, "fallsign", fmt.Sprintf("M%s %sL%s %sL%s %sL%s %sZ", px(x), px(y-5), px(x+4), px(y), px(x), px(y+5), px(x-4), px(y)), title)
}

func triangleSign(d *Drawing, x, y float64, title string) {
	signPath(d, "fallopen", fmt.Sprintf("M%s %sL%s %sL%s %sZ", px(x), px(y-4.5), px(x+4.5), px(y+3.5), px(x-4.5), px(y+3.5)), title)
}

func dashSign(d *Drawing, x, y float64, title string) {
	signPath(d, "fallstroke", fmt.Sprintf("M%s %sL%s %s", px(x), px(y-5), px(x), px(y+5)), title)
}

// drawKinds draws a sign in each hour in which some station of the zone reported a kind, and ticks at the begins and ends
// that remarks of reports tell.
func (f *stormFigure) drawKinds() {
	list := f.book.Weather(f.storm.ZoneID, f.time.begin, f.time.end)
	f.Text("strong", "start", 4, kindTop+11, "Falling")
	isAny := false
	for i, kind := range FallKinds {
		y := kindTop + kindRowHeight*(float64(i)+0.5)
		f.Line("rule", stormLeft, y+kindRowHeight/2, stormRight, y+kindRowHeight/2)
		f.Text("small", "end", stormLeft-6, y+4, kind.name)
		for _, at := range hoursOf(f.book, list, kind) {
			isAny = true
			x := (f.time.x(at) + f.time.x(at.Add(time.Hour))) / 2
			if x < stormRight {
				kind.Sign(&f.Drawing, x, y, f.book.Clock.Moment(at)+": "+kind.name)
			}
		}
	}
	if !isAny {
		f.Text("small", "middle", (stormLeft+stormRight)/2, kindTop+kindRowHeight*2+4, "no kind reported")
	}
	for _, e := range f.book.EventsIn(f.storm.ZoneID, f.time.begin, f.time.end) {
		x := f.time.x(e.EventAt)
		f.Line("remark", x, kindTop-6, x, kindTop)
	}
}

// hoursOf lists the whole hours in which some report names a kind, in time order.
func hoursOf(b *book.Book, list []rows.Observation, kind fallKind) []time.Time {
	var found []time.Time
	for _, o := range list {
		at := o.ObservedAt.Truncate(time.Hour)
		if n := len(found); kind.has(b.PresentWx[o.PresentWx]) && (n == 0 || !found[n-1].Equal(at)) {
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
		near := f.book.Value(format.Sight, min(*b.sightMi, clearSightMi))
		return &near
	}
	if _, _, found := extent(bins, seen); !found {
		f.nothing("Visibility", "no reports", sightTop, sightBottom)
		return
	}
	s, ticks := RoundScale(0, f.book.Value(format.Sight, clearSightMi), 2, sightTop, sightBottom)
	f.panel("Visibility", f.book.UnitWords("miles, to ")+f.book.Write(format.Sight, new(clearSightMi)), s, ticks)
	f.curve("curve sight", f.trace(bins, s, seen))
}

// clearSightMi is the visibility beyond which the picture tells no difference, in miles.
const clearSightMi = 10.0
