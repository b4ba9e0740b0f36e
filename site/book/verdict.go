package book

import (
	"slices"
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

// AllCrews is the crew_id of the rows of learning that hold all crews together.
const AllCrews = "all"

// The states of a claim on the season page.
const (
	IsShown        = "shown"
	IsNotShown     = "not shown"
	IsContradicted = "contradicted"
	IsTooEarly     = "too early"
)

// Claim is one of the five things that a season should show, with what the numbers say of it.
type Claim struct{ Name, State, Words string }

// PartVerdict parts a verdict from the caveats that travel with it.
func PartVerdict(verdict string) (base string, caveats []string) {
	parts := strings.Split(verdict, "; ")
	return parts[0], parts[1:]
}

// LearningOf is the row of a crew, or of `all`; nil where there is none.
func (b *Book) LearningOf(crewID string) *rows.Learning {
	for i := range b.Data.Learning {
		if b.Data.Learning[i].CrewID == crewID {
			return &b.Data.Learning[i]
		}
	}
	return nil
}

// ComparisonOf is the season's row of comparison; nil where there is none.
func (b *Book) ComparisonOf(season string) *rows.Comparison {
	for i, row := range b.Data.Comparison {
		if row.Season == season && row.StormID == "" && row.ZoneID == "" {
			return &b.Data.Comparison[i]
		}
	}
	return nil
}

// Setting is a setting in force as a number; missing is 0.
func (b *Book) Setting(name string) float64 {
	for _, s := range b.Data.Settings {
		if s.Name == name {
			value, err := strconv.ParseFloat(s.Value, 64)
			if err == nil {
				return value
			}
		}
	}
	return 0
}

// IsSeasonOpen tells whether a season, such as 2029-30, still runs when the data ends: it closes on 1 July, local date.
func (b *Book) IsSeasonOpen(season string) bool {
	first, err := strconv.Atoi(strings.SplitN(season, "-", 2)[0])
	if err != nil || b.Data.AsOf == nil {
		return true
	}
	return b.Data.AsOf.Before(time.Date(first+1, time.July, 1, 0, 0, 0, 0, b.Clock.Zone))
}

// RoadsState is shown only where the season's roads were no worse.
func RoadsState(c *rows.Comparison) string {
	switch {
	case c != nil && c.RegainVerdict == rows.RoadsWorse:
		return IsContradicted
	case c == nil || c.Verdict == rows.TooEarly:
		return IsTooEarly
	case c.RegainVerdict == rows.RoadsNoWorse:
		return IsShown
	}
	return IsNotShown
}

// StartState judges the start beside salt; where an order may have moved the rates, the start that the fit draws back to is not known
// either.
func StartState(l *rows.Learning) string {
	if l == nil || IsEarly(l) {
		return IsTooEarly
	}
	if base, _ := PartVerdict(l.Verdict); base == rows.FromOrder {
		return IsNotShown
	}
	switch l.StartVerdict {
	case rows.StartWithin:
		return IsShown
	case rows.StartAbove, rows.StartBelow:
		return IsContradicted
	}
	return IsNotShown
}

// IsEarly tells a fit whose verdict is that it is too early for one.
func IsEarly(l *rows.Learning) bool {
	base, _ := PartVerdict(l.Verdict)
	return base == rows.TooEarly
}

// LearningState is shown only for a fall that goes beyond salt's own.
func LearningState(l *rows.Learning) string {
	if l == nil || IsEarly(l) {
		return IsTooEarly
	}
	switch base, _ := PartVerdict(l.Verdict); {
	case base == rows.Rising:
		return IsContradicted
	case base == rows.Falling && l.ControlVerdict == rows.ControlBeyond:
		return IsShown
	}
	return IsNotShown
}

// ApplicationsState is shown only for fewer applications; more contradict it. Nil is too early.
func ApplicationsState(c *rows.Comparison) string {
	if c == nil {
		return IsTooEarly
	}
	return stateOf(c.ApplicationsVerdict, rows.Fewer)
}

// stateOf is shown where the verdict is one of these; more contradicts them.
func stateOf(verdict string, shown ...string) string {
	switch {
	case verdict == rows.TooEarly:
		return IsTooEarly
	case slices.Contains(shown, verdict):
		return IsShown
	case verdict == rows.More:
		return IsContradicted
	}
	return IsNotShown
}

// PoundsState is shown for about the same pounds and for less; more contradict it. Nil is too early.
func PoundsState(c *rows.Comparison) string {
	if c == nil {
		return IsTooEarly
	}
	return stateOf(c.Verdict, rows.AboutTheSame, rows.Less)
}
