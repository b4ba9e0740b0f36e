package scenario

import (
	"time"
)

// monthly sorts rows of time into one delivery a month, by local month.
type monthly struct {
	feed   string
	suffix string // of the files' names
	header []string
	place  *time.Location
	all    []*delivery
	month  string
}

func (m *monthly) open(at time.Time) *delivery {
	if month := at.In(m.place).Format("2006-01"); month != m.month {
		m.month = month
		m.all = append(m.all, &delivery{feed: m.feed, name: m.feed + "-" + month + m.suffix + ".csv", header: m.header})
	}
	return m.all[len(m.all)-1]
}

func offsetTime(at time.Time, place *time.Location) string {
	return at.In(place).Format("2006-01-02T15:04-07:00")
}

var ticketHeader = []string{"ticket_id", "loaded_at", "truck_id", "stockpile_id", "material_id", "loaded_lb", "returned_lb"}

func ticketCells(t ticket, place *time.Location) []string {
	return []string{t.id, offsetTime(t.loadedAt, place), t.truckID, t.stockpileID, t.materialID, text(t.loadedLb), textOrEmpty(t.returnedLb)}
}

func ticketDeliveries(tickets []ticket, place *time.Location) []*delivery {
	m := monthly{feed: "tickets", place: place, header: ticketHeader}
	for _, t := range tickets {
		isPlain := t.materialID == "salt" && t.stockpileID != shrinkage.stockpileID
		m.open(t.loadedAt).add(isPlain, ticketCells(t, place)...)
	}
	return m.all
}

func conditionDeliveries(conditions []condition, place *time.Location) []*delivery {
	m := monthly{feed: "conditions", place: place, header: []string{"route_id", "observed_at", "cover", "friction"}}
	for _, c := range conditions {
		m.open(c.at).add(c.friction == 0 && c.cover != "bare-wet" && c.cover != "bare-dry", routes[c.route].id, offsetTime(c.at, place), c.cover, textOrEmpty(c.friction))
	}
	return m.all
}

func stockDeliveries(rows []stockRow, asOf time.Time, place *time.Location) []*delivery {
	var all []*delivery
	summer := spans[0].to.AddDate(0, 0, 60)
	for season := range spans {
		f := &delivery{feed: "stock", name: "stock-" + seasonNames[season] + ".csv", header: []string{"stockpile_id", "material_id", "at", "kind", "amount_lb"}}
		for _, r := range rows {
			if (season == 0) == r.at.Before(summer) && !r.at.After(asOf) {
				f.add(false, r.stockpileID, r.materialID, offsetTime(r.at, place), r.kind, text(r.amountLb))
			}
		}
		all = append(all, f)
	}
	return all
}
