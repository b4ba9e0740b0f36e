package verdicts

import (
	"context"
	"errors"
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/pipeline/stats"
)

// LearningRow is a row of table learning_rows: a crew's solids of the compared class on a route in a storm.
type LearningRow struct {
	Season      string    `db:"season"`
	StormID     string    `db:"storm_id"`
	CrewID      string    `db:"crew_id"`
	RouteID     string    `db:"route_id"`
	StormDate   time.Time `db:"storm_date"`
	PriorStorms int64     `db:"prior_storms"`
	X           float64   `db:"x"`
	Rate        float64   `db:"rate_lb_per_lane_mi"`
	AirF        *float64  `db:"air_f_mean"`
	Intensity   *float64  `db:"intensity"` // inch per hour
	Freezing    *float64  `db:"freezing"`  // 0 or 1
}

// BesideSaltRow is a row of table beside_salt_rows: of a question, a crew on a route in a storm, or a route in a storm. X is nil where
// nobody's pounds tell it, Y where no report does.
type BesideSaltRow struct {
	Question    string    `db:"question"`
	Season      string    `db:"season"`
	StormID     string    `db:"storm_id"`
	ZoneID      string    `db:"zone_id"`
	RouteID     string    `db:"route_id"`
	CrewID      string    `db:"crew_id"`
	IsAcetate   bool      `db:"is_acetate"`
	StormDate   time.Time `db:"storm_date"`
	X           *float64  `db:"x"`
	W           float64   `db:"w"`
	Y           *float64  `db:"y"`
	AirF        *float64  `db:"air_f_mean"`
	Intensity   *float64  `db:"intensity"`
	Freezing    *float64  `db:"freezing"`
	LengthUlm   int64     `db:"route_ulane_mi"`
	IsBareInCap *bool     `db:"is_bare_in_cap"`
}

// learningUse counts crew_storms rows by learning_use.
type learningUse struct {
	Use  string `db:"learning_use"`
	Rows int64  `db:"n"`
}

// LearningInput is all that the learning fits read. AsOfSeason is the season of the latest datum, "" when there is none.
// Caveats are added to every verdict.
type LearningInput struct {
	Rows            []LearningRow
	Corrected       []LearningRow // those of Rows with weighed pounds, their rates by these
	Orders          []rows.Order
	Uses            []learningUse
	AsOfSeason      string
	Compare, Beside string // the classes of the comparison
	MinRows         int
	MinStorms       int
	Widening        float64 // of every interval, for nightly reading; below 1 counts as 1
	BySettings      bool    // the rates are set rates, which are no measurement
	Caveats         []string
}

// ReadLearning reads the input from the ledger.
func ReadLearning(ctx context.Context, l *ledger.Ledger, s *district.Settings) (*LearningInput, error) {
	in := &LearningInput{Compare: s.Compare, Beside: s.Beside, MinRows: s.LearningMinRows, MinStorms: s.LearningMinStorms}
	asOf, err := ledger.ReadAsOf(ctx, l)
	if asOf != nil {
		in.AsOfSeason = seasonOf(asOf.In(s.Location))
	}
	return in, errors.Join(err,
		ledger.ReadInto(ctx, l, &in.Rows, "select * from learning_rows order by storm_id, crew_id, route_id"),
		ledger.ReadInto(ctx, l, &in.Corrected, "select * from learning_rows_corrected order by storm_id, crew_id, route_id"),
		ledger.ReadInto(ctx, l, &in.Orders, `select from_date, text, material_class, route_id from orders
			order by from_date, text, material_class, route_id`),
		ledger.ReadInto(ctx, l, &in.Uses, `select learning_use, count(*) as n from crew_storms
			where learning_use is not null group by learning_use order by learning_use`))
}

// seasonOf is the season, 1 July to 30 June, of a local date: 2029-30.
func seasonOf(local time.Time) string {
	year := seasonEndYear(local)
	return fmt.Sprintf("%d-%02d", year-1, year%100)
}

func (in *LearningInput) widening() float64 { return math.Max(1, in.Widening) }

// isSeasonClosed tells whether the latest season of the rows has ended.
func (in *LearningInput) isSeasonClosed() bool {
	latest := in.latestSeason()
	return latest != "" && in.AsOfSeason > latest
}

func (in *LearningInput) latestSeason() string {
	latest := ""
	for _, row := range in.Rows {
		latest = max(latest, row.Season)
	}
	return latest
}

// crewExperience is a crew's most experience in the rows.
type crewExperience struct {
	CrewID      string
	PriorStorms int64
	X           float64
	Rows        int
	Storms      int
}

// experienceByCrew gives the latest experience of every crew in the rows, by crew_id.
func experienceByCrew(rows []LearningRow) []crewExperience {
	var crews []crewExperience
	storms := map[[2]string]bool{}
	for _, row := range rows {
		at := slices.IndexFunc(crews, func(c crewExperience) bool { return c.CrewID == row.CrewID })
		if at < 0 {
			at = len(crews)
			crews = append(crews, crewExperience{CrewID: row.CrewID, PriorStorms: row.PriorStorms, X: row.X})
		}
		crew := &crews[at]
		crew.Rows++
		if key := [2]string{row.CrewID, row.StormID}; !storms[key] {
			storms[key] = true
			crew.Storms++
		}
		if row.PriorStorms > crew.PriorStorms {
			crew.PriorStorms, crew.X = row.PriorStorms, row.X
		}
	}
	slices.SortFunc(crews, func(a, b crewExperience) int { return strings.Compare(a.CrewID, b.CrewID) })
	return crews
}

// latestExperience is the median of the crews' latest x, and the storms worked that it stands for: the crew's own where the
// median is one crew's, else 2^x - 1. False without crews.
func latestExperience(crews []crewExperience) (x, priorStorms float64, ok bool) {
	xs := make([]float64, len(crews))
	for i, crew := range crews {
		xs[i] = crew.X
	}
	x, err := stats.Median(xs)
	if err != nil {
		return 0, 0, false
	}
	for _, crew := range crews {
		if crew.X == x {
			return x, float64(crew.PriorStorms), true
		}
	}
	return x, math.Exp2(x) - 1, true
}
