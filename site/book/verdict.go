package book

import (
	"cmp"
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

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

// ClaimsOf are the answers to a season's claims, by number; none for a season before the compared class began.
func (b *Book) ClaimsOf(season string) []rows.ClaimRow {
	own := Where(b.Data.Claims, func(c rows.ClaimRow) bool { return c.Season == season })
	return Sorted(own, func(x, y rows.ClaimRow) int { return cmp.Compare(x.Claim, y.Claim) })
}

// BesideSaltOf is a season's row of beside_salt; zero where there is none.
func (b *Book) BesideSaltOf(season, question, contrast string) rows.BesideSalt {
	for _, row := range b.Data.BesideSalt {
		if row.Season == season && row.Question == question && row.Contrast == contrast {
			return row
		}
	}
	return rows.BesideSalt{}
}

// Roads are a season's verdicts, which hold those of its roads, with the ratio of 1 + hours to bare lane that these rest on.
type Roads struct {
	rows.SeasonVerdicts
	Hours rows.BesideSalt
}

// RoadsOf is what is known of a season's roads; zero where nothing is.
func (b *Book) RoadsOf(season string) Roads {
	r := Roads{Hours: b.BesideSaltOf(season, rows.QuestionHours, rows.ContrastSeason)}
	if c := b.ComparisonOf(season); c != nil {
		r.SeasonVerdicts = c.SeasonVerdicts
	}
	return r
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

// IsEarly tells a fit whose verdict is that it is too early for one.
func IsEarly(l *rows.Learning) bool {
	base, _ := PartVerdict(l.Verdict)
	return base == rows.TooEarly
}
