package contract

// The reasons of a row parser's faults: short, stable phrases, fit for counting.
const (
	ReasonColumnMissing  = "required column missing"
	ReasonHeaderTwice    = "header twice"
	ReasonMappedMissing  = "mapped header missing"
	ReasonMapping        = "mapping not usable"
	ReasonFewerCells     = "fewer cells than the header"
	ReasonMoreCells      = "more cells than the header"
	ReasonEmpty          = "required value missing"
	ReasonText           = "not readable text"
	ReasonNumber         = "not a number"
	ReasonInteger        = "not a whole number"
	ReasonBoolean        = "neither yes nor no"
	ReasonTime           = "not a time"
	ReasonDate           = "not a date"
	ReasonSkippedHour    = "hour skipped by the clocks"
	ReasonOutOfRange     = "out of range"
	ReasonNotListed      = "not one of the listed words"
	ReasonForm           = "not in the expected form"
	ReasonPresentWx      = "not present weather"
	ReasonEndBeforeBegin = "end before begin"
	ReasonTooLong        = "too long between begin and end"
	ReasonHalfMiles      = "one mile without the other"
	ReasonReport         = "report does not parse"
	ReasonNoReport       = "no observation in the report"
)
