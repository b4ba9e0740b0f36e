package pipeline

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

// Reasons explains every reason that a row parser gives, in the order in which they are looked for.
var Reasons = [][2]string{
	{ReasonColumnMissing, "the file's header lacks a column that every row must have; the file is rejected whole"},
	{ReasonHeaderTwice, "two columns of the file have one header; the file is rejected whole"},
	{ReasonMappedMissing, "district.toml takes a column from a header that the file lacks; the file is rejected whole"},
	{ReasonMapping, "district.toml changes a column in a way that cannot be; the file is rejected whole"},
	{ReasonFewerCells, "the row ends before the header does"},
	{ReasonMoreCells, "the row has cells beyond the header"},
	{ReasonEmpty, "a cell that must be filled is empty"},
	{ReasonText, "the cell is not UTF-8 text, or holds control characters"},
	{ReasonNumber, "the cell holds something beside digits, a sign, one point and an exponent"},
	{ReasonInteger, "the cell holds a fraction where a count stands"},
	{ReasonBoolean, "the cell is none of true, false, yes, no, 1, 0"},
	{ReasonTime, "the cell is not a time in an accepted form"},
	{ReasonDate, "the cell is not a date YYYY-MM-DD"},
	{ReasonSkippedHour, "the local time lies in the hour that the clocks skipped in spring"},
	{ReasonOutOfRange, "the number lies outside the bounds of its column"},
	{ReasonNotListed, "the cell is none of the words of its column"},
	{ReasonForm, "the text has another form than its column asks for"},
	{ReasonPresentWx, "a group of present_wx is no FM-15 present weather"},
	{ReasonEndBeforeBegin, "ended_at lies before began_at"},
	{ReasonTooLong, "ended_at lies more than 12 h after began_at"},
	{ReasonHalfMiles, "only one of from_mi and to_mi is filled"},
	{ReasonReport, "a group of a raw weather report does not decode; the remedy names it"},
	{ReasonNoReport, "the station says NIL: it sent no observation"},
}
