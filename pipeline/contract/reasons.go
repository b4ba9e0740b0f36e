package contract

// The codes of a row parser's faults; their words stand in the table of codes of package rows. A part behind a point tells remedies apart.
const (
	ReasonColumnMissing  = "column_missing"
	ReasonHeaderTwice    = "header_twice"
	ReasonMappedMissing  = "mapped_missing"
	ReasonMapping        = "mapping"
	ReasonFewerCells     = "fewer_cells"
	ReasonMoreCells      = "more_cells"
	ReasonEmpty          = "empty"
	ReasonText           = "text"
	ReasonNumber         = "number"
	ReasonInteger        = "integer"
	ReasonBoolean        = "boolean"
	ReasonTime           = "time"
	ReasonDate           = "date"
	ReasonSkippedHour    = "skipped_hour"
	ReasonOutOfRange     = "out_of_range"
	ReasonNotListed      = "not_listed"
	ReasonForm           = "form"
	ReasonPresentWx      = "present_wx"
	ReasonEndBeforeBegin = "end_before_begin"
	ReasonTooLong        = "too_long"
	ReasonHalfMiles      = "half_miles"
	ReasonReport         = "report"
	ReasonNoReport       = "no_report"
)
