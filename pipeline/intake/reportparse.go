package intake

import (
	"errors"
	"fmt"
	"strings"
	"time"

	"github.com/apache/arrow-go/v18/arrow"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/metar"
)

// anyMonth stands in for the month of a report that does not say its own: it has every day that a month can have. The nightly telling takes
// the month from the file's name, so that renaming a file is enough to put it right.
var anyMonth = metar.Month{Year: 2000, Month: time.January}

// reportFields are the columns of raw_weather that a raw report fills beyond the contract's; they are null in rows of a table. report_day
// and report_minute stand in place of observed_at where the line has no leading time. report_events are the begin and end remarks, such as
// "B:SN:34 E:SN:16": begin or end, weather, minutes before the report.
var reportFields = []arrow.Field{
	{Name: "report_kind", Type: arrow.BinaryTypes.String, Nullable: true},
	{Name: "is_correction", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "report_day", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "report_minute", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "carries_wind", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "carries_visibility", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "carries_temperature", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "hour_precip_in", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "hour_is_trace", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "report_events", Type: arrow.BinaryTypes.String, Nullable: true},
	{Name: "snow_rise_in", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "ice_in", Type: arrow.PrimitiveTypes.Float64, Nullable: true},
	{Name: "is_freezing_out", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "is_weather_out", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
	{Name: "is_gauge_out", Type: arrow.FixedWidthTypes.Boolean, Nullable: true},
}

// reportParser turns raw reports into the values of the weather contract and those of reportFields behind them.
type reportParser struct{ contract *contract.Contract }

func newReportParser(c *contract.Contract) *reportParser { return &reportParser{contract: c} }

// UnknownColumns is empty: a report has no columns.
func (p *reportParser) UnknownColumns() []string { return nil }

// ParseAll decodes one report. Its only fault names the group that failed.
func (p *reportParser) ParseAll(cells []string) ([]contract.Value, []contract.Fault) {
	report, err := metar.Decode(cells[0], anyMonth)
	var group *metar.GroupError
	switch {
	case errors.As(err, &group):
		return nil, []contract.Fault{reportFault(group)}
	case err != nil:
		return nil, []contract.Fault{{Code: contract.ReasonReport + ".unread", Found: err.Error()}}
	case report.IsNil:
		return nil, []contract.Fault{{Code: contract.ReasonNoReport}}
	}
	values := p.contractValues(&report)
	var faults []contract.Fault
	if fault := contract.OutsideYears("observed_at", report.ObservedAt.UnixMicro(), cells[0]); report.IsDated && fault != nil {
		faults = append(faults, *fault)
	}
	for i := range values {
		field, value := &p.contract.Fields[i], values[i]
		if field.Name == "precip_in" && report.HourPrecip.Known { // the hour's sum, of which the report adds a part
			value = contract.Value{Number: report.HourPrecip.In()}
		}
		if !value.Null && contract.IsOutOfRange(&field.Constraints, value.Number) {
			faults = append(faults, contract.Fault{Column: field.Name, Code: contract.ReasonOutOfRange + ".report",
				Found:  contract.PlainNumber(value.Number),
				Wanted: contract.BoundsText(&field.Constraints) + contract.UnitSuffix(field.Unit)})
		}
	}
	return append(values, extraValues(&report)...), faults
}

func reportFault(group *metar.GroupError) contract.Fault {
	if group.Group == "" {
		return contract.Fault{Code: contract.ReasonReport + ".missing", Wanted: group.Want}
	}
	return contract.Fault{Code: contract.ReasonReport, Found: contract.Show(group.Group), Wanted: group.Want}
}

// contractValues gives a report's values in the order of the contract. precip_in stays empty: what a report adds depends on those before
// it and is told every night. observed_at is empty where the line does not say the month.
func (p *reportParser) contractValues(r *metar.Report) []contract.Value {
	byName := map[string]contract.Value{
		"station_id":    {Text: r.StationID},
		"observed_at":   {Micros: r.ObservedAt.UnixMicro(), Null: !r.IsDated},
		"air_f":         readingValue(r.AirF),
		"dew_f":         readingValue(r.DewF),
		"wind_mph":      readingValue(r.WindMph),
		"gust_mph":      readingValue(r.GustMph),
		"wind_deg":      readingValue(r.WindDeg),
		"visibility_mi": readingValue(r.VisibilityMi),
		"present_wx":    textValue(r.PresentWx()),
		"snow_depth_in": readingValue(r.SnowDepthIn),
	}
	values := make([]contract.Value, len(p.contract.Fields))
	for i := range values {
		value, isGiven := byName[p.contract.Fields[i].Name]
		if !isGiven {
			value.Null = true
		}
		values[i] = value
	}
	return values
}

// extraValues gives the values of reportFields, in their order.
func extraValues(r *metar.Report) []contract.Value {
	kind := "METAR"
	if r.Kind == metar.Special {
		kind = "SPECI"
	}
	minute := r.ObservedAt.Hour()*60 + r.ObservedAt.Minute()
	return []contract.Value{
		{Text: kind},
		{Bool: r.IsCorrection},
		{Number: float64(r.ObservedAt.Day()), Null: r.IsDated},
		{Number: float64(minute), Null: r.IsDated},
		{Bool: r.Carries&metar.Wind != 0},
		{Bool: r.Carries&metar.Visibility != 0},
		{Bool: r.Carries&metar.Temperature != 0},
		amountValue(r.HourPrecip),
		{Bool: r.HourPrecip.IsTrace, Null: !r.HourPrecip.Known},
		textValue(eventsText(r)),
		readingValue(r.SnowRiseIn),
		amountValue(r.IceOneHour),
		{Bool: r.IsFreezingOut},
		{Bool: r.IsWeatherOut},
		{Bool: r.IsGaugeOut},
	}
}

func readingValue(r metar.Reading) contract.Value {
	return contract.Value{Number: r.Value, Null: !r.Known}
}

func amountValue(a metar.Amount) contract.Value {
	return contract.Value{Number: a.In(), Null: !a.Known}
}

func textValue(text string) contract.Value { return contract.Value{Text: text, Null: text == ""} }

// eventsText writes begin and end remarks as reportFields says.
func eventsText(r *metar.Report) string {
	words := make([]string, len(r.Events))
	for i, event := range r.Events {
		mark := "E"
		if event.IsBegin {
			mark = "B"
		}
		words[i] = fmt.Sprintf("%s:%s:%d", mark, event.Weather, int(r.ObservedAt.Sub(event.At).Minutes()))
	}
	return strings.Join(words, " ")
}
