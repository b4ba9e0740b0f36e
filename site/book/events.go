package book

import (
	"slices"

	"lanetally/pipeline/rows"
)

// MostWater is the most Water of any event, in inches; 0 where none is known.
func MostWater(events []Event) float64 {
	most := 0.0
	for _, e := range events {
		most = max(most, rows.OrZero(e.Water()))
	}
	return most
}

// Coldest are the least and the greatest SurfaceFMin of events, in °F, widened to freezing.
func Coldest(events []Event) (low, high float64) {
	low, high = rows.FreezingF, rows.FreezingF
	for _, e := range events {
		if v := e.SurfaceFMin(); v != nil {
			low, high = min(low, *v), max(high, *v)
		}
	}
	return low, high
}

// Water is the mean of the zones' precip_in.
func (e Event) Water() *float64 {
	return e.mean(func(zone rows.Storm) *float64 { return zone.PrecipIn })
}

// SurfaceFMin is the lowest pavement temperature of all zones.
func (e Event) SurfaceFMin() *float64 {
	var least *float64
	for _, zone := range e.Zones {
		least = rows.Lower(least, zone.SurfaceFMin)
	}
	return least
}

// Severity is the highest of the zones'.
func (e Event) Severity() *float64 {
	var most *float64
	for _, zone := range e.Zones {
		if zone.Severity != nil && (most == nil || *zone.Severity > *most) {
			most = zone.Severity
		}
	}
	return most
}

// AirFMean is the mean of the zones' mean air temperatures.
func (e Event) AirFMean() *float64 {
	return e.mean(func(zone rows.Storm) *float64 { return zone.AirFMean })
}

// mean is that of the zones' figures; nil without one.
func (e Event) mean(of func(rows.Storm) *float64) *float64 {
	sum, n := 0.0, 0.0
	for _, zone := range e.Zones {
		if x := of(zone); x != nil {
			sum, n = sum+*x, n+1
		}
	}
	return rows.RatioOf(sum, n)
}

// Kind is the zones' kind where they agree, `dry` zones aside; else `varied`.
func (e Event) Kind() string {
	kind := ""
	for _, zone := range e.Zones {
		switch {
		case zone.Kind == "dry":
		case kind == "" || kind == zone.Kind:
			kind = zone.Kind
		default:
			return "varied"
		}
	}
	if kind == "" {
		return "dry"
	}
	return kind
}

// Length is the time from the first zone's begin to the last zone's end, in hours.
func (e Event) Length() *float64 {
	h := e.EndedAt.Sub(e.BeganAt).Hours()
	return &h
}

// MostZonesOnPage is how many zones a storm's page shows itself. Those of a wider storm have a page each, so that the page of a state's
// storm opens on a phone.
const MostZonesOnPage = 8

// IsWide tells a storm of more than MostZonesOnPage zones.
func (e Event) IsWide() bool { return len(e.Zones) > MostZonesOnPage }

// RowsInZone are the rows of zone's storm that are in its zone.
func (b *Book) RowsInZone(zone rows.Storm) []rows.StormRoute {
	return slices.DeleteFunc(slices.Clone(b.RowsByStorm[zone.StormID]), func(r rows.StormRoute) bool { return r.ZoneID != zone.ZoneID })
}
