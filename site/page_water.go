package site

import (
	"cmp"
	"slices"
)

// mostTalk is how many lines of each kind the list for the next talk holds.
const mostTalk = 8

// waterSection shows chloride, chloride kept off and oxygen demand by watershed and season, with the published criteria beside them.
func (b *book) waterSection() Section {
	table := Table{ID: "watersheds-table", Caption: "What each watershed's routes got, by season, the latest first", Download: "watershed_seasons.csv", Empty: "No route names a watershed, and none was treated.",
		Columns: []Column{words("Season"), words("Watershed"), figures("Routes", "lane-miles"), figures("Chloride", "lb"), figures("Chloride", "lb per lane-mile"), figures("Of it outside storms", "lb"), figures("Acetate", "lb"), figures("Bare lane after", "h"), figures("Mean air", "°F"), figures("Chloride kept off", "lb, estimate"), figures("Kept off", "% of what would have been"), figures("Compared", "route-storms"), figures("Of", "acetate route-storms"), prose("Basis of the estimate"), figures("Oxygen demand", "lb, a load")}}
	list := sorted(b.data.WatershedSeasons, func(x, y WatershedSeason) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.Watershed, y.Watershed))
	})
	for i, w := range list {
		var storms []string
		for _, e := range b.eventsOf(w.Season) {
			storms = append(storms, e.ID)
		}
		road := b.watershedRoads(w.Watershed, storms...)
		row := Row{Cells: cells(w.Season, watershedName(w.Watershed), b.laneMiles(w.LaneMiles), b.pounds(w.ChlorideLb), b.rate(w.ChlorideLbPerLaneMi), b.pounds(w.OutsideChlorideLb), b.pounds(w.AcetateLb), hours(road.regainH()), b.degrees(road.airF()), b.pounds(w.KeptOffLb), percent(w.KeptOffShare), whole(w.KeptOffRouteStorms), whole(w.AcetateRouteStorms), cmp.Or(b.unitWords(w.KeptOffBasis), missing), b.pounds(w.OxygenDemandLb))}
		if i == 0 || list[i-1].Season != w.Season {
			row.Mark = "parted"
		}
		table.Rows = append(table.Rows, row)
	}
	return Section{ID: "water", Title: "Water: chloride by watershed", Text: b.eachWords(WaterCautions), Tables: []Table{table, criteriaTable()}}
}

// watershedRoads sums the solids on the routes of a watershed in storms: road state and temperature beside its pounds.
func (b *book) watershedRoads(watershed string, stormIDs ...string) *tally {
	return b.countSolids(stormIDs, func(row StormRoute) bool { return b.routes[row.RouteID].Watershed == watershed })
}

func watershedName(watershed string) string { return cmp.Or(watershed, "none named") }

func criteriaTable() Table {
	table := Table{ID: "criteria-table", Caption: "Published chloride criteria, for context only", Note: "Concentrations in water, milligrams in a litre. Nothing on this page says whether one is met.",
		Columns: []Column{prose("Criterion"), figures("Chloride", "mg/L"), words("Averaged"), prose("Source")}}
	for _, c := range WaterCriteria {
		table.Rows = append(table.Rows, Row{Cells: cells(capital(c.Name), fixed(&c.MgPerL, 0), c.Averaged, c.Source)})
	}
	return table
}

// stormWaterSection shows chloride by watershed and storm, the latest storm first.
func (b *book) stormWaterSection(season string) Section {
	table := Table{ID: "watershed-storms-table", Caption: "Each storm of " + season + " by watershed, the latest first", Download: "watershed_storms.csv", Empty: "No storm has pounds by watershed yet.",
		Columns: []Column{words("Storm"), words("Watershed"), figures("Routes", "treated"), figures("Chloride", "lb"), figures("Acetate", "lb"), figures("Bare lane after", "h"), figures("Mean air", "°F"), figures("Chloride kept off", "lb, estimate"), prose("Basis of the estimate"), figures("Oxygen demand", "lb, a load")}}
	list := slices.DeleteFunc(slices.Clone(b.data.WatershedStorms), func(w WatershedStorm) bool { return w.Season != season })
	slices.SortFunc(list, func(x, y WatershedStorm) int {
		return cmp.Or(b.began(y.StormID).Compare(b.began(x.StormID)), cmp.Compare(y.StormID, x.StormID), cmp.Compare(x.Watershed, y.Watershed))
	})
	for i, w := range list {
		head := link(w.StormID, b.stormHref("", w.StormID))
		if w.StormID == "" {
			head = Cell{Text: "outside storms"}
		}
		road := b.watershedRoads(w.Watershed, w.StormID)
		row := Row{Cells: append([]Cell{head}, cells(watershedName(w.Watershed), whole(w.Routes), b.pounds(w.ChlorideLb), b.pounds(w.AcetateLb), hours(road.regainH()), b.degrees(road.airF()), b.pounds(w.KeptOffLb), cmp.Or(b.unitWords(w.KeptOffBasis), missing), b.pounds(w.OxygenDemandLb))...)}
		if i == 0 || list[i-1].StormID != w.StormID {
			row.Mark = "parted"
		}
		table.Rows = append(table.Rows, row)
	}
	return Section{ID: "storm-water", Title: "Water: storm by storm", Tables: []Table{table}}
}

// routeStormsOf counts the route-storms of a list, which has a row for each class.
func routeStormsOf(list []TimingTalk) int {
	seen := map[[2]string]bool{}
	for _, t := range list {
		seen[[2]string{t.StormID, t.RouteID}] = true
	}
	return len(seen)
}

// talkSection is the list for the next tailgate talk: kind by kind, routes and storms, never a crew.
func (b *book) talkSection(season string) Section {
	table := Table{ID: "talk-table", Caption: "For the next tailgate talk, " + season + ", the latest storms first", Download: "timing.csv", Empty: "Nothing of cold, wind or timing to talk about.",
		Columns: []Column{words("What"), words("Storm"), prose("Route"), words("Class"), figures("Of the class's pounds", "%"), figures("Amount", "lb"), figures("Snow before", "h"), figures("Bare lane after", "h"), figures("Mean air", "°F"), figures("Lowest pavement", "°F")}}
	byKind := grouped(slices.DeleteFunc(slices.Clone(b.data.TimingTalk), func(t TimingTalk) bool { return t.Season != season }), func(t TimingTalk) string { return t.Kind })
	var counts []talkCount
	var reasons []string
	for _, kind := range []string{"cold", "wind", "early", "late"} {
		list := sorted(byKind[kind], func(x, y TimingTalk) int {
			return cmp.Or(b.began(y.StormID).Compare(b.began(x.StormID)), cmp.Compare(y.StormID, x.StormID), cmp.Compare(x.RouteID, y.RouteID), cmp.Compare(x.MaterialClass, y.MaterialClass))
		})
		counts = append(counts, talkCount{kind, routeStormsOf(list)})
		if len(list) > 0 {
			reasons = append(reasons, talkReason(kind, list[0].Reason))
		}
		for i, t := range list[:min(len(list), mostTalk)] {
			storm, _ := b.zoneRow(t.StormID, b.routes[t.RouteID].ZoneID)
			road := b.stormRoute(CrewStorm{StormID: t.StormID, RouteID: t.RouteID, MaterialClass: t.MaterialClass, Form: solid})
			row := Row{Cells: append([]Cell{{Text: capital(talkWords[t.Kind])}, link(t.StormID, b.stormHref("", t.StormID)), link(b.routeShort(t.RouteID), b.routeHref("", t.RouteID)), {Text: t.MaterialClass, Class: t.MaterialClass}},
				cells(percent(t.Share), b.pounds(t.AmountLb), hours(t.SnowBeforeH), regain(road), b.degrees(storm.AirFMean), b.degrees(storm.SurfaceFMin))...)}
			if i == 0 {
				row.Mark = "parted"
			}
			table.Rows = append(table.Rows, row)
		}
	}
	return Section{ID: "talk", Title: "Cold, wind and timing", Text: []string{talkSentence(season, counts), talkCaution}, List: reasons, Tables: []Table{table}}
}
