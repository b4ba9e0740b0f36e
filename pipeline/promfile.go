package pipeline

import (
	"fmt"
	"strings"
)

// promName is the file in log/ that a watching system's text collector reads.
const promName = "lanetally.prom"

// prometheus writes the run in the text exposition format, version 0.0.4: a HELP and a TYPE line, then one sample each.
// Common practice: what the official documentation of the format describes.
func (r *RunReport) prometheus() string {
	text := new(strings.Builder)
	gauge := func(name, help string, value float64) {
		fmt.Fprintf(text, "# HELP lanetally_%s %s\n# TYPE lanetally_%s gauge\nlanetally_%s %v\n", name, help, name, name, value)
	}
	gauge("last_run_timestamp_seconds", "When the last run began, Unix time.", float64(r.BeganAt.Unix()))
	gauge("last_run_ended", "0 while the last run goes on, and where it was killed.", oneIf(r.Begun == nil))
	gauge("last_run_success", "1 when the last run published and met no fault.", oneIf(r.IsPublished && r.Fault == ""))
	if r.Begun != nil {
		return text.String()
	}
	gauge("last_run_held", "Causes for which the last run did not publish its figures.", float64(len(r.Held)))
	if r.AsOfAt != nil {
		gauge("data_until_timestamp_seconds", "Latest instant among the accepted deliveries, Unix time.", float64(r.AsOfAt.Unix()))
	}
	gauge("rows_read", "Rows of the deliveries in force.", float64(r.Counts.RowsRead))
	gauge("rows_set_aside", "Rows and files set aside.", float64(r.Counts.Quarantined))
	gauge("positions", "Vehicle positions in force.", float64(r.Counts.Positions))
	gauge("passes", "Passes in force.", float64(r.Counts.Passes))
	gauge("storms", "Storms.", float64(r.Counts.Storms))
	gauge("findings", "Findings of the tally.", float64(r.Counts.Findings))
	return text.String()
}

func oneIf(is bool) float64 {
	if is {
		return 1
	}
	return 0
}
