package site

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"
)

// covered is what one route got of one material in one storm, along its miles.
type covered struct {
	stormID, class, form, season string
	isOpen                       bool
	spans                        []CoverageSpan // by from_mi
}

// between is a part of a route, by its reference posts.
type between struct{ from, to float64 }

// readCoverage gathers the spans of each route by storm, oldest first, and material.
func (b *book) readCoverage() {
	spans := sorted(b.data.Coverage, func(x, y CoverageSpan) int {
		return cmp.Or(b.began(x.StormID).Compare(b.began(y.StormID)), cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.RouteID, y.RouteID),
			cmp.Compare(x.MaterialClass, y.MaterialClass), cmp.Compare(y.Form, x.Form), cmp.Compare(x.FromMi, y.FromMi))
	})
	b.coverage = map[string][]covered{}
	for _, s := range spans {
		rows := b.coverage[s.RouteID]
		last := len(rows) - 1
		if last < 0 || rows[last].stormID != s.StormID || rows[last].class != s.MaterialClass || rows[last].form != s.Form {
			e := b.eventByID[s.StormID]
			rows = append(rows, covered{stormID: s.StormID, class: s.MaterialClass, form: s.Form, season: s.Season, isOpen: e != nil && e.IsOpen})
			last++
		}
		rows[last].spans = append(rows[last].spans, s)
		b.coverage[s.RouteID] = rows
	}
}

// in lists the stretches of a state, neighbours as one.
func (c covered) in(state string) []between {
	var list []between
	for _, s := range c.spans {
		if s.State != state {
			continue
		}
		if n := len(list); n > 0 && list[n-1].to == s.FromMi {
			list[n-1].to = s.ToMi
			continue
		}
		list = append(list, between{s.FromMi, s.ToMi})
	}
	return list
}

// applications are the least and the most along the route.
func (c covered) applications() (least, most float64) {
	least = math.Inf(1)
	for _, s := range c.spans {
		least, most = min(least, s.Applications), max(most, s.Applications)
	}
	return least, most
}

// length is the route's, in miles.
func (c covered) length() float64 { return c.spans[len(c.spans)-1].ToMi - c.spans[0].FromMi }

// lastTreated is when the last pass of all spans ended.
func (c covered) lastTreated() *time.Time {
	last := c.spans[0].LastTreatedAt
	for _, s := range c.spans {
		if s.LastTreatedAt != nil && (last == nil || s.LastTreatedAt.After(*last)) {
			last = s.LastTreatedAt
		}
	}
	return last
}

func length(list []between) (miles float64) {
	for _, s := range list {
		miles += s.to - s.from
	}
	return miles
}

// both keeps what lies in the stretches of a and of b.
func both(a, b []between) (list []between) {
	for _, x := range a {
		for _, y := range b {
			if from, to := max(x.from, y.from), min(x.to, y.to); from < to {
				list = append(list, between{from, to})
			}
		}
	}
	return list
}

// mostPlaces is how many stretches a cell names.
const mostPlaces = 4

// postsOf names stretches by their posts. These are addresses along the route, the same whatever units the pages show.
func postsOf(list []between) string {
	if len(list) == 0 {
		return missing
	}
	var names []string
	for _, s := range list[:min(len(list), mostPlaces)] {
		names = append(names, interval(&s.from, &s.to, post))
	}
	text := strings.Join(names, ", ")
	if more := len(list) - mostPlaces; more > 0 {
		text += " and " + whole(more) + " more"
	}
	return text
}

// post writes a reference post to a hundredth where it needs it, else to a tenth.
func post(x *float64) string {
	if math.Abs(*x*10-math.Round(*x*10)) < 1e-6 {
		return fixed(x, 1)
	}
	return fixed(x, 2)
}

// coverageSums answers where a season's solids went down on a route, over closed storms.
type coverageSums struct {
	storms, missed, doubled int
	worstShare              float64 // the most that one storm left out, of the route's length
	worstStorm              string
}

// coverageSums counts storms: missed is what the solids of no class reached.
func (b *book) coverageSums(rows []covered, season string) (s coverageSums) {
	for i := 0; i < len(rows); {
		end := i
		var left []between
		isSolid, isDoubled, whole := false, false, 0.0
		for ; end < len(rows) && rows[end].stormID == rows[i].stormID; end++ {
			row := rows[end]
			if row.form != solid || row.isOpen || row.season != season {
				continue
			}
			if !isSolid {
				left = row.in(missedState)
			} else {
				left = both(left, row.in(missedState))
			}
			isSolid, isDoubled = true, isDoubled || len(row.in(doubledState)) > 0
			whole = row.length()
		}
		if isSolid {
			s.storms++
			s.count(length(left)/whole, isDoubled, b.clock.day(b.began(rows[i].stormID)))
		}
		i = end
	}
	return s
}

func (s *coverageSums) count(leftShare float64, isDoubled bool, day string) {
	if leftShare > 0 {
		s.missed++
	}
	if leftShare > s.worstShare {
		s.worstShare, s.worstStorm = leftShare, day
	}
	if isDoubled {
		s.doubled++
	}
}

// coverageSection shows where along the route material went down.
func (b *book) coverageSection(route Route) Section {
	rows := b.coverage[route.RouteID]
	season := b.latestSeason()
	s := Section{ID: "coverage", Title: "Where it went down", Picture: "coverage-picture", Text: []string{coverageSentence(season, b.coverageSums(rows, season)), bridgeSentence(b.units, b.bridges[route.RouteID], route.BridgeLaneMiles)},
		Tables: []Table{b.coverageTable(rows)}}
	s.Text = slices.DeleteFunc(s.Text, func(text string) bool { return text == "" })
	var shown []covered
	for _, row := range rows {
		if row.season == season && row.form == solid {
			shown = append(shown, row)
		}
	}
	if len(shown) > 0 {
		s.HasMarks = true
		s.Figures = []Figure{{Title: "Solids along the route in the " + season + " season, storm by storm", Caption: coverageKey, Drawing: b.coverageFigure(shown, b.bridges[route.RouteID]), IsWide: true}}
	}
	return s
}

// coverageTable holds the figures of every strip, the latest first.
func (b *book) coverageTable(rows []covered) Table {
	part := func(state string) func(covered) *float64 {
		return func(c covered) *float64 { return new(length(c.in(state)) / c.length()) }
	}
	posts := func(state string) func(covered) string {
		return func(c covered) string { return postsOf(c.in(state)) }
	}
	return filled(b, Table{ID: "route-coverage", Caption: "Where material went down in every storm, the latest first",
		Download: "coverage.parquet", Empty: "No treating pass whose place is known was reported in a storm.",
		Note: "Posts are the reference posts by which passes name their place."}, []Column[covered]{
		cells("Storm", func(c covered) Cell { return b.stormCell("../", c.stormID, c.isOpen) }).safe(),
		materialColumn(func(c covered) (class, form string) { return c.class, c.form }),
		numbers(b, "Least", "applications", hundredths, func(c covered) *float64 { least, _ := c.applications(); return &least }),
		numbers(b, "Most", "applications", hundredths, func(c covered) *float64 { _, most := c.applications(); return &most }),
		shares(b, "Missed", "% of the route", part(missedState)), prose("At posts", posts(missedState)),
		shares(b, "Doubled", "% of the route", part(doubledState)), prose("At posts", posts(doubledState)),
		moments(b, "Last treated", (covered).lastTreated),
	}, latestFirst(rows), marked("open", func(c covered) bool { return c.isOpen }))
}
