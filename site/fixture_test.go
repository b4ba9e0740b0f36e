package site

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
)

// Names that must stay inert on every page.
const (
	scriptName   = `</script><script>document.title='taken'</script>`
	functionName = `__f__(document.title='taken')__f__`
	quotedName   = `O'"Brien" & <b>Sons</b>`
	reversedName = "north \u202egnidaeh\u202c end"
)

var longName = strings.Repeat("very long name ", 20)

// maker draws an invented district from a fixed seed.
type maker struct {
	rng  *rand.Rand
	data *book.Data
	zone *time.Location
	used map[string]int64 // acetate storms by crew
}

// madeDistrict is two seasons of 14 routes, 6 crews, 3 zones; weather, passes, faults; the last storm open.
func madeDistrict() *book.Data { return madeSeasons(24) }

// madeSeasons is madeDistrict with as many storms a season as are asked for.
func madeSeasons(storms int) *book.Data {
	m := newMaker()
	m.places()
	m.seasons(storms)
	return m.data
}

func newMaker() *maker {
	zone, err := time.LoadLocation("America/Chicago")
	if err != nil {
		panic(err)
	}
	return &maker{rng: rand.New(rand.NewPCG(7, 11)), zone: zone, used: map[string]int64{},
		data: &book.Data{District: "High Meadow", TimeZone: "America/Chicago", CrewLabels: true, CrewPages: rows.CrewPagesAll,
			RawLines:  true,
			Downloads: []string{"storms.csv", "storm_routes.csv", "outside_storms.csv", "crew_storms.csv", "intake.csv", "quarantine.csv"},
			Queries: []book.Query{{Name: "20_storms.sql", Text: "-- storms\nselect 1;\n"},
				{Name: "40_storm_routes.sql", Text: "-- storm_routes\nselect 1;\n"}},
			Exports: []book.Export{{Name: "storms", Title: "Storms", Description: "Every storm in every zone.",
				Columns: []book.ExportColumn{{Name: "hours", Type: "number", Unit: "hour", Description: "Length of the storm."}}}},
			Settings: []book.Setting{{Name: "storm_gap_h", Value: "6"}, {Name: "regain_cap_h", Value: "48"}},
			AsOf:     new(time.Date(2031, 3, 9, 11, 40, 0, 0, time.UTC))}}
}

// seasons makes the storms of two seasons, and what follows from them.
func (m *maker) seasons(storms int) {
	for season, year := range []int{2029, 2030} {
		begin := time.Date(year, 11, 14, 3, 0, 0, 0, time.UTC)
		for n := range storms {
			begin = begin.Add(time.Duration(60+m.rng.IntN(85)) * time.Hour)
			m.storm(fmt.Sprintf("%d-%02d", year, (year+1)%100), begin, season == 1 && n == storms-1)
		}
	}
	m.faults()
	m.verdicts()
	m.material()
	m.coverage()
	tallied(m.data)
}

func (m *maker) places() {
	for i, name := range []string{"Upper meadow", quotedName, "Lake shore"} {
		id := string(rune('A' + i))
		m.data.Zones = append(m.data.Zones, rows.Zone{ZoneID: id, Name: name, DistrictID: "d1"})
		m.data.Stations = append(m.data.Stations, rows.Station{StationID: "S" + id, ZoneID: id, Name: "Station " + id})
	}
	names := []string{"Mill bridge", "Ridge road", "Lake road", "Quarry lane", functionName, reversedName, longName, "Orchard road",
		"South loop", "Ferry road", "High pass", "Weir bridge", "Mast hill", scriptName}
	for i, name := range names {
		id := fmt.Sprintf("R%02d", i+1)
		switch i {
		case 10:
			id = "../x"
		case 11:
			id = "CON"
		}
		m.data.Routes = append(m.data.Routes, rows.Route{RouteID: id, Name: name, ZoneID: string(rune('A' + i%3)),
			LaneMiles: new(8 + float64(i*3%17)), Watershed: "upper", BridgeLaneMiles: new(float64(i % 3))})
		class := rows.Chloride
		if i%4 == 0 {
			class = rows.Acetate
		}
		m.data.Assignments = append(m.data.Assignments,
			rows.Assignment{RouteID: id, FromDate: time.Date(2029, 7, 1, 0, 0, 0, 0, time.UTC), ToDate: nil, MaterialClass: class,
				CrewID: fmt.Sprintf("C%d", i%6+1)})
	}
	m.data.CrewFileLabels = map[string]string{}
	for i, label := range []string{"Early", "Late", scriptName, reversedName, "North garage", quotedName} {
		m.data.Crews = append(m.data.Crews, rows.Crew{CrewID: fmt.Sprintf("C%d", i+1), Label: label, Members: new(int64(3 + i))})
		m.data.CrewFileLabels[fmt.Sprintf("C%d", i+1)] = fmt.Sprintf("C%d", i+1)
	}
	m.data.Materials = []rows.Material{{MaterialID: "cma", Name: "Calcium magnesium acetate", Class: rows.Acetate, Form: rows.Solid,
		LowestWorkingF: new(20.0)}, {MaterialID: "nacl", Name: "Rock salt", Class: rows.Chloride, Form: rows.Solid,
		LowestWorkingF: new(15.0)}}
	m.data.Orders = []rows.Order{{FromDate: time.Date(2031, 1, 10, 0, 0, 0, 0, time.UTC), Text: "New settings for pellets " + scriptName,
		MaterialClass: rows.Acetate, RouteID: ""},
		{FromDate: time.Date(2030, 12, 1, 0, 0, 0, 0, time.UTC), Text: "Low stock: hold rates", MaterialClass: rows.Chloride,
			RouteID: "R02"}}
}

// storm makes one storm in all zones; every fifth storm leaves zone C dry.
func (m *maker) storm(season string, begin time.Time, isOpen bool) {
	length := 5 + 20*m.rng.Float64()
	id := "d1-" + begin.In(m.zone).Format("20060102")
	mean := 18 + 14*m.rng.Float64()
	kind := []string{"snow", "snow", "snow", "mixed", "freezing rain", "sleet"}[m.rng.IntN(6)]
	if isOpen {
		begin = m.data.AsOf.Add(-time.Duration(length * float64(time.Hour)))
		id = "d1-" + begin.In(m.zone).Format("20060102")
	}
	for i := range 3 {
		zoneID := string(rune('A' + i))
		row := rows.Storm{Season: season, StormID: id, DistrictID: "d1", ZoneID: zoneID,
			BeganAt: begin.Add(time.Duration(i*40) * time.Minute), IsOpen: isOpen, Kind: kind}
		row.EndedAt = begin.Add(time.Duration(length*3600) * time.Second)
		row.Hours, row.PrecipIn = new(row.EndedAt.Sub(row.BeganAt).Hours()), new(0.02*length*m.rng.Float64())
		row.AirFMean, row.AirFMin, row.SurfaceFMin, row.WindMphMax = new(mean), new(mean-6), new(mean-3), new(10+20*m.rng.Float64())
		row.SnowH = new(length)
		m.data.Storms = append(m.data.Storms, row)
		m.weather(row, mean)
		for j, route := range m.data.Routes {
			if route.ZoneID == zoneID {
				m.route(row, route, m.data.Assignments[j])
			}
		}
	}
}

func (m *maker) weather(s rows.Storm, mean float64) {
	for at := s.BeganAt.Add(-14 * time.Hour).Truncate(20 * time.Minute); at.Before(s.EndedAt.Add(20 * time.Hour)); at = at.Add(
		20 * time.Minute) {
		if s.ZoneID == "B" && at.Hour() == 9 {
			continue // an hour without reports
		}
		air := mean + 5*math.Sin(float64(at.Unix())/86400*2*math.Pi) + m.rng.Float64()
		water := 0.0
		if at.After(s.BeganAt) && at.Before(s.EndedAt) {
			water = 0.015 * m.rng.Float64()
		}
		m.data.Observations = append(m.data.Observations,
			rows.Observation{StationID: "S" + s.ZoneID, ObservedAt: at, AirF: new(air),
				SurfaceF: new(air + 2 + 1.5*math.Cos(float64(at.Unix())/86400*2*math.Pi)), WindMph: new(6 + 14*m.rng.Float64()),
				PrecipIn: new(water), VisibilityMi: new(0.5 + 9*m.rng.Float64()), PresentWx: ""})
	}
}

// route makes the passes of one route in one storm and its rows.
func (m *maker) route(s rows.Storm, route rows.Route, assigned rows.Assignment) {
	class, material, rate := assigned.MaterialClass, "nacl", 290+30*m.rng.Float64()
	if class == rows.Acetate {
		material, rate = "cma", 290*(1.04+0.38*math.Exp(-float64(m.used[assigned.CrewID])/40))+30*m.rng.Float64()
	}
	miles := *route.LaneMiles
	r := rows.StormRoute{Season: s.Season, StormID: s.StormID, ZoneID: s.ZoneID, RouteID: route.RouteID, MaterialClass: class,
		Form: rows.Solid, CrewIDs: assigned.CrewID, RouteLaneMiles: new(miles),
		UnplacedLb: new(0.0), PrewetLb: new(0.0), UnmeasuredPasses: new(int64(0)), PlowPasses: new(int64(1)), RegainState: "bare",
		RegainH: new(1 + 5*m.rng.Float64()), IsBareInCap: new(true), CoveredShare: new(1.0), ColdShare: new(0.1), OnsetLagMin: new(25.0)}
	r.CappedRegainH = r.RegainH
	switch {
	case s.IsOpen:
		r.RegainState, r.RegainH, r.CappedRegainH, r.IsBareInCap = "open", nil, nil, nil
	case m.rng.IntN(14) == 0:
		r.RegainState, r.RegainH = "not bare", nil
		r.CappedRegainH, r.IsBareInCap = new(24.0), new(false)
	}
	rounds := 1 + m.rng.IntN(3)
	for n := range rounds {
		began := s.BeganAt.Add(time.Duration(25+n*210) * time.Minute)
		m.data.StormPasses = append(m.data.StormPasses,
			rows.StormPass{PassKey: fmt.Sprintf("%s-%s-%d", s.StormID, route.RouteID, n), StormID: s.StormID, Season: s.Season,
				ZoneID: s.ZoneID, RouteID: route.RouteID,
				TruckID: "T1", CrewID: assigned.CrewID, BeganAt: began, EndedAt: began.Add(70 * time.Minute), MaterialID: material,
				MaterialClass: class, Form: rows.Solid, IsTreating: true, LaneMiles: new(miles), AppliedLb: new(rate * miles)})
	}
	m.data.StormPasses = append(m.data.StormPasses,
		rows.StormPass{PassKey: s.StormID + route.RouteID + "p", StormID: s.StormID, ZoneID: s.ZoneID, RouteID: route.RouteID,
			TruckID: "T2", BeganAt: s.BeganAt.Add(3 * time.Hour), EndedAt: s.BeganAt.Add(4 * time.Hour)},
		rows.StormPass{PassKey: s.StormID + route.RouteID + "l", StormID: s.StormID, ZoneID: s.ZoneID, RouteID: route.RouteID,
			TruckID: "T3", BeganAt: s.BeganAt.Add(-5 * time.Hour), EndedAt: s.BeganAt.Add(-4 * time.Hour),
			MaterialID: "brine", MaterialClass: rows.Chloride, Form: rows.Liquid, IsTreating: true, AppliedLb: new(40 * miles),
			LaneMiles: new(miles)})
	n := float64(rounds)
	r.TreatedLaneMiles, r.MeasuredLaneMiles, r.AppliedLb = new(n*miles), new(n*miles), new(n*rate*miles)
	r.RateLbPerLaneMi, r.StormLbPerLaneMi, r.Applications = new(rate), new(n*rate), new(n)
	r.Rounds, r.TreatingPasses, r.FirstApplicationAt = new(int64(rounds)), new(int64(rounds)), new(s.BeganAt.Add(25*time.Minute))
	r.CostUsd = new(n * rate * miles / 2000 * 80)
	m.data.StormRoutes = append(m.data.StormRoutes, r)
	c := rows.CrewStorm{Season: s.Season, StormID: s.StormID, CrewID: assigned.CrewID, RouteID: route.RouteID, MaterialClass: class,
		Form: rows.Solid, TreatedLaneMiles: r.TreatedLaneMiles,
		MeasuredLaneMiles: r.MeasuredLaneMiles, AppliedLb: r.AppliedLb, RateLbPerLaneMi: r.RateLbPerLaneMi}
	if class == rows.Acetate {
		c.PriorStorms, c.LearningUse = new(m.used[assigned.CrewID]), "used"
		m.used[assigned.CrewID]++
	}
	m.data.CrewStorms = append(m.data.CrewStorms, c)
}

func (m *maker) faults() {
	m.data.Gaps = []rows.Gap{{Code: "gap_no_prices", SubjectKind: "district"},
		{Code: "gap_zone_weather", SubjectKind: "zone", SubjectID: "ridge", Amount: new(3.0)}}
	at := new(time.Date(2031, 2, 20, 8, 0, 0, 0, time.UTC))
	m.data.SetAside = []rows.SetAside{{TruckID: "T77", ReasonCode: "unknown_truck", Rows: new(int64(31)),
		DispensedLb: new(18450.0), FirstAt: at, LastAt: m.data.AsOf},
		{TruckID: scriptName, ReasonCode: "end_before_begin", Rows: new(int64(2)), DispensedLb: new(900.0), FirstAt: at,
			LastAt: at}}
	m.data.SetAsideTrucks = []rows.SetAsideTruck{{Part: "all", TruckID: "", Rows: 33, DispensedLb: new(19350.0)},
		{Part: "truck", TruckID: "T77", Rows: 31, DispensedLb: new(18450.0)},
		{Part: "truck", TruckID: scriptName, Rows: 2, DispensedLb: new(900.0)}}
	m.data.Quarantine = []rows.Quarantine{{Feed: "passes", File: "p-0220.csv", Line: new(int64(1032)), Rows: 1, Column: "dispensed_lb",
		Reason: `"12O" is not a number; use digits and at most one point`, Remedy: "mend the cell and deliver the file again",
		Raw: "T1,C1,12O"},
		{Feed: "weather", File: scriptName + ".csv", Line: new(int64(0)), Rows: 1, Column: "", Reason: "observed_at: the column is missing",
			Remedy: "add the column or map it in district.toml", Raw: functionName}}
	m.data.Intake = []rows.Intake{{Feed: "passes", File: "p-0220.csv", SHA256: "ab", SameAs: "", RowsRead: 1200, Accepted: 1160,
		Duplicates: 7, Corrections: 2, Quarantined: 31},
		{Feed: "weather", File: "w.csv", SHA256: "cd", SameAs: "", RowsRead: 80000, Accepted: 80000, Duplicates: 0, Corrections: 0,
			Quarantined: 0}, {Feed: "weather", File: "w2.csv", SHA256: "cd", SameAs: "w.csv", RowsRead: 0, Accepted: 0, Duplicates: 0,
			Corrections: 0, Quarantined: 0}}
	m.data.PositionTrucks = []rows.PositionTruck{{Season: "2029-30", TruckID: "T1", Points: new(int64(100)), OnRoute: new(int64(90))},
		{Season: "2030-31", TruckID: "T1", Traces: new(int64(2)), Points: new(int64(3000)), OnRoute: new(int64(2500)),
			OffNetwork: new(int64(490)), Jumps: new(int64(4)), Frozen: new(int64(6)), CounterFaults: new(int64(1)),
			TravelMi: new(100.0), OffNetworkMi: new(10.0), FedLb: new(20000.0), UnplacedLb: new(500.0)}}
	m.data.UnknownColumns = []rows.UnknownColumn{{Feed: "passes", File: "p-0220.csv", Column: scriptName}}
	last := m.data.Storms[len(m.data.Storms)-1].StormID
	m.data.Findings = []rows.FindingRow{
		{Finding: rows.Finding{Code: "open_storm", Amount: new(9.52), Unit: rows.Hour}, SubjectKind: "storm", SubjectID: last,
			StormID: last, SinceAt: at},
		{Finding: rows.Finding{Code: "no_log", Amount: new(2.0), Unit: rows.Count}, SubjectKind: "route", SubjectID: "R02", StormID: last,
			SinceAt: at},
		{Finding: rows.Finding{Code: "same_truck_and_begin", Amount: new(2.0), Unit: rows.Count}, SubjectKind: "truck", SubjectID: "T1",
			StormID: "", SinceAt: at},
		{Finding: rows.Finding{Code: "pass_lanes", Amount: new(1300.0), Unit: rows.PoundPerLaneMile, Name: "of a slow crew"},
			SubjectKind: "crew", SubjectID: "C3", StormID: "", SinceAt: at}}
	for range 9 {
		lanes := rows.Finding{Code: "pass_lanes", Amount: new(1300.0), Unit: rows.PoundPerLaneMile, Name: "../x"}
		m.data.Findings = append(m.data.Findings, rows.FindingRow{Finding: lanes, SubjectKind: "route", SubjectID: "../x", StormID: last,
			SinceAt: at})
	}
	m.data.OutsideStorms = []rows.OutsideStorm{{Season: "2030-31", RouteID: "R01", MaterialClass: rows.Acetate, Form: rows.Solid,
		TreatingPasses: new(int64(3)), UnmeasuredPasses: new(int64(0)), PlowPasses: new(int64(0)), TreatedLaneMiles: new(12.0),
		AppliedLb: new(4100.0)}}
	m.data.Flurries = []rows.Flurry{{Season: "2030-31", DistrictID: "d1", Flurries: new(int64(4))}}
}
