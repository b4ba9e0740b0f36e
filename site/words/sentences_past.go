package words

import (
	"fmt"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// PastSentence sets a class's first stretch beside the one that follows it; tallies belong to stretches.
func PastSentence(u format.Units, class string, stretches []book.Stretch, tallies []rows.Tally) string {
	name := format.Capital(class)
	if len(stretches) == 1 {
		return name + ": no other season is in the data."
	}
	now, before := tallies[0], tallies[1]
	switch {
	case now.RateLbPerLaneMi == nil && before.RateLbPerLaneMi == nil:
		return fmt.Sprintf("%s: no rate in %s and none in %s.", name, stretches[0].Name, stretches[1].Name)
	case now.RateLbPerLaneMi == nil || before.RateLbPerLaneMi == nil:
		with, without := 0, 1
		if now.RateLbPerLaneMi == nil {
			with, without = 1, 0
		}
		return u.Sprintf("%s: %s lb per lane-mile in %s, no rate in %s.", name, u.Rate(tallies[with].RateLbPerLaneMi), stretches[with].Name,
			stretches[without].Name)
	}
	return u.Sprintf("%s: %s lb per lane-mile in %s (%s), %s in %s (%s); %s and %s applications; %s; mean air %s and %s °F.", name,
		u.Rate(now.RateLbPerLaneMi), stretches[0].Name, format.Counted(now.Storms, "storm", "storms"), u.Rate(before.RateLbPerLaneMi),
		stretches[1].Name,
		format.Counted(before.Storms, "storm", "storms"),
		format.Applications(now.Applications), format.Applications(before.Applications),
		bareBeside(now.RegainH, before.RegainH, stretches[0].Name, stretches[1].Name), u.Degrees(now.AirFMean),
		u.Degrees(before.AirFMean))
}

// bareBeside sets the hours to bare lane of one stretch of time beside those of another.
func bareBeside(here, there *float64, name, other string) string {
	switch {
	case here == nil && there == nil:
		return "no road reported bare in either"
	case here == nil:
		return fmt.Sprintf("bare lane after %s h in %s, no road reported bare in %s", format.Hours(there), other, name)
	case there == nil:
		return fmt.Sprintf("bare lane after %s h in %s, no road reported bare in %s", format.Hours(here), name, other)
	}
	return fmt.Sprintf("bare lane after %s and %s h", format.Hours(here), format.Hours(there))
}

// BareThen sets the hours to bare lane of the first third before those of the latest.
func BareThen(first, latest *float64) string {
	switch {
	case first == nil && latest == nil:
		return "no road reported bare in either"
	case first == nil:
		return fmt.Sprintf("no road reported bare, then bare lane after %s h", format.Hours(latest))
	case latest == nil:
		return fmt.Sprintf("bare lane after %s h, then no road reported bare", format.Hours(first))
	}
	return fmt.Sprintf("bare lane after %s h, then %s h", format.Hours(first), format.Hours(latest))
}

// LikeSentence says how a storm's rates in a zone lie among those of like storms.
func LikeSentence(u format.Units, zone string, here book.LikeStorm, alike []book.LikeStorm) string {
	storm := here.Storm
	switch {
	case storm.Severity == nil || storm.Kind == "":
		return fmt.Sprintf("%s: no like storm can be named, since this storm's kind or severity is not known.", format.Capital(zone))
	case len(alike) == 0:
		return fmt.Sprintf("%s: no other closed storm of kind %s has a severity within %.1f.", format.Capital(zone), storm.Kind,
			book.LikeSeverity)
	}
	text := fmt.Sprintf("%s: %s of kind %s with a severity within %.1f of this storm's %s.", format.Capital(zone),
		format.Counted(len(alike), "other closed storm is", "other closed storms are"),
		storm.Kind, book.LikeSeverity, format.Fixed(storm.Severity, 2))
	for _, class := range u.Sides() {
		text += likeClass(u, class, here, alike)
	}
	return text
}

// likeClass tells one class's rate in a storm and its range over like storms.
func likeClass(u format.Units, class string, here book.LikeStorm, alike []book.LikeStorm) string {
	of := func(like book.LikeStorm) *float64 {
		if class == u.CompareClass() {
			return like.Acetate.RateLbPerLaneMi
		}
		return like.Chloride.RateLbPerLaneMi
	}
	var low, high *float64
	n := 0
	for _, like := range alike {
		if rate := of(like); rate != nil {
			n++
			low = rows.Lower(low, rate)
			if high == nil || *rate > *high {
				high = rate
			}
		}
	}
	rate := of(here)
	switch {
	case rate == nil && n == 0:
		return ""
	case n == 0:
		return u.Sprintf(" %s: %s lb per lane-mile here, no rate in those.", format.Capital(class), u.Rate(rate))
	}
	text := fmt.Sprintf(" %s: %s here, %s to %s in %s", format.Capital(class), rateOrNone(u, rate), u.Rate(low), u.Rate(high),
		format.Whole(n))
	if n < book.FewestAlike {
		return fmt.Sprintf("%s: too few storms to say what is usual (%d of %d).", text, n, book.FewestAlike)
	}
	return text + " of them."
}

// rateOrNone is a rate with its unit, or words for none.
func rateOrNone(u format.Units, rate *float64) string {
	if rate == nil {
		return "no rate"
	}
	return u.Sprintf("%s lb per lane-mile", u.Rate(rate))
}
