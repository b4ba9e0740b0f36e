package scenario

import (
	"slices"
	"time"

	"lanetally/pipeline/scenario/land"
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
	for z := range land.SheetZones {
		if !hasBridge(land.Zones[z].ID) {
			continue
		}
		reports := w.reports[season][z]
		for i := range reports {
			if share := frostShare(reports[i].At.Sub(at).Hours()); share > 0 {
				whiten(&reports[i], share)
			}
		}
	}
}

// frostShare is how far a report lies under the frost, 0 to 1, by its hours after the patrol's begin.
func frostShare(h float64) float64 {
	return land.Clamp(min(h+frostBeforeH, frostAfterH-h)/frostFadeH, 0, 1)
}

func whiten(r *land.Report, share float64) {
	if r.IsFaulty || !r.HasSurface || r.PrecipIn > 0 || r.IsTrace || r.Wx != "" && r.Wx != "BR" {
		return
	}
	dew := max(r.DewF, r.AirF-frostSpreadF)
	surface := min(r.SurfaceF, min(dew-frostDeficitF, frostWarmestF))
	r.DewF = land.Round(r.DewF+share*(dew-r.DewF), 1)
	r.SurfaceF = land.Round(r.SurfaceF+share*(surface-r.SurfaceF), 1)
}

// hasBridge tells whether a route of the zone has a bridge that is watched for frost.
func hasBridge(zoneID string) bool {
	return slices.ContainsFunc(land.SheetRoutes, func(r land.Route) bool { return r.ZoneID == zoneID && r.BridgeLaneMiles > 0 })
}
