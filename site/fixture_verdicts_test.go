package site

import (
	"fmt"
	"math"
	"strconv"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
)

// verdicts makes what the fits and the comparison say of the made district: numbers near those of its rows, none of them fitted.
func (m *maker) verdicts() {
	m.data.Settings = append(m.data.Settings, book.Setting{Name: "same_margin", Value: "0.1"},
		book.Setting{Name: "learning_min_storms", Value: "5"}, book.Setting{Name: "learning_min_rows", Value: "12"},
		book.Setting{Name: "compare_min_storms", Value: "5"}, book.Setting{Name: "wind_caution_mph", Value: "20"})
	m.data.Downloads = append(m.data.Downloads, "learning.csv", "claims.csv", "comparison_seasons.csv",
		"comparison_storms.csv", "weather_findings.csv", "frosts.csv")
	m.learning()
	for season, rows := range book.Grouped(m.data.Storms, func(s rows.Storm) string { return s.Season }) {
		m.comparison(season, rows)
	}
	m.plans()
	m.weatherWords()
}

// plans are worked out by the pipeline's own tests; here a design that a few storms more settle and one that none do.
func (m *maker) plans() {
	m.data.Downloads = append(m.data.Downloads, "plans.csv")
	p := rows.Plan{Design: rows.Crossover, Margin: 0.10, AcetateRoutes: 3, ChlorideRoutes: 7, SeasonStorms: 25, Seasons: 2, Districts: 1,
		ChanceShare: 0.724, StormsNeeded: new(int64(53)), StormsMore: new(int64(53)), SeasonsNeeded: new(int64(3)),
		AcetateRoutesNeeded: new(int64(4)), ChlorideRoutesNeeded: new(int64(9)), DistrictsNeeded: new(int64(6)), SDDistrict: 0.05,
		SDSeason: 0.03, SDRoute: 0.213, SDAcetateRoute: 0.06, SDStormClass: 0.052, SDResidual: 0.2, Assumed: "district; season"}
	winter, wider := p, p
	winter.Design, winter.ChanceShare = rows.OneWinterBefore, 0.12
	winter.StormsNeeded, winter.StormsMore, winter.SeasonsNeeded = nil, nil, nil
	wider.Design, wider.Margin, wider.StormsMore = rows.OneWinterBefore, 0.15, new(int64(6))
	m.data.Plans = []rows.Plan{p, wider, winter}
}

func (m *maker) learning() {
	rate := func(slope float64, prior int64) float64 { return 400 * math.Pow(1+slope, math.Log2(1+float64(prior))) }
	crews, most := map[string]bool{}, int64(0)
	for _, row := range m.data.CrewStorms {
		if row.LearningUse != "used" {
			continue
		}
		crews[row.CrewID], most = true, max(most, *row.PriorStorms)
		n := len(m.data.LearningResiduals)
		m.data.LearningResiduals = append(m.data.LearningResiduals,
			rows.LearningResidual{StormID: row.StormID, CrewID: row.CrewID, RouteID: row.RouteID, Rate: row.RateLbPerLaneMi,
				Fitted: new(rate(-0.036, *row.PriorStorms)), Residual: 0, Deviations: new(float64(n%7) - 3), IsOutlier: n == 40})
	}
	verdict := "falling; so far; too few weighed loads to check what was reported"
	all := rows.Learning{CrewID: rows.AllCrews, Storms: 47, Rows: int64(len(m.data.LearningResiduals)), RowsLeftOut: 3,
		PriorStormsLatest: new(float64(most)), StartRate: new(400.0),
		ChangePct: new(-3.58), ChangeLow90Pct: new(-5.74), ChangeHigh90Pct: new(-1.38), DF: new(19.4), LatestRate: new(rate(-0.036, most)),
		StartRatio: new(1.41), StartRatioLow90: new(1.34), StartRatioHigh90: new(1.48),
		LatestRatio: new(1.08), LatestRatioLow90: new(1.05), LatestRatioHigh90: new(1.10), NetChangePct: new(-4.81),
		NetLow90Pct: new(-5.71), NetHigh90Pct: new(-3.89), SaltTrendPct: new(0.55),
		StartVerdict: "fits the band", ControlVerdict: "beyond salt", Verdict: verdict, ServiceVerdict: "no worse",
		PathVerdict: "on the path", NotAdjustedFor: "intensity"}
	m.data.Learning = []rows.Learning{all}
	for i := range 6 {
		id := "C" + strconv.Itoa(i+1)
		if crews[id] {
			m.data.Learning = append(m.data.Learning,
				rows.Learning{CrewID: id, Storms: 40, Rows: 60, RowsLeftOut: 0, PriorStormsLatest: new(float64(most)),
					StartRate: new(400.0), ChangePct: new(-3 - float64(i)/10),
					ChangeLow90Pct: new(-5.0), ChangeHigh90Pct: new(-1.5), DF: new(60.0), LatestRate: new(310.0),
					Verdict: "like the others; so far"})
		}
	}
	for _, l := range m.data.Learning {
		for prior := range most + 1 {
			r := rate(*l.ChangePct/100, prior)
			m.data.LearningCurves = append(m.data.LearningCurves,
				rows.LearningCurve{CrewID: l.CrewID, PriorStorms: prior, Rate: new(r), RateLow90: new(0.93 * r), RateHigh90: new(1.07 * r)})
		}
	}
	m.data.LearningOrders = []rows.LearningOrder{{Number: 1, FromDate: &m.data.Orders[0].FromDate, Text: m.data.Orders[0].Text, RouteID: "",
		ChangePct: new(-2.98), ChangeLow90Pct: new(-5.37), ChangeHigh90Pct: new(-0.53), Moves: false}}
	m.data.LearningBases = []rows.LearningBasis{{Basis: "corrected", Rows: 290, Storms: 47, StartRate: new(402.0), ChangePct: new(-3.4),
		ChangeLow90Pct: new(-5.6), ChangeHigh90Pct: new(-1.2), LatestRate: new(309.0), Verdict: rows.Falling},
		{Basis: "reported", Rows: 297, Storms: 47, StartRate: new(400.0), ChangePct: new(-3.58), ChangeLow90Pct: new(-5.74),
			ChangeHigh90Pct: new(-1.38), LatestRate: new(308.0), Verdict: rows.Falling}}
	m.data.LearningFits = []rows.LearningFit{{Fit: "curve", State: "fitted", RowsGiven: 300, RowsUsed: 297, Storms: 47,
		NotAdjusted: "intensity", Warnings: scriptName},
		{Fit: "beside salt: hours", State: "fitted", RowsGiven: 214, RowsUsed: 210, Storms: 47}}
	m.data.LearningLeftOut = []rows.LearningLeftOut{{Fit: "curve", Reason: "open storm", Rows: 12},
		{Fit: "curve", Reason: "shared route", Rows: 32}}
}

func (m *maker) comparison(season string, storms []rows.Storm) {
	routes := map[string]rows.StormRoute{}
	for _, row := range m.data.StormRoutes {
		key := row.StormID + "|" + row.ZoneID + "|" + row.MaterialClass
		if _, found := routes[key]; !found {
			routes[key] = row
		}
	}
	n := int64(0)
	for i, storm := range storms {
		if storm.IsOpen {
			continue
		}
		ac, cl := routes[storm.StormID+"|"+storm.ZoneID+"|"+rows.Acetate], routes[storm.StormID+"|"+storm.ZoneID+"|"+rows.Chloride]
		row := rows.Comparison{Season: season, StormID: storm.StormID, ZoneID: storm.ZoneID, AcetateRate: ac.RateLbPerLaneMi,
			ChlorideRate: cl.RateLbPerLaneMi, AcetateStormLb: ac.StormLbPerLaneMi, ChlorideStormLb: cl.StormLbPerLaneMi,
			AcetateApplications: ac.Applications, ChlorideApplications: cl.Applications, AcetateRegainH: ac.CappedRegainH,
			ChlorideRegainH: cl.CappedRegainH, AcetateRoutes: new(int64(1)), ChlorideRoutes: new(int64(3)), MixedRoutes: new(int64(0)),
			UnmeasuredRoutes: new(int64(0)), NoRecordRoutes: new(int64(i % 2))}
		if ac.StormLbPerLaneMi != nil && cl.StormLbPerLaneMi != nil && i%9 != 0 {
			row.StormRatio = new(*ac.StormLbPerLaneMi / *cl.StormLbPerLaneMi)
		}
		n++
		m.data.Comparison = append(m.data.Comparison, row)
	}
	m.data.Comparison = append(m.data.Comparison, rows.Comparison{Season: season, AcetateRate: new(340.0), ChlorideRate: new(305.0),
		RateRatio: new(1.1148), AcetateStormLb: new(680.4), ChlorideStormLb: new(690.6), AcetateApplications: new(2.0),
		ChlorideApplications: new(2.2643),
		ApplicationsRatio:    new(0.9184), AcetateCostUsd: new(495.2), ChlorideCostUsd: new(27.6), CostRatio: new(17.94),
		AcetateRegainH: new(3.36), ChlorideRegainH: new(3.54), AcetateRoutes: new(int64(4)), ChlorideRoutes: new(int64(10)),
		MixedRoutes: new(int64(0)), UnmeasuredRoutes: new(int64(2)), NoRecordRoutes: new(n / 2),
		SeasonVerdicts: rows.SeasonVerdicts{Storms: 23, TotalRatio: new(0.9852), Low90: new(0.9368), High90: new(1.0448),
			Verdict: rows.AboutTheSame, ApplicationsLow90: new(0.8719), ApplicationsHigh90: new(0.9675), ApplicationsVerdict: rows.Fewer,
			TypicalRatio: new(0.9786), TypicalLow90: new(0.9155), TypicalHigh90: new(1.046),
			ZeroAcetate: 1, ZeroChloride: 0, EndRatio: new(0.92), EndLow90: new(0.8156), EndHigh90: new(1.0385), RegainDiffH: new(-0.10),
			RegainLow90H: new(-0.19), RegainHigh90H: new(-0.02), RegainVerdict: "no worse",
			AcetateNotBareShare: new(0.0241), ChlorideNotBareShare: new(0.0229),
			NotBareDiff: new(0.0027), NotBareLow90: new(-0.0285), NotBareHigh90: new(0.0338), MaterialRatio: new(1.0163),
			MaterialLow90: new(0.9463), MaterialHigh90: new(1.0904), RoutesChanged: 3, PathVerdict: rows.PathOn,
			PoundsBasis: rows.BasisReported, AcetateReportedShare: new(0.96), ChlorideReportedShare: new(0.94),
			WithinTenShare: new(0.953), WithinMarginShare: new(0.953)}})
	m.claims(season)
	m.data.WatershedSeasons = append(m.data.WatershedSeasons,
		rows.WatershedSeason{Season: season, Watershed: "upper", AcetateRouteStorms: 90, KeptOffRouteStorms: 80, KeptOffLb: new(1303565.0)},
		rows.WatershedSeason{Season: season, Watershed: "lower", AcetateRouteStorms: 10, KeptOffRouteStorms: 0})
}

// claims are the season's answers, of which the first season's last is still open, and the ratios that they rest on.
func (m *maker) claims(season string) {
	for i, row := range []rows.ClaimRow{{Answer: rows.ClaimYes, Figure: new(0.9689), Low90: new(0.8978), High90: new(1.0456)},
		{Answer: rows.ClaimYes, Figure: new(1.41), Low90: new(1.34), High90: new(1.48)},
		{Answer: rows.ClaimYes, Figure: new(0.9519), Low90: new(0.9429), High90: new(0.9611)},
		{Answer: rows.ClaimYes, Figure: new(0.9307), Low90: new(0.8818), High90: new(0.9849)},
		{Answer: rows.ClaimYes, Figure: new(0.9745), Low90: new(0.9286), High90: new(1.0345)}} {
		row.Season, row.Claim, row.LeftOut = season, int64(i+1), "C"
		if season == "2029-30" && i == 4 {
			row.Answer = rows.ClaimCannot
		}
		m.data.Claims = append(m.data.Claims, row)
	}
	m.data.BesideSalt = append(m.data.BesideSalt,
		rows.BesideSalt{Season: season, Question: rows.QuestionHours, Contrast: rows.ContrastSeason, Ratio: new(0.9689),
			Low90: new(0.8978), High90: new(1.0456), DF: new(46.8)},
		rows.BesideSalt{Season: season, Question: rows.QuestionApplications, Contrast: rows.ContrastSeason, Ratio: new(0.9307),
			Low90: new(0.8818), High90: new(0.9849), DF: new(45.1)},
		rows.BesideSalt{Season: season, Question: rows.QuestionPounds, Contrast: rows.ContrastSeason, Ratio: new(1.0163),
			Low90: new(0.9463), High90: new(1.0904), DF: new(8.2)},
		rows.BesideSalt{Season: season, Question: rows.QuestionPounds, Contrast: rows.ContrastLatest, Ratio: new(0.9745),
			Low90: new(0.9286), High90: new(1.0345), DF: new(9.4)})
}

func (m *maker) weatherWords() {
	m.data.PresentWx = []rows.PresentWx{{PresentWx: "SN", HasSnow: true}, {PresentWx: "FZRA", HasFreezing: true},
		{PresentWx: "PL", HasSleet: true}, {PresentWx: "RA", HasRain: true}}
	kinds := map[string]string{"snow": "SN", "freezing rain": "FZRA", "sleet": "PL", "mixed": "RA"}
	byZone := book.Grouped(m.data.Storms, func(s rows.Storm) string { return "S" + s.ZoneID })
	for i, o := range m.data.Observations {
		for _, s := range byZone[o.StationID] {
			if !o.ObservedAt.Before(s.BeganAt) && !o.ObservedAt.After(s.EndedAt) {
				m.data.Observations[i].PresentWx = kinds[s.Kind]
			}
		}
	}
	for i := range m.data.Storms {
		s := &m.data.Storms[i]
		s.Severity, s.SeverityOnly = new(0.51), new(0.41)
		m.data.StormSeverity = append(m.data.StormSeverity,
			rows.StormSeverity{StormID: s.StormID, ZoneID: s.ZoneID, ST: "medium snow", Ti: "cold", Wi: "light", Bi: "snow", Tp: "cooling",
				Wp: "light", SnowIn: new(4.2), TiF: new(19.5), WiMph: new(9.0), TpF: new(-3.4), WpMph: new(6.0), SeverityOnly: new(0.41),
				Severity: new(0.51)})
	}
	first := m.data.Storms[0]
	for n := range 45 {
		m.data.WeatherEvents = append(m.data.WeatherEvents,
			rows.WeatherEvent{StationID: "S" + first.ZoneID, EventAt: first.BeganAt.Add(time.Duration(n) * 5 * time.Minute), What: "SN",
				IsBegin: n%2 == 0})
	}
	m.data.WeatherDoubts = []rows.WeatherDoubt{{Finding: rows.Finding{Code: "stuck_air", Amount: new(20.0), Unit: rows.DegreeF,
		Other: new(13.0), OtherUnit: rows.Hour, Name: scriptName},
		StationID: "SA", From: first.BeganAt, To: first.EndedAt}}
	m.data.SeverityClasses = []rows.SeverityClass{{Factor: "ST", Class: "heavy snow", Unit: "inch in 24 h", FromValue: new(6.0),
		ToValue: nil, Value: new(1.0), Source: "Nixon and Qiu 2005", Note: "from memory"},
		{Factor: "setting", Class: "a", Unit: "", FromValue: nil, ToValue: nil, Value: new(0.0005), Source: "Nixon and Qiu 2005",
			Note: "from memory"}}
	m.data.SeasonSeverity = []rows.SeasonSeverity{{Season: "2030-31", ZoneID: "A", FirstDate: new(m.data.Orders[1].FromDate),
		LastDate: new(m.data.Orders[0].FromDate), DaysCounted: new(int64(125)), TemperaturePoints: new(439.0), SnowH: new(290.7),
		WaterIn: new(13.41)}}
	m.data.StormCounts = []rows.StormCount{{Season: "2030-31", GapH: new(int64(3)), Storms: new(int64(26))},
		{Season: "2030-31", GapH: new(int64(6)), Storms: new(int64(24))}, {Season: "2030-31", GapH: new(int64(12)), Storms: new(int64(23))}}
	at := time.Date(2031, 2, 25, 9, 0, 0, 0, time.UTC)
	m.data.FrostSums = []rows.FrostSum{{Season: "2030-31", ZoneID: "A", Kind: "frost", Spells: 1, Hours: new(3.0)},
		{Season: "2030-31", ZoneID: "A", Kind: "refreeze", Spells: 1, Hours: new(2.0)}}
	for n := range 45 {
		m.data.StormPasses = append(m.data.StormPasses,
			rows.StormPass{PassKey: fmt.Sprintf("outside-%02d", n), Season: "2030-31", ZoneID: "A", RouteID: "R01", TruckID: "T1",
				BeganAt: at.Add(time.Duration(n) * time.Hour), EndedAt: at.Add(time.Duration(n)*time.Hour + 30*time.Minute),
				MaterialID: "cma", MaterialClass: rows.Acetate, Form: rows.Solid, IsTreating: n%2 == 0, AppliedLb: new(900.0),
				LaneMiles: new(4.0), PavementF: new(30.0)})
	}
	m.data.OutsideReasons = []rows.OutsideReason{{PassKey: "outside-01", Kind: "frost"}, {PassKey: "outside-44", Kind: "refreeze"}}
	m.data.StormReasons = []rows.StormReason{{Season: first.Season, StormID: first.StormID, RouteID: "R01", MaterialClass: rows.Acetate,
		StormLb: new(900.0), Storms: new(int64(24)), LowStormLb: new(310.0), HighStormLb: new(420.0), TotalKind: "more than usual here",
		ApplicationsKind: "more applications", RateKind: "rate as usual", FitKind: "rate as fitted", IsOutlier: true}}
	m.data.UsedRates = []rows.UsedRate{{MaterialID: "nacl", MaterialClass: rows.Chloride, Form: rows.Solid, BandNo: new(int64(2)),
		FromF: new(28.0), ToF: new(32.0), StormKind: "snow", Storms: new(int64(14)), RouteStorms: new(int64(55)), LowRate: new(210.0),
		MedianRate: new(225.0), HighRate: new(266.0), RegainH: new(3.1), NotBareRoutes: new(int64(2)), HandbookFirstLow: new(150.0),
		HandbookFirstHigh: new(250.0), HandbookFollowingLow: new(100.0), HandbookFollowingHigh: new(200.0)},
		{MaterialID: "cma", MaterialClass: rows.Acetate, Form: rows.Solid, BandNo: new(int64(2)), FromF: new(28.0), ToF: new(32.0),
			StormKind: "snow", Storms: new(int64(14)), RouteStorms: new(int64(55)), LowRate: new(209.0), MedianRate: new(224.0),
			HighRate: new(266.0), RegainH: new(3.0), NotBareRoutes: new(int64(1)), Caution: "salt; not a floor for acetate"},
		{MaterialID: "nacl", MaterialClass: rows.Chloride, Form: rows.Solid, BandNo: new(int64(5)), ToF: new(15.0), StormKind: "snow",
			Storms: new(int64(2)), RouteStorms: new(int64(5)), MedianRate: new(301.0), Caution: "plow; no chemicals; see local policy"}}
}
