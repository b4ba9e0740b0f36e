package scenario

import (
	"slices"
	"time"
)

// A morning of frost: moist, clear air over a pavement that has radiated its warmth away.
const (
	frostBeforeH  = 4.0
	frostAfterH   = 4.0
	frostFadeH    = 1.0  // frost comes and goes over an hour
	frostSpreadF  = 1.0  // air above dew point
	frostDeficitF = 0.8  // dew point above pavement
	frostWarmestF = 31.4 // of the pavement
)

// whiten lets frost form on the pavement of every zone that has a bridge, around a quiet morning's patrol. Faulty readings and reports
// of rain or snow stay as they are.
func (w *winter) whiten(at time.Time, season int) {
	for z := range sheetZones {
		if !hasBridge(zones[z].id) {
			continue
		}
		reports := w.reports[season][z]
		for i := range reports {
			if share := frostShare(reports[i].at.Sub(at).Hours()); share > 0 {
				reports[i].whiten(share)
			}
		}
	}
}

// frostShare is how far a report lies under the frost, 0 to 1, by its hours after the patrol's begin.
func frostShare(h float64) float64 {
	return clamp(min(h+frostBeforeH, frostAfterH-h)/frostFadeH, 0, 1)
}

func (r *report) whiten(share float64) {
	if r.isFaulty || !r.hasSurface || r.precipIn > 0 || r.isTrace || r.wx != "" && r.wx != "BR" {
		return
	}
	dew := max(r.dewF, r.airF-frostSpreadF)
	surface := min(r.surfaceF, min(dew-frostDeficitF, frostWarmestF))
	r.dewF = round(r.dewF+share*(dew-r.dewF), 1)
	r.surfaceF = round(r.surfaceF+share*(surface-r.surfaceF), 1)
}

// hasBridge tells whether a route of the zone has a bridge that is watched for frost.
func hasBridge(zoneID string) bool {
	return slices.ContainsFunc(sheetRoutes, func(r route) bool { return r.zoneID == zoneID && r.bridgeLaneMiles > 0 })
}
