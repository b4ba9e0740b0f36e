package land

import (
	"slices"
	"sort"
	"strings"
	"time"
)

// ZoneStorm is what one zone's station saw of a storm.
type ZoneStorm struct {
	IsDry        bool // no wintry report: it takes the whole storm's interval
	Began, Ended time.Time
	Hours        float64
	AirFMean     float64
	PrecipIn     float64
	FreezingH    float64
	Intensity    float64 // precip_in / max(hours, 1)
}

// Storm is one run of wintry reports, kept.
type Storm struct {
	ID     string
	Season int
	Kind   string // as planned
	Began  time.Time
	Ended  time.Time
	Zones  []ZoneStorm
	IsOpen bool
}

const stormGap = 6 * time.Hour

// isWintry is the rule by which the district's own reports open a storm; blowing snow is asked apart.
func isWintry(r Report) bool {
	t := r.SurfaceF
	if !r.HasSurface {
		t = r.AirF
	}
	for group := range strings.FieldsSeq(r.Wx) {
		group = strings.TrimLeft(group, "+-")
		switch {
		case strings.HasPrefix(group, "BL"):
		case group == "SN" || group == "FZRA" || group == "FZDZ":
			return true
		case group == "PL" || group == "RASN":
			return t <= 40
		case group == "RA" || group == "DZ":
			return t <= 32
		}
	}
	return false
}

// FindStorms tells the storms and counts the flurries in the reports of one season.
func FindStorms(season int, stations [][]Report, events []event, asOf time.Time, place *time.Location) (storms []Storm, flurries int) {
	all := slices.Concat(stations...)
	sort.SliceStable(all, func(i, j int) bool { return all[i].At.Before(all[j].At) })
	var run []Report
	var lastFall time.Time
	finish := func() {
		if isKept(run) {
			storms = append(storms, newStorm(season, run, stations, events, asOf))
		} else if len(run) > 0 {
			flurries++
		}
		run = nil
	}
	for _, r := range all {
		falls := isWintry(r)
		blows := strings.Contains(r.Wx, "BLSN") && !lastFall.IsZero() && r.At.Sub(lastFall) <= stormGap
		if !falls && !blows {
			continue
		}
		if falls {
			lastFall = r.At
		}
		if len(run) > 0 && r.At.Sub(run[len(run)-1].At) > stormGap {
			finish()
		}
		run = append(run, r)
	}
	finish()
	nameStorms(storms, place)
	return storms, flurries
}

func isKept(run []Report) bool {
	if len(run) == 0 {
		return false
	}
	return run[0].At.Before(run[len(run)-1].At) || slices.ContainsFunc(run, func(r Report) bool { return r.PrecipIn >= 0.01 })
}

func newStorm(season int, run []Report, stations [][]Report, events []event, asOf time.Time) Storm {
	s := Storm{Season: season, Began: run[0].At, Ended: run[len(run)-1].At, Zones: make([]ZoneStorm, len(Zones))}
	for z := range Zones {
		s.Zones[z] = newZoneStorm(z, s, run, stations[z])
		if !s.Zones[z].IsDry && s.Zones[z].Ended.After(asOf.Add(-stormGap)) {
			s.IsOpen = true
		}
	}
	for _, e := range events {
		if e.IsStorm() && e.began.Sub(s.Began).Abs() < 5*time.Hour {
			s.Kind = e.kind
		}
	}
	return s
}

func newZoneStorm(z int, s Storm, run, reports []Report) ZoneStorm {
	zs := ZoneStorm{IsDry: true, Began: s.Began, Ended: s.Ended}
	for _, r := range run {
		if r.Zone != z {
			continue
		}
		if zs.IsDry {
			zs.IsDry, zs.Began = false, r.At
		}
		zs.Ended = r.At
		if strings.Contains(r.Wx, "FZ") {
			zs.FreezingH += Zones[z].reportHours()
		}
	}
	var sum, n float64
	for _, r := range reports {
		if r.At.Before(zs.Began) || r.At.After(zs.Ended) {
			continue
		}
		sum += r.AirF
		n++
		zs.PrecipIn += r.PrecipIn
	}
	if n > 0 {
		zs.AirFMean = sum / n
	}
	zs.Hours = zs.Ended.Sub(zs.Began).Hours()
	zs.Intensity = zs.PrecipIn / max(zs.Hours, 1)
	return zs
}

// nameStorms gives ids by local date.
func nameStorms(storms []Storm, place *time.Location) {
	for i := range storms {
		base := DistrictID + "-" + storms[i].Began.In(place).Format("20060102")
		storms[i].ID = base
		for n := 1; i-n >= 0 && strings.HasPrefix(storms[i-n].ID, base); n++ {
			storms[i].ID = base + string(rune('a'+n))
		}
	}
}
