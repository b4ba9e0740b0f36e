package metar

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// amountText writes an increment: hundredths of an inch, T for a trace, - for not known, ! for a lower routine value.
func amountText(i Increment) string {
	text := "-"
	switch {
	case i.Precip.IsTrace:
		text = "T"
	case i.Precip.Known:
		text = strconv.Itoa(i.Precip.HundredthsIn)
	}
	if i.IsLower {
		text += "!"
	}
	return text
}

// series decodes short reports: R or S, hour and minute, and the P group without its letter, or - for none.
func series(t require.TestingT, text string) []Report {
	var reports []Report
	for _, word := range strings.Fields(text) {
		kind := map[byte]string{'R': "METAR", 'S': "SPECI"}[word[0]]
		line := kind + " XAAA 01" + word[1:5] + "Z 27010KT 10SM CLR M01/M02 RMK AO2"
		if amount := word[6:]; amount != "-" {
			line += " P" + amount
		}
		r, err := Decode(line, january)
		require.NoError(t, err)
		reports = append(reports, r)
	}
	return reports
}

// Worked by hand from the rule: a special adds what its sum is above the hour's highest, the routine report the rest.
func TestIncrements(t *testing.T) {
	for _, c := range []struct{ name, reports, want string }{
		{"an hour without specials", "R0051:0003 R0151:0005", "3 5"},
		{"specials repeat the sum", "R0051:0003 S0108:0001 S0117:0001 R0151:0003", "3 1 0 2"},
		{"the routine report may add nothing", "R0051:0000 S0119:0004 R0151:0004", "T 4 0"},
		{"a new hour begins at 0", "S0130:0002 R0151:0005 S0214:0001 R0251:0002", "2 3 1 1"},
		{"trace stays trace", "R0051:0000 S0114:0000 S0130:0000 R0151:0000", "T T T T"},
		{"trace, then water", "R0051:- S0114:0000 S0130:0002 R0151:0002", "- T 2 0"},
		{"a special that falls back adds 0", "R0051:0001 S0114:0004 S0120:0002 R0151:0005", "1 4 0 1"},
		{"a lower routine value adds 0 and is marked", "R0051:0001 S0114:0004 R0151:0002 S0210:0001", "1 4 0! 1"},
		{"trace after water is lower too", "R0051:0001 S0114:0004 R0151:0000", "1 4 T!"},
		{"a routine report without the group ends the hour", "R0051:0001 S0114:0004 R0151:- S0210:0003 R0251:0003", "1 4 - 3 0"},
		{"a routine report is missing: the sum began anew", "R0051:0001 S0130:0005 S0214:0002 R0251:0003", "1 5 2 1"},
		{"two are missing", "R0051:0001 S0130:0005 R0351:0003", "1 5 3"},
		{"some minutes late", "R0051:0001 S0130:0005 R0155:0006", "1 5 1"},
		{"no report", "", ""},
	} {
		var got []string
		for _, i := range Increments(series(t, c.reports)) {
			got = append(got, amountText(i))
		}
		assert.Equal(t, c.want, strings.Join(got, " "), c.name)
	}
}

// TestHoursSumIsRight draws hours of rising specials that end with a routine report: their increments sum to its amount.
func TestHoursSumIsRight(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var text string
		total := 0
		for hour := range rapid.IntRange(1, 20).Draw(t, "hours") {
			sum := 0
			for minute := range rapid.IntRange(0, 5).Draw(t, "specials") {
				sum += rapid.IntRange(0, 9).Draw(t, "rise")
				text += " S" + pad(hour, 2) + pad(5+minute, 2) + ":" + pad(sum, 4)
			}
			sum += rapid.IntRange(0, 9).Draw(t, "rest")
			text += " R" + pad(hour, 2) + "51:" + pad(sum, 4)
			total += sum
		}
		added := 0
		reports := series(t, text)
		for i, increment := range Increments(reports) {
			require.True(t, increment.Precip.Known)
			require.False(t, increment.IsLower)
			require.Equal(t, reports[i].HourPrecip.IsTrace, increment.Precip.IsTrace)
			added += increment.Precip.HundredthsIn
		}
		require.Equal(t, total, added)
	})
}

// TestWaterOfARealMonth holds the sum by days of Central Standard Time against the official daily amounts: the month within 5 %, each full
// day within 0.06 in.
func TestWaterOfARealMonth(t *testing.T) {
	all := airportReports(t)
	var reports []Report
	for i := range all {
		if all[i].Carries == Wind|Visibility|Temperature { // one that was cut off, or tells nothing, is no report of the hour
			reports = append(reports, all[i])
		}
	}
	found := map[string]int{}
	standard := time.FixedZone("CST", -6*3600)
	for i, increment := range Increments(reports) {
		found[reports[i].ObservedAt.In(standard).Format(time.DateOnly)] += increment.Precip.HundredthsIn
	}
	file, err := os.Open(filepath.Join(dataFolder(), "airport-2014-01-daily.csv"))
	require.NoError(t, err)
	defer file.Close()
	rows, err := csv.NewReader(file).ReadAll()
	require.NoError(t, err)
	official, sum := 0.0, 0
	for _, row := range rows[1:] {
		in, _ := strconv.ParseFloat(row[1], 64) // T is 0
		if row[0] == "2013-12-31" {
			continue // the file begins at 18:00 of this day
		}
		official += in
		sum += found[row[0]]
		if row[0] != "2014-01-31" {
			assert.InDelta(t, in, float64(found[row[0]])/100, 0.06, row[0])
		}
	}
	assert.InEpsilon(t, official, float64(sum)/100, 0.05)
}
