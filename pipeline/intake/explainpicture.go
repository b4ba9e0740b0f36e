package intake

import (
	"fmt"
	"io"
	"math"
	"strings"
	"time"

	"lanetally/pipeline/matching"
	"lanetally/pipeline/trace"
)

// PassesOf are the passes of the trace that a published one is: of a sheet, which several may make, all of them on its route in its time.
func (e *Explained) PassesOf(routeID string, began, ended time.Time, isSheets bool) (own []trace.Pass) {
	beganMS, endedMS := began.UnixMilli(), ended.UnixMilli()
	for _, p := range e.Passes {
		isWithin := p.BeganMS >= beganMS && p.EndedMS <= endedMS || isSheets && p.BeganMS <= endedMS && p.EndedMS >= beganMS
		if p.Weak == "" && isWithin && e.Network.RouteID(p.Route) == routeID {
			own = append(own, p)
		}
	}
	return own
}

// Print says what the passes were made of.
func (e *Explained) Print(w io.Writer, own []trace.Pass, noiseM float64) error {
	c := &e.Counts
	fmt.Fprintf(w, "\nTrace of %d positions, %s to %s: %d on routes, %d off them, %d jumps, %d frozen.\n", c.Points,
		secondText(e.Points[0].AtMS), secondText(e.Points[len(e.Points)-1].AtMS), c.OnRoute, c.OffNetwork, c.Jumps, c.Frozen)
	if !math.IsNaN(c.NoiseM) {
		fmt.Fprintf(w, "Across their routes they suggest a noise of %.1f m; noise_m is %v.\n", c.NoiseM, noiseM)
	}
	fmt.Fprintf(w, "%.1f lb went out in the trace by counter or rate, %.1f of them on no pass.\n", float64(c.FedULb)/1e6,
		float64(c.UnplacedULb)/1e6)
	for _, p := range own {
		span := e.Points[p.First:]
		first, last := &e.Points[p.First], &e.Points[p.First]
		for i := range span {
			if span[i].AtMS <= p.EndedMS {
				last = &span[i]
			}
		}
		fmt.Fprintf(w, "Miles %.3f to %.3f, %s to %s: %d positions on the route, matched share %.2f, confidence %.3f; %.3f mi farther "+
			"beside the line than noise explains.\n", p.FromMi, p.ToMi, secondText(p.BeganMS), secondText(p.EndedMS), p.Points,
			p.MatchShare, p.Confidence, p.BesideMi)
		fmt.Fprintf(w, "Its first position is of %s, its last of %s; what lies beyond is the way to where it joined or left the route.\n",
			secondText(first.AtMS), secondText(last.AtMS))
		fmt.Fprintf(w, "Pounds: %.1f, by %s.\n", float64(p.Pounds)/1e6, p.Basis)
	}
	_, err := fmt.Fprintln(w, "Positions tell where a truck was to within their noise; where lines run side by side look at the picture.")
	return err
}

func secondText(ms int64) string { return time.UnixMilli(ms).UTC().Format(time.RFC3339) }

const (
	pictureSide  = 1000.0
	pictureSpare = 40.0
	metreAtLeast = 300.0 // side of a picture, metres
)

// Draw draws the lines around the passes, the positions of their time and a little before and after, and where each was found to be.
func (e *Explained) Draw(w io.Writer, own []trace.Pass) error {
	fromMS, toMS := own[0].BeganMS-60_000, own[len(own)-1].EndedMS+60_000
	west, south, east, north := math.Inf(1), math.Inf(1), math.Inf(-1), math.Inf(-1)
	for _, p := range e.Points {
		if p.AtMS >= fromMS && p.AtMS <= toMS {
			west, east, south, north = min(west, p.Lon), max(east, p.Lon), min(south, p.Lat), max(north, p.Lat)
		}
	}
	shrink := math.Cos((south + north) / 2 * math.Pi / 180)
	sideDeg := max((east-west)*shrink, north-south, metreAtLeast/111_000)
	scale := (pictureSide - 2*pictureSpare) / sideDeg
	at := func(lon, lat float64) string {
		return fmt.Sprintf("%.1f,%.1f", pictureSpare+(lon-west)*shrink*scale, pictureSpare+(north-lat)*scale)
	}
	height := max(2*pictureSpare+(north-south)*scale, pictureSide/3) + 2*pictureSpare
	fmt.Fprintf(w, `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %.0f %.0f" font-family="sans-serif" font-size="14">`+"\n"+
		`<title>Positions and what was matched</title><rect width="100%%" height="100%%" fill="#fff"/>`+"\n", pictureSide, height)
	e.drawRoads(w, own[0].Route, at)
	for i, p := range e.Points {
		if p.AtMS < fromMS || p.AtMS > toMS {
			continue
		}
		fill := positionFill(&e.Places[i], own[0].Route)
		if road := e.Places[i].Road; road != matching.NoRoute {
			matched := at(e.Network.Position(road, e.Places[i].AlongM))
			fmt.Fprintf(w, `<polyline points="%s %s" stroke="%s"/>`, at(p.Lon, p.Lat), matched, fill)
		}
		x, y, _ := strings.Cut(at(p.Lon, p.Lat), ",")
		fmt.Fprintf(w, `<circle cx="%s" cy="%s" r="3.5" fill="%s"><title>%s</title></circle>`+"\n", x, y, fill, secondText(p.AtMS))
	}
	fmt.Fprintf(w, `<rect y="%.0f" width="100%%" height="60" fill="#fff"/><text x="%v" y="%.0f">Dots are positions, tied to where they `+
		`were matched: blue on the pass's route, orange on another, grey on none, red left out.</text>`+"\n", height-60, pictureSpare,
		height-35)
	_, err := fmt.Fprintf(w, `<text x="%v" y="%.0f">Blue line: the pass's route; orange lines: other routes; grey lines: roads that are `+
		`nobody's. The picture is %.0f m wide.</text>`+"\n</svg>\n", pictureSpare, height-15, pictureSide/scale*111_000)
	return err
}

// drawRoads draws all lines, the pass's route above the others and named.
func (e *Explained) drawRoads(w io.Writer, route int32, at func(lon, lat float64) string) {
	line := func(road int32, stroke string, width int) {
		points := make([]string, 0, 16)
		for _, p := range e.Network.Line(road) {
			points = append(points, at(p[0], p[1]))
		}
		fmt.Fprintf(w, `<polyline points="%s" fill="none" stroke="%s" stroke-width="%d"/>`+"\n", strings.Join(points, " "), stroke, width)
	}
	for road := range e.Network.Roads() {
		if e.Network.IsRoute(road) {
			line(road, "#f0c08a", 3)
		} else {
			line(road, "#dddddd", 2)
		}
	}
	line(route, "#9cc3e6", 5)
}

func positionFill(place *matching.Place, route int32) string {
	switch {
	case place.Kind == matching.Jump || place.Kind == matching.Frozen || place.Kind == matching.Repeated:
		return "#c00000"
	case place.Route == route:
		return "#1f5f9e"
	case place.Route != matching.NoRoute:
		return "#c46a00"
	}
	return "#777777"
}
