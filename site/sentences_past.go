package site

import (
	"fmt"
)

// pastSentence sets a class's first stretch beside the one that follows it; tallies belong to stretches.
func pastSentence(u units, class string, stretches []stretch, tallies []Tally) string {
	name := capital(class)
	if len(stretches) == 1 {
		return name + ": no other season is in the data."
	}
	now, before := tallies[0], tallies[1]
	switch {
	case now.rate() == nil && before.rate() == nil:
		return fmt.Sprintf("%s: no rate in %s and none in %s.", name, stretches[0].name, stretches[1].name)
	case now.rate() == nil || before.rate() == nil:
		with, without := 0, 1
		if now.rate() == nil {
			with, without = 1, 0
		}
		return u.sprintf("%s: %s lb per lane-mile in %s, no rate in %s.", name, u.rate(tallies[with].rate()), stretches[with].name, stretches[without].name)
	}
	return u.sprintf("%s: %s lb per lane-mile in %s (%s), %s in %s (%s); %s and %s applications; %s; mean air %s and %s °F.", name,
		u.rate(now.rate()), stretches[0].name, counted(now.Storms, "storm", "storms"), u.rate(before.rate()), stretches[1].name, counted(before.Storms, "storm", "storms"),
		applications(now.applications()), applications(before.applications()), bareBeside(now.regainH(), before.regainH(), stretches[0].name, stretches[1].name), u.degrees(now.airF()), u.degrees(before.airF()))
}

// bareBeside sets the hours to bare lane of one stretch of time beside those of another.
func bareBeside(here, there *float64, name, other string) string {
	switch {
	case here == nil && there == nil:
		return "no road reported bare in either"
	case here == nil:
		return fmt.Sprintf("bare lane after %s h in %s, no road reported bare in %s", hours(there), other, name)
	case there == nil:
		return fmt.Sprintf("bare lane after %s h in %s, no road reported bare in %s", hours(here), name, other)
	}
	return fmt.Sprintf("bare lane after %s and %s h", hours(here), hours(there))
}

// bareThen sets the hours to bare lane of the first third before those of the latest.
func bareThen(first, latest *float64) string {
	switch {
	case first == nil && latest == nil:
		return "no road reported bare in either"
	case first == nil:
		return fmt.Sprintf("no road reported bare, then bare lane after %s h", hours(latest))
	case latest == nil:
		return fmt.Sprintf("bare lane after %s h, then no road reported bare", hours(first))
	}
	return fmt.Sprintf("bare lane after %s h, then %s h", hours(first), hours(latest))
}

// likeSentence says how a storm's rates in a zone lie among those of like storms.
func likeSentence(u units, zone string, here likeStorm, alike []likeStorm) string {
	storm := here.storm
	switch {
	case storm.Severity == nil || storm.Kind == "":
		return fmt.Sprintf("%s: no like storm can be named, since this storm's kind or severity is not known.", capital(zone))
	case len(alike) == 0:
		return fmt.Sprintf("%s: no other closed storm of kind %s has a severity within %.1f.", capital(zone), storm.Kind, likeSeverity)
	}
	text := fmt.Sprintf("%s: %s of kind %s with a severity within %.1f of this storm's %s.", capital(zone), counted(len(alike), "other closed storm is", "other closed storms are"),
		storm.Kind, likeSeverity, fixed(storm.Severity, 2))
	for _, class := range u.sides() {
		text += likeClass(u, class, here, alike)
	}
	return text
}

// likeClass tells one class's rate in a storm and its range over like storms.
func likeClass(u units, class string, here likeStorm, alike []likeStorm) string {
	of := func(like likeStorm) *float64 {
		if class == u.compareClass() {
			return like.acetate.rate()
		}
		return like.chloride.rate()
	}
	var low, high *float64
	n := 0
	for _, like := range alike {
		if rate := of(like); rate != nil {
			n++
			low = lower(low, rate)
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
		return u.sprintf(" %s: %s lb per lane-mile here, no rate in those.", capital(class), u.rate(rate))
	}
	text := fmt.Sprintf(" %s: %s here, %s to %s in %s", capital(class), rateOrNone(u, rate), u.rate(low), u.rate(high), whole(n))
	if n < fewestAlike {
		return fmt.Sprintf("%s: too few storms to say what is usual (%d of %d).", text, n, fewestAlike)
	}
	return text + " of them."
}

// rateOrNone is a rate with its unit, or words for none.
func rateOrNone(u units, rate *float64) string {
	if rate == nil {
		return "no rate"
	}
	return u.sprintf("%s lb per lane-mile", u.rate(rate))
}
