package pipeline

import "context"

// learningResidualsDDL is the shape of learning_residuals where no learning fit was made: nothing to set beside a storm.
const learningResidualsDDL = `create table if not exists learning_residuals (
    storm_id varchar, crew_id varchar, route_id varchar, rate_lb_per_lane_mi double, fitted_rate_lb_per_lane_mi double,
    residual double, robust_deviations double, is_outlier boolean)`

// ensureLearningResiduals makes the table learning_residuals, empty, unless the learning fit has made it.
func ensureLearningResiduals(ctx context.Context, l *Ledger) error {
	return l.Exec(ctx, learningResidualsDDL)
}
