package land

import "math"

// fall writes the report's precipitation: present-weather groups, visibility, the gauge.
func (s *sky) fall(r *Report) {
	r.VisibilityMi = 10
	s.breath = 0.9*s.breath + s.d.Normal(0, 0.16)
	for _, e := range s.events {
		into := r.At.Sub(s.reaches(e)).Hours()
		if e.misses == s.zone || into < 0 || into > e.hours+e.tailHours || e.kind == kindCold {
			continue
		}
		switch {
		case e.kind == kindFlurry:
			s.flurry(r)
		case into > e.hours:
			s.blow(r)
		case !s.pauses(e, into, r):
			s.drop(e, into, r)
		}
	}
}

// pauses tells whether nothing falls now: in the storm's lull, or by chance between showers.
func (s *sky) pauses(e event, intoH float64, r *Report) bool {
	inLull := e.lullHours > 0 && intoH >= e.lullFrom && intoH < e.lullFrom+e.lullHours
	isEdge := intoH < 1.0 || intoH > e.hours-0.8
	isTooCold := e.kind == kindRain && (r.SurfaceF < 34.5 || r.AirF < 35)
	return inLull || isTooCold || (!isEdge && s.d.Chance(0.06))
}

// flurry is one trace of snow at one station only: no storm.
func (s *sky) flurry(r *Report) {
	if s.zone == 0 && !r.IsTrace {
		r.Wx, r.VisibilityMi, r.IsTrace = "-SN", 5, true
	}
}

func (s *sky) blow(r *Report) {
	r.Wx, r.VisibilityMi = "BLSN", 2
	r.WindMph = max(r.WindMph, 20)
	r.GustMph = max(r.GustMph, r.WindMph+6)
}

// drop lets the event's precipitation fall at its present strength.
func (s *sky) drop(e event, intoH float64, r *Report) {
	share := Clamp(intoH/e.hours, 0.02, 0.98)
	inches := e.peakInH * math.Pow(math.Sin(math.Pi*share), 0.6) * math.Exp(s.breath)
	kind := phase(e.kind, share, r)
	if kind == "FZRA" || kind == "RA" {
		inches *= 0.8
	}
	s.tip(r, inches/3)
	r.Wx, r.VisibilityMi = groups(kind, inches)
	if e.kind == KindBlowing && r.WindMph >= 20 && kind == "SN" {
		r.Wx += " BLSN"
		r.VisibilityMi = min(r.VisibilityMi, 0.5)
	}
	if kind == "SN" {
		s.depth += 10 * inches / 3
	}
}

// tip adds water to the gauge, which reports whole hundredths and else a trace.
func (s *sky) tip(r *Report, inches float64) {
	s.bucket += inches
	tips := math.Floor(s.bucket*100 + 1e-9)
	s.bucket -= tips / 100
	r.PrecipIn, r.IsTrace = tips/100, tips == 0
}

// phases is what falls in an event of each kind, each up to a share of its length.
var phases = map[string][]struct {
	toShare float64
	falls   string
}{
	kindRain:     {{0.8, "RA"}, {1, "DZ"}},
	KindFreezing: {{0.85, "FZRA"}, {1, "FZDZ"}},
	KindSleet:    {{0.78, "PL"}, {1, "SN"}},
	KindMixed:    {{0.16, "RASN"}, {0.42, "FZRA"}, {0.62, "PL"}, {1, "SN"}},
}

// phase is what falls in this part of an event: snow in one of another kind, rain at the begin of a mixed one over warm pavement.
func phase(kind string, share float64, r *Report) string {
	if kind == KindMixed && share < 0.12 && r.SurfaceF > 33 {
		return "RA"
	}
	for _, part := range phases[kind] {
		if share < part.toShare {
			return part.falls
		}
	}
	return "SN"
}

// groups writes the present-weather groups and the visibility for a rate in inches of water an hour.
// Snow: light above half a mile of visibility, heavy at a quarter or less (FMH-1).
func groups(kind string, inches float64) (wx string, visibilityMi float64) {
	switch {
	case kind == "DZ":
		return "-DZ", 3
	case kind == "FZDZ":
		return "-FZDZ", 2
	case kind == "SN" && inches >= 0.075:
		return "+SN", 0.25
	case kind == "SN" && inches >= 0.04:
		return "SN BR", 0.5
	case kind == "SN":
		return "-SN", Round(Clamp(2.4-45*inches, 0.75, 3), 2)
	case inches >= 0.10:
		return kind, 2
	}
	return "-" + kind, 3
}
