package scenario

import (
	"sort"
	"time"
)

// stockRow is one row of the stock feed.
type stockRow struct {
	stockpileID, materialID, kind string
	at                            time.Time
	amountLb                      float64
}

// shrinkage is planted: salt that left the south shed without a ticket.
var shrinkage = struct {
	stockpileID, materialID string
	at                      time.Time
	lb                      float64
}{"south-shed", "salt", time.Date(2029, 1, 23, 3, 0, 0, 0, time.UTC), 64000}

// adjustment is planted: an entry that a person made, known to the book.
var adjustment = stockRow{stockpileID: "north-shed", materialID: "salt", kind: "adjustment",
	at: time.Date(2028, 2, 9, 16, 30, 0, 0, time.UTC), amountLb: -6000}

const (
	truckloadLb  = 46000.0
	countErrorSD = 0.001 // of a pile's size
)

// pile is one material in one shed.
type pile struct {
	stockpileID, materialID  string
	firstLb, reorderLb, upLb float64 // held when the first season begins; below reorderLb deliveries fill to upLb
}

var piles = []pile{
	{"north-shed", "salt", 2400000, 1100000, 2400000},
	{"north-shed", "cma", 700000, 320000, 700000},
	{"north-shed", "sand", 300000, 90000, 250000},
	{"south-shed", "salt", 4200000, 1900000, 4200000},
	{"south-shed", "cma", 1300000, 600000, 1300000},
	{"south-shed", "sand", 400000, 120000, 350000},
}

// move is a change of a pile, logged or not.
type move struct {
	at  time.Time
	lb  float64
	row *stockRow
}

// keepStock follows the piles through the tickets: counts on the first of each winter month, deliveries when it runs low.
func keepStock(seed uint64, purpose string, piles []pile, tickets []ticket, asOf time.Time, place *time.Location) []stockRow {
	d := newDraw(seed, purpose)
	var rows []stockRow
	for _, p := range piles {
		rows = append(rows, p.keep(d, tickets, asOf, place)...)
	}
	sort.SliceStable(rows, func(i, j int) bool { return rows[i].at.Before(rows[j].at) })
	return rows
}

func (p pile) keep(d draw, tickets []ticket, asOf time.Time, place *time.Location) []stockRow {
	var rows []stockRow
	held := p.firstLb
	next := 0
	moves := p.moves(tickets)
	for season, during := range spans {
		for day := during.from.AddDate(0, 0, -9); day.Before(during.to); day = day.AddDate(0, 0, 1) {
			at := clockOf(day, 7, 30, place)
			if at.After(asOf) {
				break
			}
			for ; next < len(moves) && !moves[next].at.After(at); next++ {
				held += moves[next].lb
				if moves[next].row != nil {
					rows = append(rows, *moves[next].row)
				}
			}
			isFirst := day.Equal(during.from.AddDate(0, 0, -9))
			if isFirst || at.In(place).Day() == 1 {
				counted := round(held*(1+d.normal(0, countErrorSD))/100, 0) * 100
				rows = append(rows, stockRow{p.stockpileID, p.materialID, "count", at, counted})
			}
			isMonday := at.In(place).Weekday() == time.Monday
			lateSeason := season == 0 && day.Month() == time.April
			if (isMonday && held < p.reorderLb && !lateSeason) || (isFirst && season == 1) {
				loads := int((p.upLb - held) / truckloadLb)
				for k := range loads {
					lb := truckloadLb + round(d.normal(0, 300)/20, 0)*20
					rows = append(rows, stockRow{p.stockpileID, p.materialID, "delivery", at.Add(minutes(60 + 7*float64(k))), lb})
					held += lb
				}
			}
		}
	}
	return rows
}

// moves are what the tickets take from the pile, and what else happens to it.
func (p pile) moves(tickets []ticket) []move {
	var all []move
	for _, t := range tickets {
		if t.stockpileID == p.stockpileID && t.materialID == p.materialID {
			all = append(all, move{at: t.loadedAt, lb: t.returnedLb - t.loadedLb})
		}
	}
	if p.stockpileID == shrinkage.stockpileID && p.materialID == shrinkage.materialID {
		all = append(all, move{at: shrinkage.at, lb: -shrinkage.lb})
	}
	if p.stockpileID == adjustment.stockpileID && p.materialID == adjustment.materialID {
		row := adjustment
		all = append(all, move{at: row.at, lb: row.amountLb, row: &row})
	}
	sort.SliceStable(all, func(i, j int) bool { return all[i].at.Before(all[j].at) })
	return all
}
