package scenario

import (
	"slices"
	"sort"
	"time"

	"lanetally/pipeline/scenario/land"
)

// stockRow is one row of the stock feed.
type stockRow struct {
	stockpileID, materialID, kind string
	at                            time.Time
	amountLb                      float64
}

// shrinkage is planted: salt that left the south shed without a ticket. Nobody made an entry, so that it has no kind.
var shrinkage = stockRow{stockpileID: "south-shed", materialID: "salt", at: time.Date(2029, 1, 23, 3, 0, 0, 0, time.UTC), amountLb: -64000}

// adjustment is planted: an entry that a person made, known to the book.
var adjustment = stockRow{stockpileID: "north-shed", materialID: "salt", kind: "adjustment",
	at: time.Date(2028, 2, 9, 16, 30, 0, 0, time.UTC), amountLb: -6000}

const (
	truckloadLb  = 46000.0
	countErrorSD = 0.001 // of a pile's size
)

// keepStock follows the piles through the tickets: counts on the first of each winter month, deliveries when it runs low.
func keepStock(seed uint64, purpose string, piles []land.Pile, tickets []ticket, asOf time.Time, place *time.Location) []stockRow {
	d := land.NewDraw(seed, purpose)
	var rows []stockRow
	for _, p := range piles {
		rows = append(rows, keep(p, d, tickets, asOf, place)...)
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].at.Before(rows[j].at) })
	return rows
}

func keep(p land.Pile, d land.Draw, tickets []ticket, asOf time.Time, place *time.Location) []stockRow {
	var rows []stockRow
	held := p.FirstLb
	next := 0
	moves := moves(p, tickets)
	for season, during := range land.Spans {
		for day := during.From.AddDate(0, 0, -9); day.Before(during.To); day = day.AddDate(0, 0, 1) {
			at := clockOf(day, 7, 30, place)
			if at.After(asOf) {
				break
			}
			for ; next < len(moves) && !moves[next].at.After(at); next++ {
				held += moves[next].amountLb
				if moves[next].kind != "" {
					rows = append(rows, moves[next])
				}
			}
			isFirst := day.Equal(during.From.AddDate(0, 0, -9))
			if isFirst || at.In(place).Day() == 1 {
				counted := land.Round(held*(1+d.Normal(0, countErrorSD))/100, 0) * 100
				rows = append(rows, stockRow{p.StockpileID, p.MaterialID, "count", at, counted})
			}
			isMonday := at.In(place).Weekday() == time.Monday
			lateSeason := season == 0 && day.Month() == time.April
			if (isMonday && held < p.ReorderLb && !lateSeason) || (isFirst && season == 1) {
				loads := int((p.UpLb - held) / truckloadLb)
				for k := range loads {
					lb := truckloadLb + land.Round(d.Normal(0, 300)/20, 0)*20
					rows = append(rows, stockRow{p.StockpileID, p.MaterialID, "delivery", at.Add(land.Minutes(60 + 7*float64(k))), lb})
					held += lb
				}
			}
		}
	}
	return rows
}

// moves are what the tickets take from the pile, and what else happens to it.
func moves(p land.Pile, tickets []ticket) []stockRow {
	all := []stockRow{shrinkage, adjustment}
	for _, t := range tickets {
		all = append(all, stockRow{t.stockpileID, t.materialID, "", t.loadedAt, t.returnedLb - t.loadedLb})
	}
	all = slices.DeleteFunc(all, func(m stockRow) bool { return m.stockpileID != p.StockpileID || m.materialID != p.MaterialID })
	sort.SliceStable(all, func(i, j int) bool { return all[i].at.Before(all[j].at) })
	return all
}
