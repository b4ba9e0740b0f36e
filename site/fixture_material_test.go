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
			r := Reconciliation{Week: monday, TruckID: id, MaterialID: material, Passes: 12, Tickets: 6, SpreadLb: ptr(60000.0), WeighedLb: ptr(60000 * ratio), Ratio: ptr(ratio), RunningRatio: ptr(ratio), Finding: finding,
				CalibratedAt: ptr(monday.AddDate(0, 0, -40)), CalibrationAgeDays: ptr(46.0)}
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
		c := StormRouteCorrected{StormID: row.StormID, RouteID: row.RouteID, MaterialClass: row.MaterialClass, Form: row.Form, MeasuredPasses: row.TreatingPasses, CorrectedPasses: ptr(int64(0))}
		if i%3 == 0 {
			c.CorrectedPasses, c.CorrectedLb, c.CorrectedRate = row.TreatingPasses, ptr(0.9**row.AppliedLb), ptr(0.9**row.RateLbPerLaneMi)
		}
		m.data.StormRoutesCorrected = append(m.data.StormRoutesCorrected, c)
	}
	m.data.LearningBases = []LearningBasis{{"reported", 297, 47, ptr(400.0), ptr(-3.58), ptr(-5.74), ptr(-1.38), ptr(310.0), "falling"},
		{"corrected", 99, 40, ptr(372.0), ptr(-0.4), ptr(-2.1), ptr(1.3), ptr(361.0), "no clear trend"}}
}

func (m *maker) stock() {
	day := time.Date(2031, 3, 9, 0, 0, 0, 0, time.UTC)
	m.data.StockOutlook = []StockOutlook{{"cma", day, ptr(84000.0), 24, ptr(21000.0), ptr(62000.0), ptr(130000.0), ptr(day.AddDate(0, 0, 9)), "31 storms of 2 seasons", "123456789"},
		{"nacl", day, ptr(900000.0), 24, ptr(200000.0), ptr(350000.0), ptr(610000.0), nil, "31 storms of 2 seasons", "987654321"},
		{"sand " + scriptName, day, ptr(5000.0), 1, nil, nil, nil, nil, rows.TooEarly, "1"}, {"urea", day, nil, 24, nil, nil, nil, nil, "31 storms of 2 seasons", "2"}}
	for n := range 38 {
		used := 1 - math.Exp(-float64(n)/15)
		m.data.StockFan = append(m.data.StockFan, StockFan{"cma", day.AddDate(0, 0, n), ptr(84000 - 130000*used), ptr(84000 - 62000*used), ptr(84000 - 21000*used)},
			StockFan{"nacl", day.AddDate(0, 0, n), ptr(900000 - 610000*used), ptr(900000 - 350000*used), ptr(900000 - 200000*used)})
	}
	first, second := time.Date(2031, 1, 6, 15, 0, 0, 0, time.UTC), time.Date(2031, 2, 3, 15, 0, 0, 0, time.UTC)
	m.data.StockBook = []StockEvent{{"shed 1", "cma", first, "count", "", ptr(int64(1)), ptr(200000.0), ptr(200000.0), nil, nil}, {"shed 1", "cma", second, "count", "", ptr(int64(40)), ptr(96000.0), ptr(96000.0), ptr(first), ptr(-24000.0)}}
	for n := range 30 {
		m.data.StockBook = append(m.data.StockBook, StockEvent{"shed 1", "cma", first.Add(time.Duration(n+1) * time.Hour), "load out", fmt.Sprintf("K%02d", n), ptr(int64(n + 2)), ptr(-9000.0), ptr(200000 - 9000*float64(n+1)), nil, nil})
	}
	m.data.StockOnHand = []StockOnHand{{"shed 1", "cma", ptr(second), ptr(second), ptr(84000.0), ptr(1.0)}, {"shed 2", "nacl", nil, ptr(second), nil, nil}}
	m.data.Prices = []Price{{"cma", time.Date(2029, 7, 1, 0, 0, 0, 0, time.UTC), ptr(1650.0)}, {"cma", time.Date(2031, 1, 1, 0, 0, 0, 0, time.UTC), ptr(1790.5)}, {"nacl", time.Date(2029, 7, 1, 0, 0, 0, 0, time.UTC), ptr(78.0)}}
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
	m.data.WholeSeasons = []WholeSeason{{"2029-30", nil, nil, ptr(1303565.0), 80, 100}, {"2030-31", ptr(473000.0), ptr(0.824), ptr(1303565.0), 80, 100}}
	m.data.SeasonCosts = []SeasonCost{{Season: "2030-31", MaterialClass: acetate, Passes: 200, Usd: ptr(412000.0), StormsUsd: ptr(400000.0), OutsideUsd: ptr(12000.0), UsdPerLaneMi: ptr(6250.0), UsdPerTreatedLaneMi: ptr(140.25), UsdPerTon: ptr(1702.0), FirstPriceDate: ptr(old), LastPriceDate: ptr(recent), BudgetUsd: ptr(500000.0), BudgetLeftUsd: ptr(88000.0), BudgetShare: ptr(0.824)},
		{Season: "2030-31", MaterialClass: chloride, Passes: 600, Usd: ptr(61000.0), UsdPerTon: ptr(78.0), FirstPriceDate: ptr(old), LastPriceDate: ptr(old)}, {Season: "2029-30", MaterialClass: chloride, Passes: 600, UnpricedLb: ptr(1200.0)}}
	m.data.BreakEven = []BreakEven{{Season: "2030-31", Storms: 23, AcetateRoutes: 4, ChlorideRoutes: 10, AcetateUsdPerLaneMi: ptr(495.2), ChlorideUsdPerLaneMi: ptr(27.6), CostRatio: ptr(17.94), AcetateUsdPerTon: ptr(1702.0), ChlorideUsdPerTon: ptr(78.0),
		AcetateFirstPriceDate: ptr(old), AcetateLastPriceDate: ptr(recent), ChlorideFirstPriceDate: ptr(old), ChlorideLastPriceDate: ptr(old), BreakEvenUsdPerTon: ptr(94.9), BreakEvenPriceRatio: ptr(1.217), BreakEvenPoundRatio: ptr(0.0458)}}
	m.data.DamageAssumptions = []DamageAssumption{{"2030-31", "bridge decks", chloride, ptr(615.0), ptr(790.0), ptr(485850.0), "our bridge office " + scriptName, "assumption of the district"}}
	for i := range m.data.WatershedSeasons {
		w := &m.data.WatershedSeasons[i]
		w.LaneMiles, w.ChlorideLb, w.AcetateLb, w.OxygenDemandLb = ptr(120.0), ptr(2400000.0), ptr(480000.0), ptr(417600.0)
	}
	last := m.data.Storms[len(m.data.Storms)-1]
	m.data.WatershedStorms = []WatershedStorm{{Season: "2030-31", StormID: last.StormID, Watershed: "upper", Routes: 14, ChlorideLb: ptr(91000.0), AcetateLb: ptr(20000.0), AcetateRoutes: 4, KeptOffRoutes: 4, KeptOffLb: ptr(12132.0), KeptOffBasis: "paired routes, same storm", OxygenDemandLb: ptr(17400.0)},
		{Season: "2030-31", Watershed: "", Routes: 1, ChlorideLb: ptr(0.0)}}
	for n := range 11 {
		m.data.TimingTalk = append(m.data.TimingTalk, TimingTalk{Season: "2030-31", StormID: m.data.Storms[len(m.data.Storms)-1-n].StormID, RouteID: "R01", MaterialClass: acetate, Kind: "cold", Share: ptr(0.4), AmountLb: ptr(1200.0), Reason: "So cold, material acts slowly."})
	}
	m.data.TimingTalk = append(m.data.TimingTalk, TimingTalk{Season: "2030-31", StormID: last.StormID, RouteID: "R02", MaterialClass: chloride, Kind: "late", SnowBeforeH: ptr(3.25), Reason: "Early beats late."})
}

func (m *maker) findingsOfMaterial() {
	at := time.Date(2031, 2, 10, 6, 0, 0, 0, time.UTC)
	m.data.Findings = append(m.data.Findings,
		Finding{rows.Finding{Code: "wrong_setting", Amount: ptr(0.63), Unit: rows.Ratio, Name: "cma", OtherName: "nacl", FromAt: ptr(at), ToAt: ptr(at)},
			"truck", "T4", "", ptr(at)},
		Finding{rows.Finding{Code: "never_calibrated", Name: "cma"}, "truck", "T6", "", nil},
		Finding{rows.Finding{Code: rows.ShrinkageFinding, Amount: ptr(-24000.0), Unit: rows.Pound, Name: "cma", FromAt: ptr(at), ToAt: ptr(at)},
			"stockpile", "shed 1", "", ptr(at)})
}
