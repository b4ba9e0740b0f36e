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
	b.PresentWx = indexed(b.Data.PresentWx, func(p rows.PresentWx) string { return p.PresentWx })
	events := Sorted(b.Data.WeatherEvents, func(x, y rows.WeatherEvent) int {
		return cmp.Or(x.EventAt.Compare(y.EventAt), cmp.Compare(x.StationID, y.StationID), cmp.Compare(x.What, y.What),
			cmp.Compare(format.YesNo(y.IsBegin), format.YesNo(x.IsBegin)))
	})
	b.eventsByZone = Grouped(events, func(e rows.WeatherEvent) string { return zoneOf[e.StationID] })
	b.Severities = indexed(b.Data.StormSeverity, func(s rows.StormSeverity) StormZone { return StormZone{s.StormID, s.ZoneID} })
	b.OutsideReason = map[string]string{}
	for _, r := range b.Data.OutsideReasons {
		b.OutsideReason[r.PassKey] = r.Kind
	}
}

// OutsidePasses are a route's passes outside storms, the latest first.
func (b *Book) OutsidePasses(routeID string) []rows.StormPass {
	list := Where(b.PassesByStorm[StormZone{"", b.Routes[routeID].ZoneID}], func(p rows.StormPass) bool { return p.RouteID == routeID })
	slices.Reverse(list)
	return list
}

// EventsIn are the begins and ends that the zone's stations told in remarks, in time order.
func (b *Book) EventsIn(zoneID string, begin, end time.Time) []rows.WeatherEvent {
	return Where(b.eventsByZone[zoneID], func(e rows.WeatherEvent) bool { return !e.EventAt.Before(begin) && !e.EventAt.After(end) })
}
