package words

import (
	"fmt"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// CoverageKey explains the strip of coverage.
const CoverageKey = "Numbers are applications, times over all lanes of the stretch; those of narrow stretches stand in the table. " +
	"Empty and outlined: missed, while others were reached. " +
	"Between two bars: doubled, at least 1.8 times the middle one of the stretches reached. Grey bands: bridges. A pass counts as " +
	"spread evenly from its first post to its last; spots of unknown length are in no stretch."

// CoverageSentence answers where the season's solids went down on a route.
func CoverageSentence(season string, s book.CoverageSums) string {
	if s.Storms == 0 {
		return fmt.Sprintf("In the %s season no closed storm has a treating pass of solids whose place is known here, so nothing can "+
			"be said of missed or doubled stretches.", season)
	}
	return fmt.Sprintf("In the %s season solids reached %s; %s.", season, reachedWords(s), doubledWords(s))
}

func reachedWords(s book.CoverageSums) string {
	all := s.Storms - s.Missed
	if s.Missed == 0 {
		if s.Storms == 1 {
			return "the whole route in the one closed storm with solids"
		}
		return fmt.Sprintf("the whole route in all %s closed storms with solids", format.Whole(s.Storms))
	}
	return fmt.Sprintf("the whole route in %s of %s with solids and left a part out in %s, most on %s: %s %% of its length",
		format.Whole(all), format.Counted(s.Storms, "closed storm", "closed storms"), format.Whole(s.Missed),
		s.WorstStorm, format.Percent(&s.WorstShare))
}

func doubledWords(s book.CoverageSums) string {
	switch s.Doubled {
	case 0:
		return "no stretch got twice what the rest got"
	case 1:
		return "in 1 storm a stretch got about twice the applications of the rest, or more"
	}
	return fmt.Sprintf("in %s storms a stretch got about twice the applications of the rest, or more", format.Whole(s.Doubled))
}

// BridgeSentence says what is known of the route's bridges; "" where nothing is.
func BridgeSentence(u format.Units, bridges []rows.Bridge, laneMi *float64) string {
	if len(bridges) > 0 {
		var list []book.Between
		for _, b := range bridges {
			list = append(list, book.Between{From: b.FromMi, To: b.ToMi})
		}
		return fmt.Sprintf("%s marked, at %s %s.", format.Capital(format.Counted(len(bridges), "bridge is", "bridges are")), plural(list),
			book.PostsOf(list))
	}
	if laneMi != nil && *laneMi > 0 {
		return u.Sprintf("Bridges make up %s lane-miles of this route; where they lie is not on record: reference/bridges.csv marks "+
			"them on the strip.", u.LaneMiles(laneMi))
	}
	return ""
}

func plural(list []book.Between) string {
	if len(list) == 1 {
		return "post"
	}
	return "posts"
}
