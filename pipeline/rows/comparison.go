package rows

// Comparison is a row of comparison: acetate beside chloride routes, of a storm in a zone, or of a season where StormID
// and ZoneID are empty. What SeasonVerdicts holds stands in season rows only. The exports comparison_storms and comparison_seasons
// are its two kinds of rows.
type Comparison struct {
	Season               string   `db:"season"`
	StormID              string   `db:"storm_id"`
	ZoneID               string   `db:"zone_id"`
	AcetateRate          *float64 `db:"acetate_rate"`
	ChlorideRate         *float64 `db:"chloride_rate"`
	RateRatio            *float64 `db:"rate_ratio"`
	AcetateStormLb       *float64 `db:"acetate_storm_lb"`
	ChlorideStormLb      *float64 `db:"chloride_storm_lb"`
	StormRatio           *float64 `db:"storm_ratio"`
	AcetateApplications  *float64 `db:"acetate_applications"`
	ChlorideApplications *float64 `db:"chloride_applications"`
	ApplicationsRatio    *float64 `db:"applications_ratio"`
	AcetateCostUsd       *float64 `db:"acetate_cost_usd_per_lane_mi"`
	ChlorideCostUsd      *float64 `db:"chloride_cost_usd_per_lane_mi"`
	CostRatio            *float64 `db:"cost_ratio"`
	AcetateRegainH       *float64 `db:"acetate_regain_h"`
	ChlorideRegainH      *float64 `db:"chloride_regain_h"`
	AcetateRoutes        *int64   `db:"acetate_routes"`
	ChlorideRoutes       *int64   `db:"chloride_routes"`
	MixedRoutes          *int64   `db:"mixed_routes"`
	UnmeasuredRoutes     *int64   `db:"unmeasured_routes"`
	NoRecordRoutes       *int64   `db:"no_record_routes"`
	SeasonVerdicts
	Withheld
}

// SeasonVerdicts is a row of season_verdicts: what a season's storms say together. Intervals are 90 %, widened while the season is
// open; verdicts are the words of definitions, comparison. Regain is 1 + hours to bare lanes, in the mean over storms.
type SeasonVerdicts struct {
	Season               string   `db:"season"`
	Storms               int64    `db:"storms"`
	TotalRatio           *float64 `db:"total_ratio"` // what the routes got; Low90 and High90 are its interval
	Low90                *float64 `db:"low90"`
	High90               *float64 `db:"high90"`
	Verdict              string   `db:"verdict"` // on MaterialRatio
	MarginShownPct       *float64 `db:"margin_shown_pct"`
	ApplicationsLow90    *float64 `db:"applications_low90"`
	ApplicationsHigh90   *float64 `db:"applications_high90"`
	ApplicationsVerdict  string   `db:"applications_verdict"`
	TypicalRatio         *float64 `db:"typical_ratio"`
	TypicalLow90         *float64 `db:"typical_low90"`
	TypicalHigh90        *float64 `db:"typical_high90"`
	ZeroAcetate          int64    `db:"zero_acetate"`
	ZeroChloride         int64    `db:"zero_chloride"`
	EndRatio             *float64 `db:"end_ratio"`
	EndLow90             *float64 `db:"end_low90"`
	EndHigh90            *float64 `db:"end_high90"`
	RegainDiffH          *float64 `db:"regain_diff_h"`
	RegainLow90H         *float64 `db:"regain_low90_h"`
	RegainHigh90H        *float64 `db:"regain_high90_h"`
	RegainVerdict        string   `db:"regain_verdict"` // roads_verdict
	AcetateNotBareShare  *float64 `db:"acetate_not_bare_share"`
	ChlorideNotBareShare *float64 `db:"chloride_not_bare_share"`
	NotBareDiff          *float64 `db:"not_bare_diff"` // of smoothed shares, acetate less chloride
	NotBareLow90         *float64 `db:"not_bare_low90"`
	NotBareHigh90        *float64 `db:"not_bare_high90"`
	MaterialRatio        *float64 `db:"material_ratio"`
	MaterialLow90        *float64 `db:"material_low90"`
	MaterialHigh90       *float64 `db:"material_high90"`
	RoutesChanged        int64    `db:"routes_changed"` // routes with storms enough in each class
	PathVerdict          string   `db:"path_verdict"`
	AcetateSetRateShare  *float64 `db:"acetate_set_rate_share"`
	ChlorideSetRateShare *float64 `db:"chloride_set_rate_share"`
	PoundsBasis          string   `db:"pounds_basis"` // BasisReported or BasisWeighed

	// Beside the export: the share of treated route-storms with road reports, and how probable it is that the material ratio lies
	// within 10 % and within the district's margin.
	AcetateReportedShare  *float64 `db:"acetate_reported_share"`
	ChlorideReportedShare *float64 `db:"chloride_reported_share"`
	WithinTenShare        *float64 `db:"within_ten_share"`
	WithinMarginShare     *float64 `db:"within_margin_share"`
}

// ReportsAtLeast is the share of treated route-storms of each class that must have road reports. Source: definitions, roads first.
const ReportsAtLeast = 0.80

// IsReported tells whether roads are reported enough of both classes.
func (v SeasonVerdicts) IsReported() bool {
	return min(OrZero(v.AcetateReportedShare), OrZero(v.ChlorideReportedShare)) >= ReportsAtLeast
}

// HasSetRates tells whether so many pounds of a class are set rates times a length that they are named beside the verdicts.
func (v SeasonVerdicts) HasSetRates() bool {
	return max(OrZero(v.AcetateSetRateShare), OrZero(v.ChlorideSetRateShare)) > 0.10
}

// BesideSalt is a row of beside_salt: a ratio acetate / chloride of one question, as it stood at a season's end or stands now.
type BesideSalt struct {
	Season   string   `db:"season"`
	Question string   `db:"question"`
	Contrast string   `db:"contrast"`
	Ratio    *float64 `db:"ratio"`
	Low90    *float64 `db:"low90"`
	High90   *float64 `db:"high90"`
	DF       *float64 `db:"df"`
}

// The questions of beside_salt: the rate of a crew's row, and of a route-storm its applications, its pounds and 1 + hours to bare.
const (
	QuestionRate         = "rate"
	QuestionApplications = "applications"
	QuestionPounds       = "pounds"
	QuestionHours        = "hours"
)

// The contrasts of beside_salt: at no experience, at the season's mean experience and weather, at the crews' median latest
// experience, and what a doubling of storms worked does beyond salt.
const (
	ContrastStart  = "start"
	ContrastSeason = "season"
	ContrastLatest = "latest"
	ContrastNet    = "net change"
)

// ClaimRow is a row of claims: 1 roads, 2 start, 3 rates beyond salt, 4 applications, 5 pounds. Figure is the ratio that it rests on.
type ClaimRow struct {
	Season  string   `db:"season"`
	Claim   int64    `db:"claim"`
	Answer  string   `db:"answer"`
	Figure  *float64 `db:"figure"`
	Low90   *float64 `db:"low90"`
	High90  *float64 `db:"high90"`
	LeftOut string   `db:"left_out"` // zones that are no part of it; "; " between
}
