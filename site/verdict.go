package site

import (
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

// allCrews is the crew_id of the rows of learning that hold all crews together.
const allCrews = "all"

// The states of a claim on the season page.
const (
	isShown        = "shown"
	isNotShown     = "not shown"
	isContradicted = "contradicted"
	isTooEarly     = "too early"
)

// claim is one of the five things that a season should show, with what the numbers say of it.
type claim struct{ Name, State, Words string }

// partVerdict parts a verdict from the caveats that travel with it.
func partVerdict(verdict string) (base string, caveats []string) {
	parts := strings.Split(verdict, "; ")
	return parts[0], parts[1:]
}

// learningOf is the row of a crew, or of `all`; nil where there is none.
func (b *book) learningOf(crewID string) *Learning {
	for i := range b.data.Learning {
		if b.data.Learning[i].CrewID == crewID {
			return &b.data.Learning[i]
		}
	}
	return nil
}

// comparisonOf is the season's row of comparison; nil where there is none.
func (b *book) comparisonOf(season string) *Comparison {
	for i, row := range b.data.Comparison {
		if row.Season == season && row.StormID == "" && row.ZoneID == "" {
			return &b.data.Comparison[i]
		}
	}
	return nil
}

// setting is a setting in force as a number; missing is 0.
func (b *book) setting(name string) float64 {
	for _, s := range b.data.Settings {
		if s.Name == name {
			value, err := strconv.ParseFloat(s.Value, 64)
			if err == nil {
				return value
			}
		}
	}
	return 0
}

// isSeasonOpen tells whether a season, such as 2029-30, still runs when the data ends: it closes on 1 July, local date.
func (b *book) isSeasonOpen(season string) bool {
	first, err := strconv.Atoi(strings.SplitN(season, "-", 2)[0])
	if err != nil || b.data.AsOf == nil {
		return true
	}
	return b.data.AsOf.Before(time.Date(first+1, time.July, 1, 0, 0, 0, 0, b.clock.zone))
}

// claims are the season's five lines, roads first. The learning fit pools all seasons; the comparison is the season's.
func claims(u units, l *Learning, c *Comparison) []claim {
	return []claim{
		{"Roads come bare no later", roadsState(l, c), roadsWords(u, l, c)},
		{u.unitWords("{Acetate} begins 1.25 to 1.50 times as high as {salt}"), startState(l), startSentence(u, l)},
		{u.unitWords("{Acetate} rates come down as crews gain storms"), learningState(l), trendWords(u, l)},
		{u.unitWords("{Acetate} routes get fewer applications"), applicationsState(c), applicationsWords(u, c)},
		{u.unitWords("{Acetate} routes get about the same pounds"), poundsState(c), poundsWords(u, c)},
	}
}

// roadsState is shown only where both the comparison and the service guard say that roads were no worse.
func roadsState(l *Learning, c *Comparison) string {
	switch {
	case (c != nil && c.RegainVerdict == rows.RoadsWorse) || (l != nil && l.ServiceVerdict == rows.ServiceSlower):
		return isContradicted
	case c == nil || c.Verdict == rows.TooEarly:
		return isTooEarly
	case c.RegainVerdict == rows.RoadsNoWorse && l != nil && l.ServiceVerdict == rows.ServiceHeld:
		return isShown
	}
	return isNotShown
}

// startState judges the start beside salt; where an order may have moved the rates, the start that the fit draws back to is not known either.
func startState(l *Learning) string {
	if l == nil || isEarly(l) {
		return isTooEarly
	}
	if base, _ := partVerdict(l.Verdict); base == rows.FromOrder {
		return isNotShown
	}
	switch l.StartVerdict {
	case rows.StartWithin:
		return isShown
	case rows.StartAbove, rows.StartBelow:
		return isContradicted
	}
	return isNotShown
}

func isEarly(l *Learning) bool {
	base, _ := partVerdict(l.Verdict)
	return base == rows.TooEarly
}

// learningState is shown only for a fall that goes beyond salt's own.
func learningState(l *Learning) string {
	if l == nil || isEarly(l) {
		return isTooEarly
	}
	switch base, _ := partVerdict(l.Verdict); {
	case base == rows.Rising:
		return isContradicted
	case base == rows.Falling && l.ControlVerdict == rows.ControlBeyond:
		return isShown
	}
	return isNotShown
}

func applicationsState(c *Comparison) string {
	if c == nil || c.ApplicationsVerdict == rows.TooEarly {
		return isTooEarly
	}
	switch c.ApplicationsVerdict {
	case rows.Fewer:
		return isShown
	case rows.More:
		return isContradicted
	}
	return isNotShown
}

func poundsState(c *Comparison) string {
	if c == nil || c.Verdict == rows.TooEarly {
		return isTooEarly
	}
	switch c.Verdict {
	case rows.AboutTheSame, rows.Less:
		return isShown
	case rows.More:
		return isContradicted
	}
	return isNotShown
}
