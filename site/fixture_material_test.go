package site

import (
	"fmt"
	"math"
	"time"

	"lanetally/pipeline/rows"
)

// material makes weighed loads, stock, costs and water of the made district: numbers near those of its rows, none of them tallied.
func (m *maker) material() {
	m.data.Downloads = append(m.data.Downloads, "reconciliation.csv", "stock_outlook.csv", "season_costs.csv", "break_even.csv", "watershed_storms.csv", "watershed_seasons.csv", "timing.csv")
	m.data.Settings = append(m.data.Settings, Setting{"reconcile_tolerance", "0.1"}, Setting{"reconcile_weeks", "4"}, Setting{"calibration_days", "365"}, Setting{"lead_days", "14"})
	m.weighed()
	m.stock()
	m.costs()
	m.findingsOfMaterial()
}

// weighed makes eight trucks over two seasons; T4 is set for salt from February 2031, T6 was never calibrated. Every third route-storm is weighed.
func (m *maker) weighed() {
	for truck := range 8 {
		id, material := fmt.Sprintf("T%d", truck+1), "nacl"
		if truck%2 == 1 {
			material = "cma"
		}
		for week := range 34 {
			monday := time.Date(2029, 11, 12+7*(week%17), 0, 0, 0, 0, time.UTC).AddDate(week/17, 0, -(week / 17))
			ratio, finding := 1+0.03*math.Sin(float64(week+3*truck)), "agrees"
			if id == "T4" && week > 28 {
				ratio, finding = 0.63, "set for nacl?"
			}
			r := Reconciliation{Week: monday, TruckID: id, MaterialID: material, Passes: 12, Tickets: 6, SpreadLb: new(60000.0), WeighedLb: new(60000 * ratio), Ratio: new(ratio), RunningRatio: new(ratio), Finding: finding,
				CalibratedAt: new(monday.AddDate(0, 0, -40)), CalibrationAgeDays: new(46.0)}
			if id == "T6" {
				r.CalibratedAt, r.CalibrationAgeDays, r.IsCalibrationDue = nil, nil, true
			}
			if id == "T7" && week == 5 {
				r.Tickets, r.WeighedLb, r.Ratio, r.RunningRatio, r.Finding = 0, nil, nil, nil, "no tickets"
			}
			m.data.Reconciliation = append(m.data.Reconciliation, r)
		}
	}
	for i, row := range m.data.StormRoutes {
		c := StormRouteCorrected{StormID: row.StormID, RouteID: row.RouteID, MaterialClass: row.MaterialClass, Form: row.Form, MeasuredPasses: row.TreatingPasses, CorrectedPasses: new(int64(0))}
		if i%3 == 0 {
			c.CorrectedPasses, c.CorrectedLb, c.CorrectedRate = row.TreatingPasses, new(0.9**row.AppliedLb), new(0.9**row.RateLbPerLaneMi)
		}
		m.data.StormRoutesCorrected = append(m.data.StormRoutesCorrected, c)
	}
	m.data.LearningBases = []LearningBasis{{"reported", 297, 47, new(400.0), new(-3.58), new(-5.74), new(-1.38), new(310.0), "falling"},
		{"corrected", 99, 40, new(372.0), new(-0.4), new(-2.1), new(1.3), new(361.0), "no clear trend"}}
}

func (m *maker) stock() {
	day := time.Date(2031, 3, 9, 0, 0, 0, 0, time.UTC)
	m.data.StockOutlook = []StockOutlook{{"cma", day, new(84000.0), 24, new(21000.0), new(62000.0), new(130000.0), new(day.AddDate(0, 0, 9)), "31 storms of 2 seasons", "123456789"},
		{"nacl", day, new(900000.0), 24, new(200000.0), new(350000.0), new(610000.0), nil, "31 storms of 2 seasons", "987654321"},
		{"sand " + scriptName, day, new(5000.0), 1, nil, nil, nil, nil, rows.TooEarly, "1"}, {"urea", day, nil, 24, nil, nil, nil, nil, "31 storms of 2 seasons", "2"}}
	for n := range 38 {
		used := 1 - math.Exp(-float64(n)/15)
		m.data.StockFan = append(m.data.StockFan, StockFan{"cma", day.AddDate(0, 0, n), new(84000 - 130000*used), new(84000 - 62000*used), new(84000 - 21000*used)},
			StockFan{"nacl", day.AddDate(0, 0, n), new(900000 - 610000*used), new(900000 - 350000*used), new(900000 - 200000*used)})
	}
	first, second := time.Date(2031, 1, 6, 15, 0, 0, 0, time.UTC), time.Date(2031, 2, 3, 15, 0, 0, 0, time.UTC)
	m.data.StockBook = []StockEvent{{"shed 1", "cma", first, "count", "", new(int64(1)), new(200000.0), new(200000.0), nil, nil}, {"shed 1", "cma", second, "count", "", new(int64(40)), new(96000.0), new(96000.0), new(first), new(-24000.0)}}
	for n := range 30 {
		m.data.StockBook = append(m.data.StockBook, StockEvent{"shed 1", "cma", first.Add(time.Duration(n+1) * time.Hour), "load out", fmt.Sprintf("K%02d", n), new(int64(n + 2)), new(-9000.0), new(200000 - 9000*float64(n+1)), nil, nil})
	}
	m.data.StockOnHand = []StockOnHand{{"shed 1", "cma", new(second), new(second), new(84000.0), new(1.0)}, {"shed 2", "nacl", nil, new(second), nil, nil}}
	m.data.Prices = []Price{{"cma", time.Date(2029, 7, 1, 0, 0, 0, 0, time.UTC), new(1650.0)}, {"cma", time.Date(2031, 1, 1, 0, 0, 0, 0, time.UTC), new(1790.5)}, {"nacl", time.Date(2029, 7, 1, 0, 0, 0, 0, time.UTC), new(78.0)}}
}

func (m *maker) costs() {
	old, recent := m.data.Prices[0].FromDate, m.data.Prices[1].FromDate
	m.data.CostSums = append(costSumsOf(m.data.StormRoutes), CostSum{Part: "storm", Season: "2030-31", MaterialClass: acetate})
	for i, c := range m.data.CostSums {
		if c.Part == "route" && c.Season == "2030-31" && c.RouteID == "R01" && c.MaterialClass == acetate {
			m.data.CostSums[i].Usd, m.data.CostSums[i].UsdPerLaneMi, m.data.CostSums[i].UsdPerTreatedLaneMi = nil, nil, nil
		}
	}
	// 412000 + 61000; of acetate's budget 412000 / 500000; kept off in upper alone, 80 of 90 + 10.
	m.data.WholeSeasons = []WholeSeason{{"2029-30", nil, nil, new(1303565.0), 80, 100}, {"2030-31", new(473000.0), new(0.824), new(1303565.0), 80, 100}}
	m.data.SeasonCosts = []SeasonCost{{Season: "2030-31", MaterialClass: acetate, Passes: 200, Usd: new(412000.0), StormsUsd: new(400000.0), OutsideUsd: new(12000.0), UsdPerLaneMi: new(6250.0), UsdPerTreatedLaneMi: new(140.25), UsdPerTon: new(1702.0), FirstPriceDate: new(old), LastPriceDate: new(recent), BudgetUsd: new(500000.0), BudgetLeftUsd: new(88000.0), BudgetShare: new(0.824)},
		{Season: "2030-31", MaterialClass: chloride, Passes: 600, Usd: new(61000.0), UsdPerTon: new(78.0), FirstPriceDate: new(old), LastPriceDate: new(old)}, {Season: "2029-30", MaterialClass: chloride, Passes: 600, UnpricedLb: new(1200.0)}}
	m.data.BreakEven = []BreakEven{{Season: "2030-31", Storms: 23, AcetateRoutes: 4, ChlorideRoutes: 10, AcetateUsdPerLaneMi: new(495.2), ChlorideUsdPerLaneMi: new(27.6), CostRatio: new(17.94), AcetateUsdPerTon: new(1702.0), ChlorideUsdPerTon: new(78.0),
		AcetateFirstPriceDate: new(old), AcetateLastPriceDate: new(recent), ChlorideFirstPriceDate: new(old), ChlorideLastPriceDate: new(old), BreakEvenUsdPerTon: new(94.9), BreakEvenPriceRatio: new(1.217), BreakEvenPoundRatio: new(0.0458)}}
	m.data.DamageAssumptions = []DamageAssumption{{"2030-31", "bridge decks", chloride, new(615.0), new(790.0), new(485850.0), "our bridge office " + scriptName, "assumption of the district"}}
	for i := range m.data.WatershedSeasons {
		w := &m.data.WatershedSeasons[i]
		w.LaneMiles, w.ChlorideLb, w.AcetateLb, w.OxygenDemandLb = new(120.0), new(2400000.0), new(480000.0), new(417600.0)
	}
	last := m.data.Storms[len(m.data.Storms)-1]
	m.data.WatershedStorms = []WatershedStorm{{Season: "2030-31", StormID: last.StormID, Watershed: "upper", Routes: 14, ChlorideLb: new(91000.0), AcetateLb: new(20000.0), AcetateRoutes: 4, KeptOffRoutes: 4, KeptOffLb: new(12132.0), KeptOffBasis: "paired routes, same storm", OxygenDemandLb: new(17400.0)},
		{Season: "2030-31", Watershed: "", Routes: 1, ChlorideLb: new(0.0)}}
	for n := range 11 {
		m.data.TimingTalk = append(m.data.TimingTalk, TimingTalk{Season: "2030-31", StormID: m.data.Storms[len(m.data.Storms)-1-n].StormID, RouteID: "R01", MaterialClass: acetate, Kind: "cold", Share: new(0.4), AmountLb: new(1200.0), Reason: "So cold, material acts slowly."})
	}
	m.data.TimingTalk = append(m.data.TimingTalk, TimingTalk{Season: "2030-31", StormID: last.StormID, RouteID: "R02", MaterialClass: chloride, Kind: "late", SnowBeforeH: new(3.25), Reason: "Early beats late."})
}

func (m *maker) findingsOfMaterial() {
	at := time.Date(2031, 2, 10, 6, 0, 0, 0, time.UTC)
	m.data.Findings = append(m.data.Findings,
		Finding{rows.Finding{Code: "wrong_setting", Amount: new(0.63), Unit: rows.Ratio, Name: "cma", OtherName: "nacl", FromAt: new(at), ToAt: new(at)},
			"truck", "T4", "", new(at)},
		Finding{rows.Finding{Code: "never_calibrated", Name: "cma"}, "truck", "T6", "", nil},
		Finding{rows.Finding{Code: rows.ShrinkageFinding, Amount: new(-24000.0), Unit: rows.Pound, Name: "cma", FromAt: new(at), ToAt: new(at)},
			"stockpile", "shed 1", "", new(at)})
}
