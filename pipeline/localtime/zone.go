package localtime

import "time"

// Zone answers which instants a wall clock of one place can mean. It keeps the last plain stretch it saw, so that rows in
// time order cost little. It is not for use by two goroutines at once.
type Zone struct {
	location *time.Location
	// Wall-clock readings in [plainFrom, plainUntil) have exactly one instant: the reading less plainOffset.
	plainFrom, plainUntil Civil
	plainOffset           int64
}

// NewZone makes a Zone of a location.
func NewZone(location *time.Location) *Zone { return &Zone{location: location} }

// Readings are the instants that a wall-clock reading can mean, in microseconds since 1970 UTC. Count is 0 in an hour that
// the clocks skipped, 1 as a rule, 2 in a repeated hour, First then lying before Second. ChangeAt tells one change of
// the clocks from another; it is set when Count is 2.
type Readings struct {
	Count         int
	First, Second int64
	ChangeAt      int64
}

// Readings gives the instants of a wall-clock reading.
func (z *Zone) Readings(wall Civil) Readings {
	if wall >= z.plainFrom && wall < z.plainUntil {
		return Readings{Count: 1, First: int64(wall) - z.plainOffset}
	}
	near := time.UnixMicro(int64(wall) - z.offsetNear(wall)).In(z.location)
	start, end := near.ZoneBounds()
	offset := offsetMicros(near)
	before, after := offset, offset
	if !start.IsZero() {
		before = offsetMicros(start.Add(-time.Microsecond))
	}
	if !end.IsZero() {
		after = offsetMicros(end)
	}
	z.remember(start, end, before, offset, after)
	return z.choose(wall, start, end, [3]int64{before, offset, after})
}

// offsetNear is the offset that the zone has about when the wall clock shows wall.
func (z *Zone) offsetNear(wall Civil) int64 {
	return offsetMicros(time.UnixMicro(int64(wall)).In(z.location))
}

func offsetMicros(t time.Time) int64 {
	_, seconds := t.Zone()
	return int64(seconds) * microsPerSecond
}

// choose collects the offsets under which wall is a reading that the clock did show.
func (z *Zone) choose(wall Civil, start, end time.Time, offsets [3]int64) Readings {
	result := Readings{}
	for i, offset := range offsets {
		if i > 0 && offset == offsets[i-1] || i == 2 && offset == offsets[0] { // #nosec G602 -- i is 0, 1 or 2
			continue
		}
		instant := int64(wall) - offset
		if offsetMicros(time.UnixMicro(instant).In(z.location)) != offset {
			continue
		}
		result.Count++
		if result.Count == 1 {
			result.First = instant
			continue
		}
		result.First, result.Second = min(result.First, instant), max(result.First, instant)
		result.ChangeAt = changeBetween(result.First, result.Second, start, end)
	}
	return result
}

// changeBetween is the change of the clocks that lies between two readings of one wall clock.
func changeBetween(first, second int64, start, end time.Time) int64 {
	if !start.IsZero() && start.UnixMicro() > first && start.UnixMicro() <= second {
		return start.UnixMicro()
	}
	return end.UnixMicro()
}

// remember keeps the stretch of wall clock between two changes that neither touches.
func (z *Zone) remember(start, end time.Time, before, offset, after int64) {
	z.plainOffset = offset
	z.plainFrom = Civil(-1 << 62)
	z.plainUntil = Civil(1 << 62)
	if !start.IsZero() {
		z.plainFrom = Civil(start.UnixMicro() + max(before, offset))
	}
	if !end.IsZero() {
		z.plainUntil = Civil(end.UnixMicro() + min(offset, after))
	}
}
