package scenario

import (
	"sort"

	"lanetally/pipeline/scenario/land"
)

// deliverHarbor adds the files of the zone with receivers: sheets of the season before them, positions, weighed loads. It gives the stock
// rows of its shed, which share the district's file.
func (s *district) deliverHarbor() []stockRow {
	for season := range land.Spans {
		if season == 0 || s.positions == nil {
			s.deliveries = append(s.deliveries, s.harborSheets(season)...)
		} else {
			received := s.harbor.receive(s.seed, positionNoiseM, s.positions)
			s.deliveries = append(s.deliveries, positionDeliveries(received, s.place, s.positions)...)
		}
	}
	tickets := s.harbor.boxes.numbered("H", s.asOf)
	for season, name := range land.SeasonNames {
		f := &delivery{feed: "tickets", name: "tickets-harbor-" + name + ".csv", header: ticketHeader}
		for _, t := range tickets {
			if (season == 0) == t.loadedAt.Before(land.Spans[1].From) {
				f.add(false, ticketCells(t, s.place)...)
			}
		}
		s.deliveries = append(s.deliveries, f)
	}
	return keepStock(s.seed, "harbor stock", land.HarborPiles, tickets, s.asOf, s.place)
}

// harborSheets are the pass sheets of a season, one file a month, in the first garage's layout.
func (s *district) harborSheets(season int) []*delivery {
	z := land.ZoneIndex(land.HarborZone.ID)
	header := passHeader(z)
	m := newMonthly("passes", "-harbor", header, s.place)
	var passes []pass
	for _, p := range s.harbor.passes {
		if s.storms[p.storm].Season == season {
			passes = append(passes, p)
		}
	}
	sort.SliceStable(passes, func(i, j int) bool { return passes[i].began.Before(passes[j].began) })
	for i, p := range passes {
		p.id = "harbor-" + land.SeasonNames[season] + "-" + number("", i+1)
		l := passLine(header, z, p, s.place)
		l.isPlain = false
		f := m.open(p.began)
		f.lines = append(f.lines, l)
	}
	return m.all
}
