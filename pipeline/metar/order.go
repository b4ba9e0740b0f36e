package metar

// Standing says what became of a report among those of its station.
type Standing uint8

// The standings.
const (
	InForce    Standing = iota
	Superseded          // another report of the same minute stands
	Truncated           // lacks wind, visibility or temperature where the station's reports carry them
)

// UsualGroups gives the groups that most of a station's reports carry. A report without one of them is truncated.
func UsualGroups(reports []Report) Groups {
	var usual Groups
	for _, g := range [...]Groups{Wind, Visibility, Temperature} {
		carrying := 0
		for i := range reports {
			if reports[i].Carries&g != 0 {
				carrying++
			}
		}
		if 2*carrying > len(reports) {
			usual |= g
		}
	}
	return usual
}

// Missing gives the usual groups that a report lacks; it is truncated when there is one.
func (r *Report) Missing(usual Groups) Groups { return usual &^ r.Carries }

// Outranks says whether the report, delivered later than other and of the same station and minute, takes its place: a correction stands over
// what is none, then a routine report over a special, then the later over the earlier.
func (r *Report) Outranks(other *Report) bool {
	if r.IsCorrection != other.IsCorrection {
		return r.IsCorrection
	}
	return r.Kind != Special || other.Kind == Special
}

// Standings tells for each report of one station, in the order of delivery, whether it is in force. Truncated reports are out first, so
// that a special that is whole stands over the routine report of its minute that was cut off.
func Standings(reports []Report) []Standing {
	usual := UsualGroups(reports)
	standings := make([]Standing, len(reports))
	inForce := make(map[int64]int, len(reports))
	for i := range reports {
		r := &reports[i]
		if r.Missing(usual) != 0 {
			standings[i] = Truncated
			continue
		}
		at := r.ObservedAt.Unix()
		held, isHeld := inForce[at]
		switch {
		case !isHeld:
			inForce[at] = i
		case r.Outranks(&reports[held]):
			standings[held], inForce[at] = Superseded, i
		default:
			standings[i] = Superseded
		}
	}
	return standings
}
