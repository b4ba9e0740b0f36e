// Package metar decodes aviation weather reports, METAR and SPECI, as stations send them (WMO No. 306, code form FM-15, and the
// Federal Meteorological Handbook No. 1, FMH-1), and the present-weather groups that stand in them.
//
// In: text. Out: plain values with the unit last in each name; what a report does not carry is nil, never 0 and never NaN. Nothing here
// reads a file or a clock, keeps state or panics, whatever the text. Sums over several reports (what a special adds to the hour, which
// of two reports of one minute counts) are in increments.go and order.go, as pure functions of a station's reports.
package metar
