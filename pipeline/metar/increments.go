package metar

import "time"

// overdue is the time after a routine report from which the next one must have been due: the station's sum began anew, though that report
// is missing. Routine reports come an hour apart, some minutes early or late.
const overdue = 65 * time.Minute

// Increment is what a report's precipitation adds to that of the reports before it.
type Increment struct {
	Precip  Amount // not known where the report gives no amount
	IsLower bool   // a routine report that gives less than a special of its hour did; it adds 0
}

// Increments turns the P groups of one station's reports, in time order and one a key, into what each adds. A P group is the sum since the
// last routine report, so a special adds what its sum is above the highest of its hour so far, the routine report adds the rest and ends
// the hour. P0000 stays a trace. The hour's increments sum to the routine report's amount unless IsLower. Where a routine report is missing
// (the next comes over 65 min after the last) the sum begins anew as the station's does; what the missing report had is lost.
func Increments(reports []Report) []Increment {
	increments := make([]Increment, len(reports))
	var hour time.Time // when the running sum began
	highest := 0       // hundredths of an inch, of the hour so far
	for i := range reports {
		r := &reports[i]
		if !hour.IsZero() && r.ObservedAt.Sub(hour) > overdue {
			hour, highest = hour.Add(r.ObservedAt.Sub(hour).Truncate(time.Hour)), 0
		}
		if r.HourPrecip.Known {
			increments[i], highest = incrementOf(r, highest)
		}
		if r.Kind != Special {
			hour, highest = r.ObservedAt, 0
		}
	}
	return increments
}

func incrementOf(r *Report, highest int) (Increment, int) {
	sum := r.HourPrecip.HundredthsIn
	added := max(sum-highest, 0)
	return Increment{
		Precip:  Amount{HundredthsIn: added, IsTrace: r.HourPrecip.IsTrace, Known: true},
		IsLower: r.Kind != Special && sum < highest,
	}, max(sum, highest)
}
