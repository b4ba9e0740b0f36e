package book

import (
	"cmp"
	"math"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// Covered is what one route got of one material in one storm, along its miles.
type Covered struct {
	StormID, Class, Form, Season string
	IsOpen                       bool
	Spans                        []rows.CoverageSpan // by from_mi
}

// Between is a part of a route, by its reference posts.
type Between struct{ From, To float64 }

// readCoverage gathers the spans of each route by storm, oldest first, and material.
func (b *Book) readCoverage() {
	spans := Sorted(b.Data.Coverage, func(x, y rows.CoverageSpan) int {
		return cmp.Or(b.CompareStorms(x.StormID, y.StormID), cmp.Compare(x.RouteID, y.RouteID),
			cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form), cmp.Compare(x.FromMi, y.FromMi))
	})
	b.Coverage = map[string][]Covered{}
	for _, s := range spans {
		rows := b.Coverage[s.RouteID]
		last := len(rows) - 1
		if last < 0 || rows[last].StormID != s.StormID || rows[last].Class != s.MaterialClass || rows[last].Form != s.Form {
			e := b.EventByID[s.StormID]
			rows = append(rows, Covered{StormID: s.StormID, Class: s.MaterialClass, Form: s.Form, Season: s.Season,
				IsOpen: e != nil && e.IsOpen})
			last++
		}
		rows[last].Spans = append(rows[last].Spans, s)
		b.Coverage[s.RouteID] = rows
	}
}

// In lists the stretches of a state, neighbours as one.
func (c Covered) In(state string) []Between {
	var list []Between
	for _, s := range c.Spans {
		if s.State != state {
			continue
		}
		if n := len(list); n > 0 && list[n-1].To == s.FromMi {
			list[n-1].To = s.ToMi
			continue
		}
		list = append(list, Between{s.FromMi, s.ToMi})
	}
	return list
}

// Applications are the least and the most along the route.
func (c Covered) Applications() (least, most float64) {
	least = math.Inf(1)
	for _, s := range c.Spans {
		least, most = min(least, s.Applications), max(most, s.Applications)
	}
	return least, most
}

// Length is the route's, in miles.
func (c Covered) Length() float64 { return c.Spans[len(c.Spans)-1].ToMi - c.Spans[0].FromMi }

// LastTreated is when the last pass of all spans ended.
func (c Covered) LastTreated() *time.Time {
	last := c.Spans[0].LastTreatedAt
	for _, s := range c.Spans {
		if s.LastTreatedAt != nil && (last == nil || s.LastTreatedAt.After(*last)) {
			last = s.LastTreatedAt
		}
	}
	return last
}

// Length is the sum of the lengths of stretches, in miles.
func Length(list []Between) (miles float64) {
	for _, s := range list {
		miles += s.To - s.From
	}
	return miles
}

// both keeps what lies in the stretches of a and of b.
func both(a, b []Between) (list []Between) {
	for _, x := range a {
		for _, y := range b {
			if from, to := max(x.From, y.From), min(x.To, y.To); from < to {
				list = append(list, Between{from, to})
			}
		}
	}
	return list
}

// mostPlaces is how many stretches a cell names.
const mostPlaces = 4

// PostsOf names stretches by their posts. These are addresses along the route, the same whatever units the pages show.
func PostsOf(list []Between) string {
	if len(list) == 0 {
		return format.Missing
	}
	var names []string
	for _, s := range list[:min(len(list), mostPlaces)] {
		names = append(names, format.Interval(&s.From, &s.To, post))
	}
	text := strings.Join(names, ", ")
	if more := len(list) - mostPlaces; more > 0 {
		text += " and " + format.Whole(more) + " more"
	}
	return text
}

// post writes a reference post to a hundredth where it needs it, else to a tenth.
func post(x *float64) string {
	if math.Abs(*x*10-math.Round(*x*10)) < 1e-6 {
		return format.Fixed(x, 1)
	}
	return format.Fixed(x, 2)
}

// CoverageSums answers where a season's solids went down on a route, over closed storms.
type CoverageSums struct {
	Storms, Missed, Doubled int
	WorstShare              float64 // the most that one storm left out, of the route's length
	WorstStorm              string
}

// CoverageSums counts storms: missed is what the solids of no class reached.
func (b *Book) CoverageSums(list []Covered, season string) (s CoverageSums) {
	for i := 0; i < len(list); {
		end := i
		var left []Between
		isSolid, isDoubled, whole := false, false, 0.0
		for ; end < len(list) && list[end].StormID == list[i].StormID; end++ {
			row := list[end]
			if row.Form != rows.Solid || row.IsOpen || row.Season != season {
				continue
			}
			if !isSolid {
				left = row.In(rows.MissedState)
			} else {
				left = both(left, row.In(rows.MissedState))
			}
			isSolid, isDoubled = true, isDoubled || len(row.In(rows.DoubledState)) > 0
			whole = row.Length()
		}
		if isSolid {
			s.Storms++
			s.count(Length(left)/whole, isDoubled, b.Clock.Day(b.Began(list[i].StormID)))
		}
		i = end
	}
	return s
}

func (s *CoverageSums) count(leftShare float64, isDoubled bool, day string) {
	if leftShare > 0 {
		s.Missed++
	}
	if leftShare > s.WorstShare {
		s.WorstShare, s.WorstStorm = leftShare, day
	}
	if isDoubled {
		s.Doubled++
	}
}
