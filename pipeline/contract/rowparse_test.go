package contract

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

func contractOf(t *testing.T, kind, name string) *Contract {
	t.Helper()
	contract, err := LoadContract(kind, name)
	require.NoError(t, err)
	return contract
}

func locationOf(t *testing.T, zone string) *time.Location {
	t.Helper()
	location, err := time.LoadLocation(zone)
	require.NoError(t, err)
	return location
}

// parserOf makes a parser of a feed for a header written with spaces between.
func parserOf(t *testing.T, feed string, m Mapping, zone, header string) *RowParser {
	t.Helper()
	parser, fault := NewRowParser(contractOf(t, "feeds", feed), m, locationOf(t, zone), strings.Split(header, "|"))
	require.Nil(t, fault)
	return parser
}

func valueOf(t *testing.T, p *RowParser, values []Value, column string) Value {
	t.Helper()
	place := p.contract.Index(column)
	require.GreaterOrEqual(t, place, 0, column)
	return values[place]
}

const passCells = "truck_id|crew_id|route_id|began_at|ended_at"

// cellOf parses one cell of a feed's column beside a row that is otherwise in order.
func cellOf(t *testing.T, column, cell string) (Value, *Fault) {
	t.Helper()
	if feed := "weather"; contractOf(t, "feeds", feed).Index(column) >= 0 {
		p := parserOf(t, feed, Mapping{}, "UTC", "station_id|observed_at|"+column)
		values, fault := p.Parse([]string{"S1", "2030-01-05 03:00", cell})
		if fault != nil {
			return Value{}, fault
		}
		return valueOf(t, p, values, column), nil
	}
	p := parserOf(t, "passes", Mapping{}, "UTC", passCells+"|"+column)
	values, fault := p.Parse([]string{"T1", "C1", "R1", "2030-01-05 03:00", "2030-01-05 04:00", cell})
	if fault != nil {
		return Value{}, fault
	}
	return valueOf(t, p, values, column), nil
}

func TestNumbers(t *testing.T) {
	good := map[string]float64{"12": 12, "+12.5": 12.5, ".5": 0.5, "5.": 5, "1e3": 1000, "1.2E+2": 120, "25e-1": 2.5, " 7 ": 7, "0": 0,
		"-0": 0, "60000": 60000}
	for cell, want := range good {
		value, fault := cellOf(t, "dispensed_lb", cell)
		require.Nil(t, fault, cell)
		assert.Equal(t, Value{Number: want}, value, cell)
		assert.False(t, math.Signbit(value.Number), "%q must not become a negative zero", cell)
	}
	bad := map[string]string{
		"12O": ReasonNumber, "1,5": ReasonNumber, "1.2.3": ReasonNumber, "0x1F": ReasonNumber, "1_000": ReasonNumber, "NaN": ReasonNumber,
		"Inf": ReasonNumber, "-inf": ReasonNumber, "1e": ReasonNumber, ".": ReasonNumber, "+": ReasonNumber, "--1": ReasonNumber,
		"1 2":   ReasonNumber,
		"1e400": ReasonOutOfRange + ".stored", "-1": ReasonOutOfRange, "60000.1": ReasonOutOfRange, "１２": ReasonNumber,
	}
	for cell, want := range bad {
		_, fault := cellOf(t, "dispensed_lb", cell)
		require.NotNil(t, fault, cell)
		assert.Equal(t, want, fault.Code, cell)
		assert.Equal(t, "dispensed_lb", fault.Column)
	}
	_, fault := cellOf(t, "dispensed_lb", "12O")
	assert.Equal(t, `"12O" is not a number; use digits and at most one point`, fault.Remedy())
}

func TestBoundsThatExcludeTheirEnd(t *testing.T) {
	for _, column := range []string{"lanes", "lane_miles"} {
		_, fault := cellOf(t, column, "0")
		require.NotNil(t, fault, column)
		assert.Equal(t, ReasonOutOfRange, fault.Code)
		value, fault := cellOf(t, column, "0.001")
		require.Nil(t, fault, column)
		assert.Equal(t, 0.001, value.Number)
	}
}

func TestBooleansWordsAndEmptyCells(t *testing.T) {
	for cell, want := range map[string]bool{"true": true, "YES": true, "1": true, "False": false, "no": false, "0": false} {
		value, fault := cellOf(t, "plow_down", cell)
		require.Nil(t, fault, cell)
		assert.Equal(t, Value{Bool: want}, value, cell)
	}
	_, fault := cellOf(t, "plow_down", "maybe")
	require.NotNil(t, fault)
	assert.Equal(t, ReasonBoolean, fault.Code)
	_, fault = cellOf(t, "purpose", "Storm")
	require.NotNil(t, fault)
	assert.Equal(t, ReasonNotListed, fault.Code)
	for _, column := range []string{"plow_down", "purpose", "dispensed_lb", "note", "precip_in"} {
		value, fault := cellOf(t, column, " ")
		require.Nil(t, fault, column)
		assert.True(t, value.Null, column)
	}
	_, fault = cellOf(t, "note", "a\x00b")
	require.NotNil(t, fault)
	assert.Equal(t, ReasonText, fault.Code)
	_, fault = cellOf(t, "note", "caf\xe9")
	require.NotNil(t, fault)
	assert.Equal(t, ReasonText, fault.Code)
}

func TestTraceIsNoNumberAndNotEmpty(t *testing.T) {
	value, fault := cellOf(t, "precip_in", "T")
	require.Nil(t, fault)
	assert.Equal(t, Value{Trace: true}, value)
	_, fault = cellOf(t, "air_f", "T")
	require.NotNil(t, fault)
	assert.Equal(t, ReasonNumber, fault.Code)
}

func TestHeaders(t *testing.T) {
	passes := contractOf(t, "feeds", "passes")
	reject := func(m Mapping, header string) *Fault {
		_, fault := NewRowParser(passes, m, time.UTC, strings.Split(header, "|"))
		require.NotNil(t, fault, header)
		return fault
	}
	missing := reject(Mapping{}, "truck_id|crew_id|route_id|began_at")
	assert.Equal(t, Fault{Column: "ended_at", Code: ReasonColumnMissing}, *missing)
	assert.Equal(t, "the header has no ended_at; add the column, or map another header to it in district.toml", missing.Remedy())
	assert.Equal(t, ReasonHeaderTwice, reject(Mapping{}, passCells+"|note|note").Code)
	absent := reject(Mapping{Columns: map[string]ColumnSource{"note": {From: "Remark"}}}, passCells+"|Remarks")
	assert.Equal(t, ReasonMappedMissing, absent.Code)
	assert.Contains(t, absent.Remedy(), `"Remarks"`)

	p := parserOf(t, "passes", Mapping{Columns: map[string]ColumnSource{"note": {From: "Remark"}}}, "UTC",
		passCells+"|Remark|note|Odometer|")
	assert.Equal(t, []string{"note", "Odometer"}, p.UnknownColumns())
	values, fault := p.Parse([]string{"T1", "C1", "R1", "2030-01-05 03:00", "2030-01-05 04:00", "mapped", "own", "7", ""})
	require.Nil(t, fault)
	assert.Equal(t, "mapped", valueOf(t, p, values, "note").Text)
	assert.True(t, valueOf(t, p, values, "pass_id").Null)
}

func TestCellCountsAndOrderOfFaults(t *testing.T) {
	p := parserOf(t, "passes", Mapping{}, "UTC", "dispensed_lb|"+passCells)
	_, fault := p.Parse([]string{"1", "T1", "C1", "R1", "2030-01-05 03:00"})
	require.NotNil(t, fault)
	assert.Equal(t, ReasonFewerCells, fault.Code)
	_, fault = p.Parse([]string{"1", "T1", "C1", "R1", "2030-01-05 03:00", "2030-01-05 04:00", ""})
	require.NotNil(t, fault)
	assert.Equal(t, ReasonMoreCells, fault.Code)
	// dispensed_lb stands first in the file and after ended_at in the contract; the rule on ended_at comes first.
	_, fault = p.Parse([]string{"x", "T1", "C1", "R1", "2030-01-05 03:00", "2030-01-05 02:00"})
	require.NotNil(t, fault)
	assert.Equal(t, ReasonEndBeforeBegin, fault.Code)
	_, fault = p.Parse([]string{"x", "", "C1", "R1", "2030-01-05 03:00", "2030-01-05 02:00"})
	require.NotNil(t, fault)
	assert.Equal(t, Fault{Column: "truck_id", Code: ReasonEmpty}, *fault)
}

func TestRulesWithinARow(t *testing.T) {
	p := parserOf(t, "passes", Mapping{}, "UTC", passCells+"|from_mi|to_mi")
	cases := []struct{ ended, from, to, column, reason string }{
		{"2030-01-05 03:00", "", "", "", ""},
		{"2030-01-05 02:59", "", "", "ended_at", ReasonEndBeforeBegin},
		{"2030-01-05 15:00", "1", "2", "", ""},
		{"2030-01-05 15:00:01", "", "", "ended_at", ReasonTooLong},
		{"2030-01-05 04:00", "1", "", "to_mi", ReasonHalfMiles},
		{"2030-01-05 04:00", "", "2", "from_mi", ReasonHalfMiles},
		{"2030-01-05 04:00", "x", "2", "from_mi", ReasonNumber},
	}
	for _, c := range cases {
		_, fault := p.Parse([]string{"T1", "C1", "R1", "2030-01-05 03:00", c.ended, c.from, c.to})
		if c.reason == "" {
			assert.Nil(t, fault, c)
			continue
		}
		require.NotNil(t, fault, c)
		assert.Equal(t, c.column, fault.Column)
		assert.Equal(t, c.reason, fault.Code)
	}
}

func TestPresentWeatherIsAskedOfTheCheck(t *testing.T) {
	p := parserOf(t, "weather", Mapping{}, "UTC", "station_id|observed_at|present_wx")
	p.Wx = func(text string) error {
		if text == "-SNOW" {
			return errors.New(`"-SNOW" is no group`)
		}
		return nil
	}
	_, fault := p.Parse([]string{"S1", "2030-01-05 03:00", "-SN BR"})
	assert.Nil(t, fault)
	_, fault = p.Parse([]string{"S1", "2030-01-05 03:00", "-SNOW"})
	require.NotNil(t, fault)
	assert.Equal(t, ReasonPresentWx, fault.Code)
	assert.Contains(t, fault.Remedy(), `"-SNOW" is no group`)
}

func TestMappingOfColumns(t *testing.T) {
	fixed := "nacl"
	mapping := Mapping{TimeFormat: "MM/DD/YYYY hh:mm", Columns: map[string]ColumnSource{
		"began_at":     {From: "Start Time"},
		"material_id":  {Value: &fixed},
		"dispensed_lb": {From: "Kg out", Unit: "kg"},
		"purpose":      {From: "Reason", Values: map[string]string{"PRE": "pretreat", "-": ""}},
	}}
	p := parserOf(t, "passes", mapping, "America/Denver", "truck_id|crew_id|route_id|Start Time|ended_at|Kg out|Reason")
	values, fault := p.Parse([]string{"T1", "C1", "R1", "01/05/2030 03:00", "01/05/2030 04:30", "1000", "PRE"})
	require.Nil(t, fault)
	assert.Equal(t, "nacl", valueOf(t, p, values, "material_id").Text)
	assert.Equal(t, "pretreat", valueOf(t, p, values, "purpose").Text)
	assert.InEpsilon(t, 2204.62262184878, valueOf(t, p, values, "dispensed_lb").Number, 1e-14) // 1000 / 0.45359237
	began := time.Date(2030, 1, 5, 10, 0, 0, 0, time.UTC)
	assert.Equal(t, began.UnixMicro(), valueOf(t, p, values, "began_at").Micros)
	assert.Equal(t, began.Add(90*time.Minute).UnixMicro(), valueOf(t, p, values, "ended_at").Micros)

	values, fault = p.Parse([]string{"T1", "C1", "R1", "01/05/2030 03:00", "01/05/2030 04:30", "", "-"})
	require.Nil(t, fault)
	assert.True(t, valueOf(t, p, values, "purpose").Null)
	_, fault = p.Parse([]string{"T1", "C1", "R1", "2030-01-05 03:00", "01/05/2030 04:30", "", ""})
	require.NotNil(t, fault, "with a time_format no other form counts")
	assert.Equal(t, ReasonTime+".mapped", fault.Code)
	// Bounds hold after the unit change: 60,000 lb is 27,215.5422 kg.
	_, fault = p.Parse([]string{"T1", "C1", "R1", "01/05/2030 03:00", "01/05/2030 04:30", "27215.6", ""})
	require.NotNil(t, fault)
	assert.Equal(t, ReasonOutOfRange, fault.Code)
}

// The short way gives what the long way gives, to the last bit.
func TestPlainDecimals(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`-?[0-9]{0,9}(\.[0-9]{0,9})?`).Draw(t, "text")
		number, isPlain := plainDecimal(text)
		wanted, err := strconv.ParseFloat(text, 64)
		if isPlain {
			require.NoError(t, err)
			require.Equal(t, math.Float64bits(wanted), math.Float64bits(number), text)
		} else {
			require.True(t, err != nil || len(text) > 15, text)
		}
	})
	for _, text := range []string{"", "-", ".", "1e5", "1.2.3", "+1", "1234567890123456", " 1"} {
		_, isPlain := plainDecimal(text)
		assert.False(t, isPlain, text)
	}
}

// A cell that repeats the row before is not read again; that must not show.
func TestRepeatedCellsReadAsTheFirst(t *testing.T) {
	header := "truck_id|at|lat|lon|speed_mph|spreading|material_id"
	parser := parserOf(t, "breadcrumbs", Mapping{}, "UTC", header)
	times := []string{"2029-12-21T08:00:00Z", "never"}
	for i := range 400 {
		pick := func(texts ...string) string { return texts[(i*i/7+i/len(texts))%len(texts)] }
		cells := []string{pick("t1", " t1 ", ""), times[i/200], pick("43.2", "943.2", "x", " 43.2"), "-96.8", pick("", "20", "-0", "NaN"),
			pick("true", "no", "2"), pick("", "salt")}
		got, gotFaults := parser.ParseAll(cells)
		want, wantFaults := parserOf(t, "breadcrumbs", Mapping{}, "UTC", header).ParseAll(cells)
		require.Equal(t, want, got, cells)
		require.Equal(t, wantFaults, gotFaults, cells)
	}
}
