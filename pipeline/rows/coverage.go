package rows

import "time"

// CoverageSpan is a row of coverage_spans: neighbouring tenths of a route's miles that were treated alike in a storm. State is `missed`,
// `doubled` or empty.
type CoverageSpan struct {
	Season        string     `db:"season"`
	StormID       string     `db:"storm_id"`
	RouteID       string     `db:"route_id"`
	MaterialClass string     `db:"material_class"`
	Form          string     `db:"form"`
	FromMi        float64    `db:"from_mi"`
	ToMi          float64    `db:"to_mi"`
	Passes        int64      `db:"passes"`
	Applications  float64    `db:"applications"`
	AppliedLb     *float64   `db:"applied_lb"`
	LastTreatedAt *time.Time `db:"last_treated_at"`
	State         string     `db:"state"`
}

// Bridge is a row of bridges: where along its route a bridge lies.
type Bridge struct {
	RouteID string  `db:"route_id"`
	FromMi  float64 `db:"from_mi"`
	ToMi    float64 `db:"to_mi"`
	Name    string  `db:"name"`
}

// The states of a span.
const (
	MissedState  = "missed"
	DoubledState = "doubled"
)
