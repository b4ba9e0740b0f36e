package release

import (
	"math"
	"slices"

	"lanetally/pipeline/contract"
)

// lever is what a crew put down in a sum that alone is told of it and others. Up to most pounds of it could as well be theirs, and each
// would change a sum of other pounds of the same passes by its tilt: 0 where both crews' are alike for a pound told.
type lever struct {
	parts           []*crewPart // of the crew
	own, most       float64
	judged, weighed float64 // tilts of the pounds that the comparison sums, and of those by weighed loads
}

func judgedTilt(l lever) float64  { return l.judged }
func weighedTilt(l lever) float64 { return l.weighed }

// isTilted tells whether a tilt is more than rounding to millionths of a pound makes of 0.
func isTilted(tilt float64) bool { return math.Abs(tilt) > 1e-6 }

func leverOf(own, others []*crewPart) lever {
	told, judged, weighed := sums(own)
	othersTold, othersJudged, othersWeighed := sums(others)
	l := lever{parts: own, own: told, most: min(told, othersTold)}
	if l.most > 0 && own[0].IsCounted {
		l.judged = judged/told - othersJudged/othersTold
	}
	if l.most > 0 && own[0].IsWeighed {
		l.weighed = weighed/told - othersWeighed/othersTold
	}
	return l
}

func sums(parts []*crewPart) (told, judged, weighed float64) {
	for _, p := range parts {
		told, judged, weighed = told+float64(p.AppliedMicro), judged+float64(p.JudgedMicro), weighed+float64(p.WeighedMicro)
	}
	return told, judged, weighed
}

// withholdScaled withholds what pounds that are scaled would tell: the comparison's rows of zones, and sums of weighed pounds, that hold a
// protected crew's pounds and others' scaled otherwise; and those of whole seasons, where many together would.
func (w *withholding) withholdScaled(parts []crewPart) {
	hidden := map[string][]*crewPart{} // by what tells only their sum: the row, the storm, or the season
	for i := range parts {
		p := &parts[i]
		key := partRow{p}.row()
		switch {
		case p.OfStorm:
			key = partRow{p}.season()
		case p.OfRoute:
			key = partRow{p}.block()
		}
		if p.OfCrew {
			hidden[key] = append(hidden[key], p)
		}
	}
	levers := map[string]map[string][]lever{} // of each crew, by season and class
	for _, key := range contract.SortedKeys(hidden) {
		crews := map[string][]*crewPart{}
		for _, p := range hidden[key] {
			crews[p.CrewID] = append(crews[p.CrewID], p)
		}
		for _, crewID := range contract.SortedKeys(crews) {
			p := crews[crewID][0]
			if !p.IsProtected {
				continue
			}
			l := leverOf(crews[crewID], slices.DeleteFunc(slices.Clone(hidden[key]), func(p *crewPart) bool { return p.CrewID == crewID }))
			for _, held := range hidden[key] {
				held.OfZone = held.OfZone || isTilted(l.judged)
				held.OfWeighed = held.OfWeighed || isTilted(l.weighed)
			}
			at := p.Season + "\n" + p.Class
			if levers[at] == nil {
				levers[at] = map[string][]lever{}
			}
			levers[at][p.CrewID] = append(levers[at][p.CrewID], l)
		}
	}
	for _, at := range contract.SortedKeys(levers) {
		w.withholdSeason(at, levers[at])
	}
}

// withholdSeason withholds a season's sums of judged and of weighed pounds where they leave too little of a crew open; rather than that, it
// hides two rows of others that are scaled otherwise, if this leaves enough open.
func (w *withholding) withholdSeason(at string, crews map[string][]lever) {
	isOpen, isWeighedOpen := areOpen(crews, nil)
	if !isOpen || !isWeighedOpen {
		if two := w.counterweight(at); two != nil {
			free := leverOf(two[0], two[1])
			free.own = 0 // nobody is after it
			if isBetter, isWeighedBetter := areOpen(crews, []lever{free}); isBetter != isOpen || isWeighedBetter != isWeighedOpen {
				w.hide(two[0])
				w.hide(two[1])
				for _, p := range slices.Concat(two...) {
					p.OfZone, p.OfWeighed = true, true
				}
				isOpen, isWeighedOpen = isBetter, isWeighedBetter
			}
		}
	}
	for _, levers := range crews {
		for _, l := range levers {
			for _, p := range l.parts {
				p.OfComparison, p.OfWeighedAll = !isOpen, !isWeighedOpen
			}
		}
	}
}

// counterweight is the two rows of the same sums, of a season and class and of crews who are not protected, whose pounds could change most
// of the sum of judged pounds.
func (w *withholding) counterweight(at string) (two []partRow) {
	best := 0.0
	for _, block := range contract.SortedKeys(w.blocks) {
		rows := slices.DeleteFunc(slices.Clone(w.blocks[block]), func(r partRow) bool {
			return r[0].Season+"\n"+r[0].Class != at || !r[0].IsCompared || r[0].OfRoute || r[0].OfStorm ||
				slices.ContainsFunc(slices.Concat(w.routes[r.route()]...), func(p *crewPart) bool { return p.IsProtected })
		})
		for i, x := range rows {
			for _, y := range rows[:i] {
				if l := leverOf(x, y); l.most*math.Abs(l.judged) > best {
					two, best = []partRow{x, y}, l.most*math.Abs(l.judged)
				}
			}
		}
	}
	return two
}

// areOpen tells whether a season's sums of judged and of weighed pounds leave enough of each crew open, beside others' levers. Both
// together leave open what each does where judged pounds are told ones, or weighed ones, and routes that are not compared do alone.
func areOpen(crews map[string][]lever, beside []lever) (judged, weighed bool) {
	judged, weighed = true, true
	for _, levers := range crews {
		var compared, others []lever
		for _, l := range levers {
			if l.parts[0].IsCompared {
				compared = append(compared, l)
			} else {
				others = append(others, l)
			}
		}
		compared = append(compared, beside...)
		isOne := !slices.ContainsFunc(compared, func(l lever) bool { return isTilted(l.judged) }) ||
			!slices.ContainsFunc(compared, func(l lever) bool { return isTilted(l.judged - l.weighed) })
		judged = judged && leavesOpen(compared, judgedTilt)
		weighed = weighed && isOne && leavesOpen(compared, weighedTilt) && leavesOpen(others, weighedTilt)
	}
	return judged, weighed
}

// leavesOpen tells whether a sum of pounds with a tilt leaves what a crew put down, in each place, storm and route and in all, in a wide
// enough range.
func leavesOpen(levers []lever, tilt func(lever) float64) bool {
	wholes := map[string][]int{}
	for i, l := range levers {
		first := l.parts[0]
		if l.own == 0 {
			continue
		}
		for _, of := range []string{"", first.StormID, first.RouteID, partRow{first}.row()} {
			wholes[of] = append(wholes[of], i)
		}
	}
	for _, whole := range wholes {
		if !isOpen(levers, whole, tilt) {
			return false
		}
	}
	return true
}

// isOpen tells it of what a crew put down in a whole of some levers. The most that it can move while the sum stays is the least, over
// every z, of the sum of most x |1 - z tilt| over the whole and of most x |z tilt| over the others: the dual of a linear program with one
// equation, whose least makes one of the whole's terms 0.
func isOpen(levers []lever, whole []int, tilt func(lever) float64) bool {
	isIn, own, zs := make([]float64, len(levers)), 0.0, []float64{0}
	for _, i := range whole {
		isIn[i], own = 1, own+levers[i].own
		if t := tilt(levers[i]); isTilted(t) {
			zs = append(zs, 1/t)
		}
	}
	for _, z := range zs {
		moved := 0.0
		for i, l := range levers {
			moved += l.most * math.Abs(isIn[i]-z*tilt(l))
		}
		if 100*moved < leastOtherPct*own {
			return false
		}
	}
	return true
}
