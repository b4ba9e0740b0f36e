package book

import (
	"cmp"
	"fmt"
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

// Reconciled lists the rows of reconciliation by truck, material and week.
func (b *Book) Reconciled() []rows.Reconciliation {
	return Sorted(b.Data.Reconciliation, func(x, y rows.Reconciliation) int {
		return cmp.Or(cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.MaterialID, y.MaterialID), x.Week.Compare(y.Week))
	})
}

// SeasonOfDate is the season, such as 2029-30, of a calendar date: 1 July to 30 June.
func SeasonOfDate(date time.Time) string {
	year := date.UTC().Year()
	if date.UTC().Month() < time.July {
		year--
	}
	return seasonName(year)
}

// IsWrongSetting tells the finding that a spreader may be set for another material.
func IsWrongSetting(finding string) bool { return strings.HasPrefix(finding, "set for ") }

// LatestRatio is the latest row with a running ratio; nil without one.
func LatestRatio(rows []rows.Reconciliation) *rows.Reconciliation {
	for i := len(rows) - 1; i >= 0; i-- {
		if rows[i].RunningRatio != nil {
			return &rows[i]
		}
	}
	return nil
}

// seasonName is the season that begins on 1 July of a year, such as 2029-30.
func seasonName(year int) string { return fmt.Sprintf("%d-%02d", year, (year+1)%100) }
