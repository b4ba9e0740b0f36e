package scenario

import (
	"strings"
	"time"

	"lanetally/pipeline/scenario/land"
)

// monthly sorts rows of time into one delivery a month, by local month.
type monthly struct {
	place *time.Location
	make  func(month string) *delivery
	all   []*delivery
	month string
}

// newMonthly makes files of a feed with one header; suffix ends their names.
func newMonthly(feed, suffix string, header []string, place *time.Location) monthly {
	return monthly{place: place, make: func(month string) *delivery {
		return &delivery{feed: feed, name: feed + "-" + month + suffix + ".csv", header: header}
	}}
}

func (m *monthly) open(at time.Time) *delivery {
	if month := at.In(m.place).Format("2006-01"); month != m.month {
		m.month = month
		m.all = append(m.all, m.make(month))
	}
	return m.all[len(m.all)-1]
}

func offsetTime(at time.Time, place *time.Location) string {
	return at.In(place).Format("2006-01-02T15:04-07:00")
}

var ticketHeader = []string{"ticket_id", "loaded_at", "truck_id", "stockpile_id", "material_id", "loaded_lb", "returned_lb"}

func ticketCells(t ticket, place *time.Location) []string {
	return []string{t.id, offsetTime(t.loadedAt, place), t.truckID, t.stockpileID, t.materialID, text(t.loadedLb),
		textOrEmpty(t.returnedLb)}
}

func ticketDeliveries(tickets []ticket, place *time.Location) []*delivery {
	m := newMonthly("tickets", "", ticketHeader, place)
	for _, t := range tickets {
		isPlain := t.materialID == "salt" && t.stockpileID != shrinkage.stockpileID
		m.open(t.loadedAt).add(isPlain, ticketCells(t, place)...)
	}
	return m.all
}

func conditionDeliveries(conditions []condition, place *time.Location) []*delivery {
	m := newMonthly("conditions", "", []string{"route_id", "observed_at", "cover", "friction"}, place)
	for _, c := range conditions {
		isPlain := c.friction == 0 && !strings.HasPrefix(c.cover, "bare")
		m.open(c.at).add(isPlain, land.Routes[c.route].ID, offsetTime(c.at, place), c.cover, textOrEmpty(c.friction))
	}
	return m.all
}

func stockDeliveries(rows []stockRow, asOf time.Time, place *time.Location) []*delivery {
	var all []*delivery
	summer := land.Spans[0].To.AddDate(0, 0, 60)
	for season := range land.Spans {
		f := &delivery{feed: "stock", name: "stock-" + land.SeasonNames[season] + ".csv",
			header: []string{"stockpile_id", "material_id", "at", "kind", "amount_lb"}}
		for _, r := range rows {
			if (season == 0) == r.at.Before(summer) && !r.at.After(asOf) {
				f.add(false, r.stockpileID, r.materialID, offsetTime(r.at, place), r.kind, text(r.amountLb))
			}
		}
		all = append(all, f)
	}
	return all
}
