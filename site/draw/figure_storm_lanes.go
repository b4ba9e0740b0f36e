package draw

import (
	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/words"
)

// drawLanes draws one line a route: its passes, when bare lane was reported, its rate and hours to bare lane.
func (f *stormFigure) drawLanes() {
	f.Text("strong", "start", 4, laneTop-10, "Passes by route")
	f.Text("small", "end", stormRight+62, laneTop-22, f.book.UnitWords("rate, lb per"))
	f.Text("small", "end", stormRight+62, laneTop-10, f.book.UnitWords("lane-mile"))
	f.Text("small", "end", stormRight+126, laneTop-22, "hours")
	f.Text("small", "end", stormRight+126, laneTop-10, "to bare")
	if len(f.lanes) == 0 {
		f.Text("small", "middle", (stormLeft+stormRight)/2, laneTop+16, "no pass reported")
		return
	}
	passes := book.Grouped(f.book.PassesByStorm[book.StormZone{StormID: f.storm.StormID, ZoneID: f.storm.ZoneID}],
		func(p rows.StormPass) string { return p.RouteID })
	for i, routeID := range f.lanes {
		y := laneTop + laneHeight*float64(i)
		f.Line("rule", 4, y+laneHeight, stormRight+126, y+laneHeight)
		f.Text("small", "start", 4, y+16, format.Shortened(f.book.RouteName(routeID), 26))
		for _, pass := range passes[routeID] {
			f.drawPass(pass, y)
		}
		f.drawOutcome(routeID, y)
	}
}

// drawPass draws one pass as a bar: solids high, liquids half as high, plow-only passes as a thin outline.
func (f *stormFigure) drawPass(pass rows.StormPass, y float64) {
	class, height := "", 6.0
	if pass.IsTreating {
		class, height = pass.MaterialClass, 14
		if pass.Form == rows.Liquid {
			height = 7
		}
	}
	left, right := max(f.time.x(pass.BeganAt), stormLeft), min(f.time.x(pass.EndedAt), stormRight)
	if right < stormLeft || left > stormRight {
		return
	}
	f.rect("pass "+f.book.ClassStyle(class), left, y+(laneHeight-height)/2, max(right-left, 2), height,
		words.Say(f.book.Units, "pass", pass, f.book.Clock.Moment(pass.BeganAt), f.book.Clock.Hour(pass.EndedAt)))
}

// drawOutcome writes the route's solid rate and road state, and marks when bare lane was reported.
func (f *stormFigure) drawOutcome(routeID string, y float64) {
	isRated := false
	for _, row := range f.rows {
		if row.RouteID != routeID {
			continue
		}
		if !isRated && row.Form == rows.Solid && !f.book.IsPlain(row.MaterialClass) && row.RateLbPerLaneMi != nil {
			f.Mark(f.book.Sign(row.MaterialClass), false, stormRight+14, y+12, 4, row.MaterialClass)
			f.Text("small figure", "end", stormRight+52, y+16, f.book.Rate(row.RateLbPerLaneMi))
			isRated = true
		}
	}
	row := f.firstRow(routeID)
	f.Text("small figure", "end", stormRight+126, y+16, format.Regain(row))
	if row.RegainH != nil && !f.bareAt(row).After(f.time.end) {
		x := f.time.x(f.bareAt(row))
		f.Line("bare", x, y+3, x, y+laneHeight-3)
		f.Text("tiny halo", "start", x+3, y+11, "bare")
	}
}

func (f *stormFigure) firstRow(routeID string) rows.StormRoute {
	for _, row := range f.rows {
		if row.RouteID == routeID {
			return row
		}
	}
	return rows.StormRoute{}
}
