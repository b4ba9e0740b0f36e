package rows

import "time"

// Reconciliation is a row of reconciliation: what a truck spread and weighed of a solid in a week, which Week names by its Monday. Ratios
// are weighed over spread.
type Reconciliation struct {
	Week               time.Time  `db:"week"`
	TruckID            string     `db:"truck_id"`
	MaterialID         string     `db:"material_id"`
	Passes             int64      `db:"passes"`
	Tickets            int64      `db:"tickets"`
	SpreadLb           *float64   `db:"spread_lb"`
	WeighedLb          *float64   `db:"weighed_lb"`
	Ratio              *float64   `db:"ratio"`
	RunningRatio       *float64   `db:"running_ratio"`
	Finding            string     `db:"finding"`
	CalibratedAt       *time.Time `db:"calibrated_at"`
	CalibrationAgeDays *float64   `db:"calibration_age_days"`
	IsCalibrationDue   bool       `db:"calibration_due"`
	Withheld
}

// StormRouteCorrected is a row of storm_routes_corrected: a route-storm's pounds scaled by weighed loads, beside its row of storm_routes.
// CorrectedLb is nil unless every
// measured pass has corrected pounds.
type StormRouteCorrected struct {
	StormID         string   `db:"storm_id"`
	RouteID         string   `db:"route_id"`
	MaterialClass   string   `db:"material_class"`
	Form            string   `db:"form"`
	MeasuredPasses  *int64   `db:"measured_passes"`
	CorrectedPasses *int64   `db:"corrected_passes"`
	CorrectedLb     *float64 `db:"corrected_lb"`
	CorrectedRate   *float64 `db:"corrected_rate_lb_per_lane_mi"`
}

// LearningBasis is a row of learning_bases: the curve fitted on reported or on corrected pounds, with the verdict of that basis alone.
type LearningBasis struct {
	Basis           string   `db:"basis"`
	Rows            int64    `db:"rows"`
	Storms          int64    `db:"storms"`
	StartRate       *float64 `db:"start_rate_lb_per_lane_mi"`
	ChangePct       *float64 `db:"change_per_doubling_pct"`
	ChangeLow90Pct  *float64 `db:"change_low90_pct"`
	ChangeHigh90Pct *float64 `db:"change_high90_pct"`
	LatestRate      *float64 `db:"latest_rate_lb_per_lane_mi"`
	Verdict         string   `db:"verdict"`
}

// StockEvent is a row of stock_book: an event of a pile and the book after it. DifferenceLb, of counts only, is counted less book.
type StockEvent struct {
	StockpileID     string     `db:"stockpile_id"`
	MaterialID      string     `db:"material_id"`
	At              time.Time  `db:"at"`
	Event           string     `db:"event"` // count, delivery, adjustment, load out, return
	Reference       string     `db:"reference"`
	EventNo         *int64     `db:"event_no"`
	AmountLb        *float64   `db:"amount_lb"`
	BookLb          *float64   `db:"book_lb"`
	CountedBeforeAt *time.Time `db:"counted_before_at"`
	DifferenceLb    *float64   `db:"difference_lb"`
}

// StockOnHand is a row of stock_on_hand: what the book says of a pile, and its share of the district's material.
type StockOnHand struct {
	StockpileID string     `db:"stockpile_id"`
	MaterialID  string     `db:"material_id"`
	CountedAt   *time.Time `db:"counted_at"`
	LastEventAt *time.Time `db:"last_event_at"`
	OnHandLb    *float64   `db:"on_hand_lb"`
	Share       *float64   `db:"share"`
}

// StockOutlook is a row of stock_outlook: what the rest of the season may need of a material. The needs are nil where it is too early or
// nothing can be drawn from.
type StockOutlook struct {
	MaterialID  string     `db:"material_id"`
	AsOfDate    time.Time  `db:"as_of_date"`
	OnHandLb    *float64   `db:"on_hand_lb"`
	StormsSoFar int64      `db:"storms_so_far"`
	NeedP10Lb   *float64   `db:"need_p10_lb"`
	NeedP50Lb   *float64   `db:"need_p50_lb"`
	NeedP90Lb   *float64   `db:"need_p90_lb"`
	OrderByDate *time.Time `db:"order_by_date"`
	Basis       string     `db:"basis"`
	Seed        string     `db:"seed"`
}

// StockFan is a row of stock_fan: what is left of a material on a day if nothing is delivered; below 0 it is what would lack.
type StockFan struct {
	MaterialID string    `db:"material_id"`
	Date       time.Time `db:"date"`
	LeftP10Lb  *float64  `db:"left_p10_lb"`
	LeftP50Lb  *float64  `db:"left_p50_lb"`
	LeftP90Lb  *float64  `db:"left_p90_lb"`
}

// Price is a row of prices: US dollars a ton of 2000 pounds, from a date on.
type Price struct {
	MaterialID string    `db:"material_id"`
	FromDate   time.Time `db:"from_date"`
	UsdPerTon  *float64  `db:"usd_per_ton"`
}
