package site

import (
	"cmp"
	"slices"
	"time"
)

// asideSum is what is set aside of one truck.
type asideSum struct {
	truckID string
	rows    int64
	lb      *float64
	reasons []string // most rows first
}

// asideSection says what is not counted yet; found is false when everything is counted.
func (b *book) asideSection(root string, tables ...Table) (s Section, found bool) {
	sums := b.asideSums()
	rows, lb, trucks := int64(0), 0.0, 0
	for _, sum := range sums {
		if sum.truckID != "" {
			trucks++
		}
		rows += sum.rows
		lb += orZero(sum.lb)
	}
	return Section{ID: "not-counted", Title: "Not counted yet", Tone: "warn", Text: []string{setAsideSentence(b.units, rows, lb, trucks), asideTrucksSentence(b.units, sums)},
		Tables: tables, Links: []Cell{link("Each row, with what would mend it", root+"data.html#quarantine")}}, rows > 0
}

// asideSums gathers set_aside by truck, the most pounds first.
func (b *book) asideSums() []asideSum {
	list := sorted(b.data.SetAside, func(x, y SetAside) int {
		return cmp.Or(cmp.Compare(x.TruckID, y.TruckID), compareOptional(y.Rows, x.Rows), cmp.Compare(x.Reason, y.Reason))
	})
	var sums []asideSum
	for _, item := range list {
		if n := len(sums); n == 0 || sums[n-1].truckID != item.TruckID {
			sums = append(sums, asideSum{truckID: item.TruckID})
		}
		sum := &sums[len(sums)-1]
		if item.Rows != nil {
			sum.rows += *item.Rows
		}
		if item.DispensedLb != nil {
			lb := orZero(sum.lb) + *item.DispensedLb
			sum.lb = &lb
		}
		sum.reasons = append(sum.reasons, item.Reason)
	}
	slices.SortStableFunc(sums, func(x, y asideSum) int { return cmp.Compare(orZero(y.lb), orZero(x.lb)) })
	return sums
}

// asideByReason is the whole table of the data page.
func (b *book) asideByReason() Table {
	list := sorted(b.data.SetAside, func(x, y SetAside) int {
		return cmp.Or(cmp.Compare(orZero(y.DispensedLb), orZero(x.DispensedLb)), compareOptional(y.Rows, x.Rows), cmp.Compare(x.TruckID, y.TruckID), cmp.Compare(x.Reason, y.Reason))
	})
	return filled(b, Table{ID: "set-aside", Caption: b.unitWords("Pass rows set aside, by truck and reason, the most pounds first"),
		Download: "quarantine.csv"}, []Column[SetAside]{
		truckColumn(func(s SetAside) string { return truckName(s.TruckID) }), prose("Reason", func(s SetAside) string { return s.Reason }),
		counts("Rows", "", func(s SetAside) *int64 { return s.Rows }),
		numbers(b, "Reported", "lb", mass, func(s SetAside) *float64 { return s.DispensedLb }),
		moments(b, "First", func(s SetAside) *time.Time { return s.FirstAt }),
		moments(b, "Last", func(s SetAside) *time.Time { return s.LastAt }),
	}, list)
}

func truckName(id string) string { return cmp.Or(id, "(no truck)") }
