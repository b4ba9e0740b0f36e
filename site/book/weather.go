package book

import (
	"cmp"
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// readWeatherWords indexes codes, remarks, severities and reasons.
func (b *Book) readWeatherWords(zoneOf map[string]string) {
	b.PresentWx = map[string]rows.PresentWx{}
	for _, p := range b.Data.PresentWx {
		b.PresentWx[p.PresentWx] = p
	}
	events := Sorted(b.Data.WeatherEvents, func(x, y rows.WeatherEvent) int {
		return cmp.Or(x.EventAt.Compare(y.EventAt), cmp.Compare(x.StationID, y.StationID), cmp.Compare(x.What, y.What),
			cmp.Compare(format.YesNo(y.IsBegin), format.YesNo(x.IsBegin)))
	})
	b.eventsByZone = Grouped(events, func(e rows.WeatherEvent) string { return zoneOf[e.StationID] })
	b.Severities = map[StormZone]rows.StormSeverity{}
	for _, s := range b.Data.StormSeverity {
		b.Severities[StormZone{s.StormID, s.ZoneID}] = s
	}
	b.OutsideReason = map[string]string{}
	for _, r := range b.Data.OutsideReasons {
		b.OutsideReason[r.PassKey] = r.Kind
	}
}

// OutsidePasses are a route's passes outside storms, the latest first.
func (b *Book) OutsidePasses(routeID string) []rows.StormPass {
	var list []rows.StormPass
	for _, p := range b.PassesByStorm[StormZone{"", b.Routes[routeID].ZoneID}] {
		if p.RouteID == routeID {
			list = append(list, p)
		}
	}
	slices.Reverse(list)
	return list
}

// EventsIn are the begins and ends that the zone's stations told in remarks, in time order.
func (b *Book) EventsIn(zoneID string, begin, end time.Time) []rows.WeatherEvent {
	var list []rows.WeatherEvent
	for _, e := range b.eventsByZone[zoneID] {
		if !e.EventAt.Before(begin) && !e.EventAt.After(end) {
			list = append(list, e)
		}
	}
	return list
}
