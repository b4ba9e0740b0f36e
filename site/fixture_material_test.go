package site

import (
	"fmt"
	"math"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
)

// material makes weighed loads, stock, costs and water of the made district: numbers near those of its rows, none of them tallied.
func (m *maker) material() {
	m.data.Downloads = append(m.data.Downloads, "reconciliation.csv", "stock_outlook.csv", "season_costs.csv", "break_even.csv",
		"watershed_storms.csv", "watershed_seasons.csv", "timing.csv")
	m.data.Settings = append(m.data.Settings, book.Setting{Name: "reconcile_tolerance", Value: "0.1"},
		book.Setting{Name: "reconcile_weeks", Value: "4"}, book.Setting{Name: "calibration_days", Value: "365"},
		book.Setting{Name: "lead_days", Value: "14"})
	m.weighed()
	m.stock()
	m.costs()
	m.findingsOfMaterial()
}

// weighed makes eight trucks over two seasons; T4 is set for salt from February 2031, T6 was never calibrated. Every third route-storm is
// weighed.
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
			r := rows.Reconciliation{Week: monday, TruckID: id, MaterialID: material, Passes: 12, Tickets: 6, SpreadLb: new(60000.0),
				WeighedLb: new(60000 * ratio), Ratio: new(ratio), RunningRatio: new(ratio), Finding: finding,
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
		c := rows.StormRouteCorrected{StormID: row.StormID, RouteID: row.RouteID, MaterialClass: row.MaterialClass, Form: row.Form,
			MeasuredPasses: row.TreatingPasses, CorrectedPasses: new(int64(0))}
		if i%3 == 0 {
			c.CorrectedPasses, c.CorrectedLb, c.CorrectedRate = row.TreatingPasses, new(0.9**row.AppliedLb), new(0.9**row.RateLbPerLaneMi)
		}
		m.data.StormRoutesCorrected = append(m.data.StormRoutesCorrected, c)
	}
	m.data.LearningBases = []rows.LearningBasis{{Basis: "reported", Rows: 297, Storms: 47, StartRate: new(400.0), ChangePct: new(-3.58),
		ChangeLow90Pct: new(-5.74), ChangeHigh90Pct: new(-1.38), LatestRate: new(310.0), Verdict: "falling"},
		{Basis: "corrected", Rows: 99, Storms: 40, StartRate: new(372.0), ChangePct: new(-0.4), ChangeLow90Pct: new(-2.1),
			ChangeHigh90Pct: new(1.3), LatestRate: new(361.0), Verdict: "no clear trend"}}
}

func (m *maker) stock() {
	day := time.Date(2031, 3, 9, 0, 0, 0, 0, time.UTC)
	m.data.StockOutlook = []rows.StockOutlook{{MaterialID: "cma", AsOfDate: day, OnHandLb: new(84000.0), StormsSoFar: 24,
		NeedP10Lb: new(21000.0), NeedP50Lb: new(62000.0), NeedP90Lb: new(130000.0), OrderByDate: new(day.AddDate(0, 0, 9)),
		Basis: "31 storms of 2 seasons", Seed: "123456789"},
		{MaterialID: "nacl", AsOfDate: day, OnHandLb: new(900000.0), StormsSoFar: 24, NeedP10Lb: new(200000.0), NeedP50Lb: new(350000.0),
			NeedP90Lb: new(610000.0), OrderByDate: nil, Basis: "31 storms of 2 seasons", Seed: "987654321"},
		{MaterialID: "sand " + scriptName, AsOfDate: day, OnHandLb: new(5000.0), StormsSoFar: 1, NeedP10Lb: nil, NeedP50Lb: nil,
			NeedP90Lb: nil, OrderByDate: nil, Basis: rows.TooEarly, Seed: "1"},
		{MaterialID: "urea", AsOfDate: day, OnHandLb: nil, StormsSoFar: 24, NeedP10Lb: nil, NeedP50Lb: nil, NeedP90Lb: nil,
			OrderByDate: nil, Basis: "31 storms of 2 seasons", Seed: "2"}}
	for n := range 38 {
		used := 1 - math.Exp(-float64(n)/15)
		m.data.StockFan = append(m.data.StockFan, rows.StockFan{MaterialID: "cma", Date: day.AddDate(0, 0, n),
			LeftP10Lb: new(84000 - 130000*used), LeftP50Lb: new(84000 - 62000*used), LeftP90Lb: new(84000 - 21000*used)},
			rows.StockFan{MaterialID: "nacl", Date: day.AddDate(0, 0, n), LeftP10Lb: new(900000 - 610000*used),
				LeftP50Lb: new(900000 - 350000*used), LeftP90Lb: new(900000 - 200000*used)})
	}
	first, second := time.Date(2031, 1, 6, 15, 0, 0, 0, time.UTC), time.Date(2031, 2, 3, 15, 0, 0, 0, time.UTC)
	m.data.StockBook = []rows.StockEvent{{StockpileID: "shed 1", MaterialID: "cma", At: first, Event: "count", Reference: "",
		EventNo: new(int64(1)), AmountLb: new(200000.0), BookLb: new(200000.0), CountedBeforeAt: nil, DifferenceLb: nil},
		{StockpileID: "shed 1", MaterialID: "cma", At: second, Event: "count", Reference: "", EventNo: new(int64(40)),
			AmountLb: new(96000.0), BookLb: new(96000.0), CountedBeforeAt: new(first), DifferenceLb: new(-24000.0)}}
	for n := range 30 {
		m.data.StockBook = append(m.data.StockBook,
			rows.StockEvent{StockpileID: "shed 1", MaterialID: "cma", At: first.Add(time.Duration(n+1) * time.Hour), Event: "load out",
				Reference: fmt.Sprintf("K%02d", n), EventNo: new(int64(n + 2)), AmountLb: new(-9000.0),
				BookLb: new(200000 - 9000*float64(n+1)), CountedBeforeAt: nil, DifferenceLb: nil})
	}
	m.data.StockOnHand = []rows.StockOnHand{{StockpileID: "shed 1", MaterialID: "cma", CountedAt: new(second), LastEventAt: new(second),
		OnHandLb: new(84000.0), Share: new(1.0)}, {StockpileID: "shed 2", MaterialID: "nacl", CountedAt: nil, LastEventAt: new(second),
		OnHandLb: nil, Share: nil}}
	m.data.Prices = []rows.Price{{MaterialID: "cma", FromDate: time.Date(2029, 7, 1, 0, 0, 0, 0, time.UTC), UsdPerTon: new(1650.0)},
		{MaterialID: "cma", FromDate: time.Date(2031, 1, 1, 0, 0, 0, 0, time.UTC), UsdPerTon: new(1790.5)},
		{MaterialID: "nacl", FromDate: time.Date(2029, 7, 1, 0, 0, 0, 0, time.UTC), UsdPerTon: new(78.0)}}
}

func (m *maker) costs() {
	old, recent := m.data.Prices[0].FromDate, m.data.Prices[1].FromDate
	m.data.CostSums = append(costSumsOf(m.data.StormRoutes), rows.CostSum{Part: "storm", Season: "2030-31", MaterialClass: rows.Acetate})
	for i, c := range m.data.CostSums {
		if c.Part == "route" && c.Season == "2030-31" && c.RouteID == "R01" && c.MaterialClass == rows.Acetate {
			m.data.CostSums[i].Usd, m.data.CostSums[i].UsdPerLaneMi, m.data.CostSums[i].UsdPerTreatedLaneMi = nil, nil, nil
		}
	}
	// 412000 + 61000; of acetate's budget 412000 / 500000; kept off in upper alone, 80 of 90 + 10.
	m.data.WholeSeasons = []rows.WholeSeason{{Season: "2029-30", Usd: nil, BudgetShare: nil, KeptOffLb: new(1303565.0),
		KeptOffRouteStorms: 80, AcetateRouteStorms: 100},
		{Season: "2030-31", Usd: new(473000.0), BudgetShare: new(0.824), KeptOffLb: new(1303565.0), KeptOffRouteStorms: 80,
			AcetateRouteStorms: 100}}
	m.data.SeasonCosts = []rows.SeasonCost{{Season: "2030-31", MaterialClass: rows.Acetate, Passes: 200, Usd: new(412000.0),
		StormsUsd: new(400000.0), OutsideUsd: new(12000.0), UsdPerLaneMi: new(6250.0), UsdPerTreatedLaneMi: new(140.25),
		UsdPerTon: new(1702.0), FirstPriceDate: new(old), LastPriceDate: new(recent), BudgetUsd: new(500000.0),
		BudgetLeftUsd: new(88000.0), BudgetShare: new(0.824)},
		{Season: "2030-31", MaterialClass: rows.Chloride, Passes: 600, Usd: new(61000.0), UsdPerTon: new(78.0), FirstPriceDate: new(old),
			LastPriceDate: new(old)}, {Season: "2029-30", MaterialClass: rows.Chloride, Passes: 600, UnpricedLb: new(1200.0)}}
	m.data.BreakEven = []rows.BreakEven{{Season: "2030-31", Storms: 23, AcetateRoutes: 4, ChlorideRoutes: 10,
		AcetateUsdPerLaneMi: new(495.2), ChlorideUsdPerLaneMi: new(27.6), CostRatio: new(17.94), AcetateUsdPerTon: new(1702.0),
		ChlorideUsdPerTon:     new(78.0),
		AcetateFirstPriceDate: new(old), AcetateLastPriceDate: new(recent), ChlorideFirstPriceDate: new(old),
		ChlorideLastPriceDate: new(old), BreakEvenUsdPerTon: new(94.9), BreakEvenPriceRatio: new(1.217),
		BreakEvenPoundRatio: new(0.0458)}}
	m.data.DamageAssumptions = []rows.DamageAssumption{{Season: "2030-31", Name: "bridge decks", MaterialClass: rows.Chloride,
		UsdPerTon: new(615.0), Tons: new(790.0), Usd: new(485850.0), Source: "our bridge office " + scriptName,
		Label: "assumption of the district"}}
	for i := range m.data.WatershedSeasons {
		w := &m.data.WatershedSeasons[i]
		w.LaneMiles, w.ChlorideLb, w.AcetateLb, w.OxygenDemandLb = new(120.0), new(2400000.0), new(480000.0), new(417600.0)
	}
	last := m.data.Storms[len(m.data.Storms)-1]
	m.data.WatershedStorms = []rows.WatershedStorm{{Season: "2030-31", StormID: last.StormID, Watershed: "upper", Routes: 14,
		ChlorideLb: new(91000.0), AcetateLb: new(20000.0), AcetateRoutes: 4, KeptOffRoutes: 4, KeptOffLb: new(12132.0),
		KeptOffBasis: "paired routes, same storm", OxygenDemandLb: new(17400.0)},
		{Season: "2030-31", Watershed: "", Routes: 1, ChlorideLb: new(0.0)}}
	for n := range 11 {
		m.data.TimingTalk = append(m.data.TimingTalk,
			rows.TimingTalk{Season: "2030-31", StormID: m.data.Storms[len(m.data.Storms)-1-n].StormID, RouteID: "R01",
				MaterialClass: rows.Acetate, Kind: "cold", Share: new(0.4), AmountLb: new(1200.0),
				Reason: "So cold, material acts slowly."})
	}
	m.data.TimingTalk = append(m.data.TimingTalk, rows.TimingTalk{Season: "2030-31", StormID: last.StormID, RouteID: "R02",
		MaterialClass: rows.Chloride, Kind: "late", SnowBeforeH: new(3.25), Reason: "Early beats late."})
}

func (m *maker) findingsOfMaterial() {
	at := time.Date(2031, 2, 10, 6, 0, 0, 0, time.UTC)
	m.data.Findings = append(m.data.Findings,
		rows.FindingRow{Finding: rows.Finding{Code: "wrong_setting", Amount: new(0.63), Unit: rows.Ratio, Name: "cma", OtherName: "nacl",
			FromAt: new(at), ToAt: new(at)},
			SubjectKind: "truck", SubjectID: "T4", StormID: "", SinceAt: new(at)},
		rows.FindingRow{Finding: rows.Finding{Code: "never_calibrated", Name: "cma"}, SubjectKind: "truck", SubjectID: "T6", StormID: "",
			SinceAt: nil},
		rows.FindingRow{Finding: rows.Finding{Code: rows.ShrinkageFinding, Amount: new(-24000.0), Unit: rows.Pound, Name: "cma",
			FromAt: new(at), ToAt: new(at)},
			SubjectKind: "stockpile", SubjectID: "shed 1", StormID: "", SinceAt: new(at)})
}
