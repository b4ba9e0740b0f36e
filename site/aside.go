package site

import (
	"cmp"
	"time"
)

// asideSection says what is not counted yet; found is false when everything is counted.
func (b *book) asideSection(root string, tables ...Table) (s Section, found bool) {
	all, sums := b.asideSums()
	trucks := 0
	for _, sum := range sums {
		if sum.TruckID != "" {
			trucks++
		}
	}
	text := []string{setAsideSentence(b.units, all.Rows, orZero(all.DispensedLb), trucks), asideTrucksSentence(b.units, sums)}
	return Section{ID: "not-counted", Title: "Not counted yet", Tone: "warn", Text: text,
		Tables: tables, Links: []Cell{link("Each row, with what would mend it", root+"data.html#quarantine")}}, all.Rows > 0
}

// asideSums are the rows of set_aside_trucks: of all trucks, and of each, the most pounds first.
func (b *book) asideSums() (all SetAsideTruck, sums []SetAsideTruck) {
	for _, sum := range b.data.SetAsideTrucks {
		if sum.Part == "all" {
			all = sum
		} else {
			sums = append(sums, sum)
		}
	}
	return all, sorted(sums, func(x, y SetAsideTruck) int {
		return cmp.Or(cmp.Compare(orZero(y.DispensedLb), orZero(x.DispensedLb)), cmp.Compare(x.TruckID, y.TruckID))
	})
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
