package site

import "fmt"

// coverageKey explains the strip of coverage.
const coverageKey = "Numbers are applications, times over all lanes of the stretch; those of narrow stretches stand in the table. Empty and outlined: missed, while others were reached. " +
	"Between two bars: doubled, at least 1.8 times the middle one of the stretches reached. Grey bands: bridges. A pass counts as spread evenly from its first post to its last; spots of unknown length are in no stretch."

// coverageSentence answers where the season's solids went down on a route.
func coverageSentence(season string, s coverageSums) string {
	if s.storms == 0 {
		return fmt.Sprintf("In the %s season no closed storm has a treating pass of solids whose place is known here, so nothing can be said of missed or doubled stretches.", season)
	}
	return fmt.Sprintf("In the %s season solids reached %s; %s.", season, reachedWords(s), doubledWords(s))
}

func reachedWords(s coverageSums) string {
	all := s.storms - s.missed
	if s.missed == 0 {
		if s.storms == 1 {
			return "the whole route in the one closed storm with solids"
		}
		return fmt.Sprintf("the whole route in all %s closed storms with solids", whole(s.storms))
	}
	return fmt.Sprintf("the whole route in %s of %s with solids and left a part out in %s, most on %s: %s %% of its length", whole(all), counted(s.storms, "closed storm", "closed storms"), whole(s.missed),
		s.worstStorm, percent(&s.worstShare))
}

func doubledWords(s coverageSums) string {
	switch s.doubled {
	case 0:
		return "no stretch got twice what the rest got"
	case 1:
		return "in 1 storm a stretch got about twice the applications of the rest, or more"
	}
	return fmt.Sprintf("in %s storms a stretch got about twice the applications of the rest, or more", whole(s.doubled))
}

// bridgeSentence says what is known of the route's bridges; "" where nothing is.
func bridgeSentence(u units, bridges []Bridge, laneMi *float64) string {
	if len(bridges) > 0 {
		var list []between
		for _, b := range bridges {
			list = append(list, between{b.FromMi, b.ToMi})
		}
		return fmt.Sprintf("%s marked, at %s %s.", capital(counted(len(bridges), "bridge is", "bridges are")), plural(list), postsOf(list))
	}
	if laneMi != nil && *laneMi > 0 {
		return u.sprintf("Bridges make up %s lane-miles of this route; where they lie is not on record: reference/bridges.csv marks them on the strip.", u.laneMiles(laneMi))
	}
	return ""
}

func plural(list []between) string {
	if len(list) == 1 {
		return "post"
	}
	return "posts"
}
