package scenario

import (
	"cmp"
	"math"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/scenario/land"
)

const lawFormula = "ln(rate) = ln(base_lb_per_lane_mi) + ln_rate_per_f (air_f_mean - mean_air_f) " +
	"+ ln_rate_per_in_per_h (precip_in / max(hours, 1) - mean_intensity_in_per_h) + ln_rate_freezing [freezing_h >= 0.5] " +
	"+ storm + route + crew + residual; acetate solids add ln(start_ratio) " +
	"+ (ln_rate_per_doubling + slope of the crew) log2(1 + prior_storms)"

// tell writes the truth down.
func (s *district) tell() Truth {
	t := Truth{Seed: s.seed, TimeZone: land.TimeZone, AsOfAt: dateTime(s.asOf),
		Law: s.tellLaw(), Learning: s.tellCrews(), Sensors: s.sensors, Positions: s.positions,
		Overdue: overdueTruck, OverdueLast: overdueLast, CatchTruck: catchTruck,
		Order:     OrderTruth{"2028-12-18", "Acetate: set no more than the card of the truck says for the pavement temperature", 0},
		Shrinkage: ShrinkageTruth{shrinkage.stockpileID, shrinkage.materialID, dateTime(shrinkage.at), -shrinkage.amountLb},
		Price:     PriceTruth{"cma", "2029-01-15", 1420, 1565}}
	for i, x := range s.storms {
		t.Storms = append(t.Storms, s.tellStorm(i, x))
	}
	for season, name := range land.SeasonNames {
		t.Flurries = append(t.Flurries, SeasonCount{name, s.flurries[season]})
	}
	for _, c := range land.Crews {
		if strings.Contains(c.Label, "<script>") {
			t.EvilCrewID = c.ID
		}
	}
	t.MisSet = MisSetTruth{TruckID: misSet.truckID, MaterialID: "cma", SetFor: "salt", SinceAt: dateTime(misSet.since),
		FirstWeek: misSet.since.In(s.place).Format("2006-01-02"),
		Ratio:     land.Round(land.TruckOf(misSet.truckID).Spread*land.BulkDensity("cma")/land.BulkDensity("salt"), 6)}
	for _, k := range land.Trucks {
		t.Spreaders = append(t.Spreaders, SpreaderTruth{k.ID, k.Spread})
	}
	s.tellDeliveries(&t)
	t.Planted = s.tellPlanted()
	t.Claims = s.tellClaims(t.Law.PerDoublingAll)
	return t
}

func (s *district) tellStorm(i int, x land.Storm) StormTruth {
	t := StormTruth{Season: land.SeasonNames[x.Season], StormID: x.ID, Kind: x.Kind, BeganAt: dateTime(x.Began), IsOpen: x.IsOpen,
		Effect: s.winter.effects.storm[i]}
	for z, zs := range x.Zones {
		t.Zones = append(t.Zones, ZoneTruth{land.Zones[z].ID, zs.IsDry, dateTime(zs.Began), dateTime(zs.Ended), land.Round(zs.AirFMean, 6),
			land.Round(zs.PrecipIn, 6), land.Round(zs.FreezingH, 6)})
	}
	return t
}

func (s *district) tellLaw() LawTruth {
	e := s.winter.effects
	t := LawTruth{Formula: lawFormula, BaseLb: lawBaseLb, MeanF: lawMeanF, MeanIntensity: lawMeanInH,
		PerF: lawPerF, PerIntensity: lawPerInH, Freezing: lawPerFreezing,
		StartRatio: lawStartRatio, PerDoubling: lawPerDoubling(), ChangePct: 100 * (math.Exp(lawPerDoubling()) - 1),
		TreatShare: treatShare, RegainAcetateRatio: math.Exp(regainAcetate),
		SDStorm: lawSDStorm, SDRoute: lawSDRoute, SDCrew: lawSDCrew, SDResidual: lawSDResidual, SDPass: lawSDPass}
	for i, r := range land.Routes {
		t.Routes = append(t.Routes, Effect{r.ID, e.route[i]})
	}
	for i, c := range land.Crews {
		t.Crews = append(t.Crews, Effect{c.ID, e.crew[i]})
	}
	var latest []float64
	t.PerDoublingAll = lawPerDoubling()
	for i, c := range land.SheetCrews {
		t.PerDoublingAll += c.Slope / float64(len(land.SheetCrews))
		if c.Slope > 0 {
			t.SlowCrewID, t.SlowSlope = c.ID, c.Slope
		}
		latest = append(latest, float64(s.winter.latest[i]))
	}
	t.LatestStorms = median(latest)
	t.LatestRatio = lawStartRatio * math.Exp(lawPerDoubling()*math.Log2(1+t.LatestStorms))
	t.LatestRatioAll = lawStartRatio * math.Exp(t.PerDoublingAll*math.Log2(1+t.LatestStorms))
	return t
}

func (s *district) tellCrews() []CrewTruth {
	var all []CrewTruth
	for i, c := range land.SheetCrews {
		slope := lawPerDoubling() + c.Slope
		all = append(all, CrewTruth{CrewID: c.ID, LatestPrior: s.winter.latest[i], PerDoubling: slope,
			LatestRatio: lawStartRatio * math.Exp(slope*math.Log2(1+float64(s.winter.latest[i]))),
			IsSlow:      c.Slope > 0})
	}
	return all
}

// tellDeliveries counts every feed's rows by their fate and lists the bad ones.
func (s *district) tellDeliveries(t *Truth) {
	for _, feed := range []string{"breadcrumbs", "conditions", "passes", "stock", "tickets", "weather"} {
		n := FeedTruth{Feed: feed}
		for _, f := range s.deliveries {
			if f.feed != feed {
				continue
			}
			n.Files++
			if f.sameAs == "" {
				s.tellRows(t, &n, f)
			}
		}
		if n.Files > 0 {
			t.Feeds = append(t.Feeds, n)
		}
	}
	slices.SortStableFunc(t.BadRows, func(a, b BadRow) int {
		return cmp.Or(cmp.Compare(a.Feed, b.Feed), cmp.Compare(a.File, b.File), cmp.Compare(a.Line, b.Line))
	})
}

func (s *district) tellRows(t *Truth, n *FeedTruth, f *delivery) {
	counts := map[string]*int{fateAccepted: &n.Accepted, fateDuplicate: &n.Duplicates, fateCorrection: &n.Corrections,
		fateQuarantined: &n.Quarantined}
	for i, l := range f.lines {
		n.RowsRead++
		*counts[l.fate]++
		if l.fate == fateQuarantined {
			t.BadRows = append(t.BadRows, BadRow{f.feed, f.name, i + 2, l.column, l.kind})
		}
	}
}

func (s *district) tellPlanted() PlantedTruth {
	w := s.winter
	t := PlantedTruth{LateFile: lateFile, CorrectedFile: correctedFile,
		RepeatedFile: repeatedAs, RepeatedSameAs: repeatedFile, ClockFile: "passes-2028-11-plain.csv",
		LentTruckID: land.LentTruckID, LentRouteID: land.Routes[w.plan.lentRoute].ID,
		UnloggedZoneID: "plain", UnloggedStormID: s.storms[w.plan.unlogged].ID}
	t.LentStormIDs = []string{s.storms[w.plan.lentFrom].ID, s.storms[w.plan.lentFrom+1].ID}
	for _, x := range s.storms {
		if x.IsOpen {
			t.OpenStormID = x.ID
		}
		if x.Began.Before(instant("07:00")) && x.Ended.After(instant("06:00")) {
			t.ClockStormID = x.ID
		}
	}
	for _, p := range w.passes {
		s.tellPass(&t, p)
	}
	return t
}

func (s *district) tellPass(t *PlantedTruth, p pass) {
	if p.isUnlogged {
		t.UnloggedPasses++
		return
	}
	count := func(is bool, passes *int) bool {
		if is {
			*passes++
		}
		return is
	}
	count(p.isLate, &t.LatePasses)
	if count(p.isLent, &t.LentPasses) {
		t.LentLb += p.dispensedLb
	}
	if count(p.isCorrected, &t.CorrectedRows) {
		t.CorrectedOverLb += p.firstTold - p.dispensedLb
	}
	if count(p.isSpot && !p.isLent, &t.Spots) {
		t.SpotLb += p.dispensedLb
	}
	count(p.dispensedGal > 0 && p.purpose == "pretreat" && !p.isLent, &t.PretreatLiquid)
	count(p.purpose == "frost", &t.FrostPasses)
	count(p.purpose == "drift", &t.DriftPasses)
	if p.isClockNight && (isRepeatedHour(p.began) || isRepeatedHour(p.ended)) {
		t.ClockPasses = append(t.ClockPasses, Clock{p.id, p.truckID, passTime(land.Zones[1], p.began, s.place), dateTime(p.began),
			dateTime(p.ended)})
	}
}

func isRepeatedHour(at time.Time) bool {
	return !at.Before(instant("06:00")) && at.Before(instant("08:00"))
}
