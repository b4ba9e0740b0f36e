package scenario

import (
	"slices"
	"sort"
	"strings"
	"time"
)

// zoneStorm is what one zone's station saw of a storm.
type zoneStorm struct {
	isDry        bool // no wintry report: it takes the whole storm's interval
	began, ended time.Time
	hours        float64
	airFMean     float64
	precipIn     float64
	freezingH    float64
	intensity    float64 // precip_in / max(hours, 1)
}

// storm is one run of wintry reports, kept.
type storm struct {
	id        string
	season    int
	kind      string // as planned
	began     time.Time
	ended     time.Time
	zones     []zoneStorm
	isOpen    bool
	nextBegan time.Time // zero for the last of a season
}

const stormGap = 6 * time.Hour

// isWintry is the rule by which the district's own reports open a storm; blowing snow is asked apart.
func isWintry(r report) bool {
	t := r.surfaceF
	if !r.hasSurface {
		t = r.airF
	}
	for group := range strings.FieldsSeq(r.wx) {
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

// findStorms tells the storms and counts the flurries in the reports of one season.
func findStorms(season int, stations [][]report, events []event, asOf time.Time, place *time.Location) (storms []storm, flurries int) {
	all := slices.Concat(stations...)
	sort.SliceStable(all, func(i, j int) bool { return all[i].at.Before(all[j].at) })
	var run []report
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
		blows := strings.Contains(r.wx, "BLSN") && !lastFall.IsZero() && r.at.Sub(lastFall) <= stormGap
		if !falls && !blows {
			continue
		}
		if falls {
			lastFall = r.at
		}
		if len(run) > 0 && r.at.Sub(run[len(run)-1].at) > stormGap {
			finish()
		}
		run = append(run, r)
	}
	finish()
	nameStorms(storms, place)
	return storms, flurries
}

func isKept(run []report) bool {
	if len(run) == 0 {
		return false
	}
	return run[0].at.Before(run[len(run)-1].at) || slices.ContainsFunc(run, func(r report) bool { return r.precipIn >= 0.01 })
}

func newStorm(season int, run []report, stations [][]report, events []event, asOf time.Time) storm {
	s := storm{season: season, began: run[0].at, ended: run[len(run)-1].at, zones: make([]zoneStorm, len(zones))}
	for z := range zones {
		s.zones[z] = newZoneStorm(z, s, run, stations[z])
		if !s.zones[z].isDry && s.zones[z].ended.After(asOf.Add(-stormGap)) {
			s.isOpen = true
		}
	}
	for _, e := range events {
		if e.isStorm() && e.began.Sub(s.began).Abs() < 5*time.Hour {
			s.kind = e.kind
		}
	}
	return s
}

func newZoneStorm(z int, s storm, run, reports []report) zoneStorm {
	zs := zoneStorm{isDry: true, began: s.began, ended: s.ended}
	for _, r := range run {
		if r.zone != z {
			continue
		}
		if zs.isDry {
			zs.isDry, zs.began = false, r.at
		}
		zs.ended = r.at
		if strings.Contains(r.wx, "FZ") {
			zs.freezingH += zones[z].reportHours()
		}
	}
	var sum, n float64
	for _, r := range reports {
		if r.at.Before(zs.began) || r.at.After(zs.ended) {
			continue
		}
		sum += r.airF
		n++
		zs.precipIn += r.precipIn
	}
	if n > 0 {
		zs.airFMean = sum / n
	}
	zs.hours = zs.ended.Sub(zs.began).Hours()
	zs.intensity = zs.precipIn / max(zs.hours, 1)
	return zs
}

// nameStorms gives ids by local date, and the begin of the storm after.
func nameStorms(storms []storm, place *time.Location) {
	for i := range storms {
		base := districtID + "-" + storms[i].began.In(place).Format("20060102")
		storms[i].id = base
		for n := 1; i-n >= 0 && strings.HasPrefix(storms[i-n].id, base); n++ {
			storms[i].id = base + string(rune('a'+n))
		}
		if i+1 < len(storms) {
			storms[i].nextBegan = storms[i+1].began
		}
	}
}
