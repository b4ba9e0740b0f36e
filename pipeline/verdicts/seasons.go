package verdicts

import (
	"cmp"
	"context"
	"errors"
	"math"
	"strings"
	"time"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// questions are fitted in this order.
var questions = []string{rows.QuestionRate, rows.QuestionApplications, rows.QuestionPounds, rows.QuestionHours}

// seasonPounds is a row of season_pounds: how a class's pounds of a season were told.
type seasonPounds struct {
	Season        string  `db:"season"`
	MaterialClass string  `db:"material_class"`
	AppliedUlb    float64 `db:"applied_ulb"`
	SetRateShare  float64 `db:"set_rate_share"`
	WeighedShare  float64 `db:"weighed_share"`
	PoundsBasis   string  `db:"pounds_basis"`
}

// closedStorms is the number of a season's closed storms.
type closedStorms struct {
	Season string `db:"season"`
	Storms int64  `db:"storms"`
}

// SeasonsInput is all that the seasons are judged by; rows are in the storms' order. AsOfSeason is the season of the latest datum.
type SeasonsInput struct {
	Rows       []BesideSaltRow
	Zones      []comparedZone
	Pounds     []seasonPounds
	Closed     []closedStorms
	Orders     []rows.Order
	AsOfSeason string
	Settings   *district.Settings
}

// seasonFits are the four questions on rows up to a season's end, and what its verdicts say. Estimates of Fits are plain ones.
type seasonFits struct {
	Season     string
	Widening   float64
	LatestX    float64
	BySettings bool
	Fits       map[string]*questionFit
	Start      string
	Control    string
	RatePath   string
	Verdicts   rows.SeasonVerdicts
	Claims     []rows.ClaimRow
}

// readSeasons reads the input from the ledger.
func readSeasons(ctx context.Context, l *ledger.Ledger, s *district.Settings, learning *LearningInput) (*SeasonsInput, error) {
	in := &SeasonsInput{Settings: s, Orders: learning.Orders, AsOfSeason: learning.AsOfSeason}
	return in, errors.Join(
		ledger.ReadInto(ctx, l, &in.Rows, `select * from beside_salt_rows
			order by question, storm_date, storm_id, route_id, crew_id, is_acetate`),
		ledger.ReadInto(ctx, l, &in.Zones, comparedZonesQuery),
		ledger.ReadInto(ctx, l, &in.Pounds, `select season, material_class, cast(applied_ulb as double) as applied_ulb,
			set_rate_share, weighed_share, pounds_basis from season_pounds order by season, material_class`),
		ledger.ReadInto(ctx, l, &in.Closed, `select season, count(distinct storm_id) as storms from storms
			where not is_open group by season order by season`))
}

// wideningIn is the factor of a season's intervals: 1 once it is closed.
func (in *SeasonsInput) wideningIn(season string) float64 {
	if season == "" || in.AsOfSeason > season {
		return 1
	}
	return wideningOf(in.stormsIn(season))
}

// stormsIn is the number of a season's closed storms, and of those that seasons before it make one expect.
func (in *SeasonsInput) stormsIn(season string) (closed int, expected float64) {
	var past []float64
	for _, row := range in.Closed {
		if row.Season < season {
			past = append(past, float64(row.Storms))
		} else if row.Season == season {
			closed = int(row.Storms)
		}
	}
	return closed, expectedStorms(past, in.Settings.SeasonStorms)
}

// isBySettings tells whether a class's pounds, of the season or of all up to it together, are set rates too often and weighed too seldom.
func (in *SeasonsInput) isBySettings(season string, classes ...string) bool {
	for _, class := range classes {
		var all, own [3]float64 // pounds, by set rates, weighed
		for _, row := range in.Pounds {
			if row.MaterialClass != class || row.Season > season {
				continue
			}
			part := [3]float64{row.AppliedUlb, row.AppliedUlb * row.SetRateShare, row.AppliedUlb * row.WeighedShare}
			for k, value := range part {
				all[k] += value
			}
			if row.Season == season {
				own = part
			}
		}
		for _, sums := range [][3]float64{all, own} {
			if sums[1] > 0.10*sums[0] && sums[2] < 0.80*sums[0] {
				return true
			}
		}
	}
	return false
}

// rowsUpTo gives the rows of each question up to a season's end, of zones where acetate has rows of it, and names the other zones.
func (in *SeasonsInput) rowsUpTo(season string) (byQuestion map[string][]BesideSaltRow, leftOut []string) {
	hasAcetate, zones := map[[2]string]bool{}, map[string]bool{}
	for _, row := range in.Rows {
		if row.Season <= season && row.IsAcetate {
			hasAcetate[[2]string{row.Question, row.ZoneID}] = true
		}
	}
	byQuestion = map[string][]BesideSaltRow{}
	for _, row := range in.Rows {
		switch {
		case row.Season > season:
		case hasAcetate[[2]string{row.Question, row.ZoneID}]:
			byQuestion[row.Question] = append(byQuestion[row.Question], row)
		case !hasAcetate[[2]string{rows.QuestionPounds, row.ZoneID}]:
			zones[row.ZoneID] = true
		}
	}
	return byQuestion, contract.SortedKeys(zones)
}

// latestRateX is the median over crews of their latest x among acetate's rows of rates.
func latestRateX(rates []BesideSaltRow) float64 {
	var acetate []LearningRow
	for _, row := range rates {
		if row.IsAcetate && row.X != nil {
			prior := int64(math.Round(math.Exp2(*row.X) - 1))
			acetate = append(acetate, LearningRow{CrewID: row.CrewID, StormID: row.StormID, PriorStorms: prior, X: *row.X})
		}
	}
	x, _, _ := latestExperience(experienceByCrew(acetate))
	return x
}

// JudgeSeasons judges every season that has a closed storm, in order, by the rows up to its end. It reads no database and cannot fail.
func JudgeSeasons(in *SeasonsInput) []*seasonFits {
	seasons := map[string]bool{}
	for _, zone := range in.Zones {
		seasons[zone.Season] = true
	}
	for _, row := range in.Rows {
		seasons[row.Season] = true
	}
	var list []*seasonFits
	for _, season := range contract.SortedKeys(seasons) {
		list = append(list, in.judge(season))
	}
	return list
}

func (in *SeasonsInput) judge(season string) *seasonFits {
	s := in.Settings
	byQuestion, leftOut := in.rowsUpTo(season)
	f := &seasonFits{Season: season, Widening: in.wideningIn(season), LatestX: latestRateX(byQuestion[rows.QuestionRate]),
		BySettings: in.isBySettings(season, s.Compare, s.Beside), Fits: map[string]*questionFit{}}
	for _, question := range questions {
		minStorms := s.CompareMinStorms
		if question == rows.QuestionRate {
			minStorms = s.LearningMinStorms
		}
		f.Fits[question] = fitQuestion(question, byQuestion[question], season, f.LatestX, s.LearningMinRows, minStorms)
	}
	rate := f.Fits[rows.QuestionRate]
	f.Start = judgeStart(rate.Start.widened(f.Widening), f.BySettings)
	net := rate.Net.widened(f.Widening)
	f.Control = judgeControl(net, f.BySettings)
	if f.Control == rows.ControlBeyond {
		f.Control = cmp.Or(explanation(rate.besides(in, f.Widening)), f.Control)
	}
	f.RatePath = judgePath(rate.Latest.widened(f.Widening), f.LatestX, f.BySettings, s)
	f.Verdicts = describeSeason(season, stormsOfSeason(in.Zones, season), f.Widening)
	f.fillVerdicts(in, byQuestion[rows.QuestionHours])
	f.claim(in, leftOut)
	return f
}

// besides fits the rates again with what else than experience may have brought acetate's down.
func (q *questionFit) besides(in *SeasonsInput, widening float64) []orderStep {
	s, straight := in.Settings, make([]float64, len(q.rows))
	for i, row := range q.rows {
		if row.IsAcetate && row.X != nil {
			straight[i] = math.Exp2(*row.X) - 1
		}
	}
	return q.design(s.LearningMinRows, s.LearningMinStorms).besides(in.Orders, func(i int) (string, string, time.Time) {
		return []string{s.Compare, s.Beside}[sideOf(q.rows[i].IsAcetate)], q.rows[i].RouteID, q.rows[i].StormDate
	}, straight, acetateExpColumn, widening, true)
}

// fillVerdicts adds roads, material and path to the season's row.
func (f *seasonFits) fillVerdicts(in *SeasonsInput, hours []BesideSaltRow) {
	s, v := in.Settings, &f.Verdicts
	pounds := f.Fits[rows.QuestionPounds]
	material := pounds.Season.widened(f.Widening)
	v.RoutesChanged = int64(pounds.RoutesChanged)
	v.Verdict = judgeMaterial(material, int(v.Storms), pounds.RoutesChanged, f.BySettings, s)
	v.MaterialRatio, v.MaterialLow90, v.MaterialHigh90 = interval(material, math.Exp)
	if v.Verdict == rows.NotYetKnown && material != nil {
		v.MarginShownPct = ledger.Finite(100 * math.Expm1(math.Max(material.High, -material.Low)))
	}
	v.WithinTenShare, v.WithinMarginShare = withinMargin(pounds.Season, 0.10), withinMargin(pounds.Season, s.SameMargin)
	applications := f.Fits[rows.QuestionApplications]
	v.ApplicationsVerdict = judgeApplications(applications.Season.widened(f.Widening), int(v.Storms), applications.RoutesChanged, s)
	v.PathVerdict = judgePath(pounds.Latest.widened(f.Widening), f.LatestX, f.BySettings, s)

	storms := countBare(hours)
	var all bareCounts
	for _, storm := range storms {
		all.add(storm)
	}
	v.AcetateNotBareShare, v.ChlorideNotBareShare = all.plain(0), all.plain(1)
	diff := widenedInterval(notBareDiff(storms), f.Widening)
	if diff != nil {
		v.NotBareDiff, v.NotBareLow90, v.NotBareHigh90 = &diff.Value, &diff.Low, &diff.High
	}
	reported := reportedShares(hours, f.Season)
	v.AcetateReportedShare, v.ChlorideReportedShare = reported[0], reported[1]
	v.RegainVerdict = judgeRoads(f.Fits[rows.QuestionHours].Season.widened(f.Widening), diff, v.IsReported(), s)

	v.PoundsBasis = rows.BasisReported
	for _, row := range in.Pounds {
		if row.Season != f.Season {
			continue
		}
		v.PoundsBasis = row.PoundsBasis
		if row.MaterialClass == s.Compare {
			v.AcetateSetRateShare = &row.SetRateShare
		} else {
			v.ChlorideSetRateShare = &row.SetRateShare
		}
	}
}

// claim answers the season's claims; a season before acetate began has none.
func (f *seasonFits) claim(in *SeasonsInput, leftOut []string) {
	first := ""
	for _, row := range in.Rows {
		if row.IsAcetate && (first == "" || row.Season < first) {
			first = row.Season
		}
	}
	if first == "" || f.Season < first {
		return
	}
	shown := func(e *LearningEstimate) *LearningEstimate { return e.widened(f.Widening) }
	rate, pounds := f.Fits[rows.QuestionRate], f.Fits[rows.QuestionPounds]
	f.Claims = answerClaims(claimFacts{Roads: f.Verdicts.RegainVerdict, Start: f.Start, Control: f.Control, Path: f.Verdicts.PathVerdict,
		Material:    f.Verdicts.Verdict,
		IsReported:  f.Verdicts.IsReported(),
		IsPathAlone: f.Season == first || in.AsOfSeason <= f.Season,
		HoursRatio:  shown(f.Fits[rows.QuestionHours].Season), StartRatio: shown(rate.Start), NetChange: shown(rate.Net),
		ApplicationsRatio: shown(f.Fits[rows.QuestionApplications].Season), Latest: shown(pounds.Latest),
		MaterialRatio: shown(pounds.Season)})
	for i := range f.Claims {
		f.Claims[i].Season, f.Claims[i].LeftOut = f.Season, strings.Join(leftOut, "; ")
	}
}

// besideSaltRows are the season's rows of beside_salt.
func (f *seasonFits) besideSaltRows() []rows.BesideSalt {
	var list []rows.BesideSalt
	for _, question := range questions {
		q := f.Fits[question]
		for _, one := range []struct {
			contrast string
			estimate *LearningEstimate
		}{{rows.ContrastStart, q.Start}, {rows.ContrastSeason, q.Season}, {rows.ContrastLatest, q.Latest}, {rows.ContrastNet, q.Net}} {
			if shown := one.estimate.widened(f.Widening); shown != nil {
				row := rows.BesideSalt{Season: f.Season, Question: question, Contrast: one.contrast, DF: ledger.Finite(shown.DF)}
				row.Ratio, row.Low90, row.High90 = interval(shown, math.Exp)
				list = append(list, row)
			}
		}
	}
	return list
}
