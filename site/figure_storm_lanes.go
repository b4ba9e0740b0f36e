package site

// drawLanes draws one line a route: its passes, when bare lane was reported, its rate and hours to bare lane.
func (f *stormFigure) drawLanes() {
	f.text("strong", "start", 4, laneTop-10, "Passes by route")
	f.text("small", "end", stormRight+62, laneTop-22, f.book.unitWords("rate, lb per"))
	f.text("small", "end", stormRight+62, laneTop-10, f.book.unitWords("lane-mile"))
	f.text("small", "end", stormRight+126, laneTop-22, "hours")
	f.text("small", "end", stormRight+126, laneTop-10, "to bare")
	if len(f.lanes) == 0 {
		f.text("small", "middle", (stormLeft+stormRight)/2, laneTop+16, "no pass reported")
		return
	}
	passes := grouped(f.book.passesByStorm[stormZone{f.storm.StormID, f.storm.ZoneID}], func(p StormPass) string { return p.RouteID })
	for i, routeID := range f.lanes {
		y := laneTop + laneHeight*float64(i)
		f.line("rule", 4, y+laneHeight, stormRight+126, y+laneHeight)
		f.text("small", "start", 4, y+16, shortened(f.book.routeName(routeID), 26))
		for _, pass := range passes[routeID] {
			f.drawPass(pass, y)
		}
		f.drawOutcome(routeID, y)
	}
}

// drawPass draws one pass as a bar: solids high, liquids half as high, plow-only passes as a thin outline.
func (f *stormFigure) drawPass(pass StormPass, y float64) {
	class, height := "", 6.0
	if pass.IsTreating {
		class, height = pass.MaterialClass, 14
		if pass.Form == liquid {
			height = 7
		}
	}
	left, right := max(f.time.x(pass.BeganAt), stormLeft), min(f.time.x(pass.EndedAt), stormRight)
	if right < stormLeft || left > stormRight {
		return
	}
	f.rect("pass "+f.book.classStyle(class), left, y+(laneHeight-height)/2, max(right-left, 2), height, passTitle(f.book.units, pass, f.book.clock.moment(pass.BeganAt), f.book.clock.hour(pass.EndedAt)))
}

// drawOutcome writes the route's solid rate and road state, and marks when bare lane was reported.
func (f *stormFigure) drawOutcome(routeID string, y float64) {
	isRated := false
	for _, row := range f.rows {
		if row.RouteID != routeID {
			continue
		}
		if !isRated && row.Form == solid && !f.book.isPlain(row.MaterialClass) && row.RateLbPerLaneMi != nil {
			f.mark(f.book.sign(row.MaterialClass), false, stormRight+14, y+12, 4, row.MaterialClass)
			f.text("small figure", "end", stormRight+52, y+16, f.book.rate(row.RateLbPerLaneMi))
			isRated = true
		}
	}
	row := f.firstRow(routeID)
	f.text("small figure", "end", stormRight+126, y+16, regain(row))
	if row.RegainH != nil && !f.bareAt(row).After(f.time.end) {
		x := f.time.x(f.bareAt(row))
		f.line("bare", x, y+3, x, y+laneHeight-3)
		f.text("tiny halo", "start", x+3, y+11, "bare")
	}
}

func (f *stormFigure) firstRow(routeID string) StormRoute {
	for _, row := range f.rows {
		if row.RouteID == routeID {
			return row
		}
	}
	return StormRoute{}
}

// regain writes hours to bare lane, or the state in words where there are none.
func regain(row StormRoute) string {
	if row.RegainH != nil {
		return hours(row.RegainH)
	}
	if row.RegainState == "" {
		return missing
	}
	return row.RegainState
}
