package pipeline

import (
	"bytes"
	"compress/gzip"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

const inForceRows = "select observed_at, air_f, precip_in, precip_is_trace, present_wx, file from observations"

// TestReportsAreLoaded: a leading time, a month in the name, neither; a group that does not decode; a station that is not listed; NIL; and
// a table's columns side by side with them.
func TestReportsAreLoaded(t *testing.T) {
	d := newDistrict(t)
	require.NoError(t, d.ledger.Exec(t.Context(), "insert into stations by name select unnest(['KXYZ', 'KXYY']) as station_id, 'z' as "+
		"zone_id"))
	d.deliver("weather/kxyz-2030-01.metar", "METAR KXYZ 150651Z 27010KT 2SM -SN OVC010 M02/M04 A2990 RMK AO2 P0003 T10221039\r\n\r\n"+
		"METAR KXYZ 320651Z 27010KT 2SM OVC010 M02/M04 A2990\n"+
		"METAR KXYZ 160651Z 27010KT 2SM ??? M02/M04 A2990\n"+
		"METAR KQQQ 160651Z 27010KT 2SM M02/M04 A2990\n"+
		"METAR KXYZ 170651Z NIL=\n"+
		"METAR KXYZ 180651Z 27010KT 2SM \"-SN\", M02/M04 A2990\n")
	d.deliver("weather/2029-12/kxyy.txt", "2030-02-01T00:00Z METAR KXYY 312351Z 27010KT 10SM CLR 01/M04 A2990\nMETAR KXYY 010051Z "+
		"27010KT 10SM CLR 02/M04 A2990\n")
	d.deliver("weather/nameless.txt", "METAR KXYY 020051Z 27010KT 10SM CLR 02/M04 A2990\n")
	d.deliver("weather/short-2030-02.metar", "METAR KXYY 300051Z 27010KT 10SM CLR 02/M04 A2990\n")
	d.deliver("weather/s1.csv", "station_id,observed_at,air_f,precip_in\nS1,2030-01-15T06:00Z,20,T\n")
	d.night()
	assert.Equal(t, []string{
		"2029-12-01 00:51:00+00|35.6||||2029-12/kxyy.txt",
		"2030-01-31 23:51:00+00|33.8||||2029-12/kxyy.txt",
		"2030-01-15 06:51:00+00|28.04|0.03|false|-SN|kxyz-2030-01.metar",
		"2030-01-15 06:00:00+00|20.0|0.0|true||s1.csv",
	}, d.rows(inForceRows))
	assert.Equal(t, []string{
		"kxyz-2030-01.metar|3||report does not parse",
		"kxyz-2030-01.metar|4||report does not parse",
		"kxyz-2030-01.metar|5|station_id|unknown station",
		"kxyz-2030-01.metar|6||no observation in the report",
		"kxyz-2030-01.metar|7||report does not parse",
		"nameless.txt|1|observed_at|month not known",
		"short-2030-02.metar|1|observed_at|no such day",
	}, d.rows(`select file, line, "column", reason from quarantine`))
	assert.Equal(t, []string{`"???" does not decode`}, d.rows("select split_part(remedy, ';', 1) from quarantine where line = 4"))
	assert.Equal(t, []string{"6|1|0|0|5"}, d.rows(
		"select rows_read, accepted, duplicates, corrections, quarantined from intake where file like 'kxyz%'"))
	assert.Equal(t, []string{`METAR KXYZ 160651Z 27010KT 2SM ??? M02/M04 A2990`}, d.rows("select raw from quarantine where line = 4"))
}

// TestRenamingGivesTheMonth: the month comes from the name every night anew, also of a file that has vanished; and a file of reports that
// was first sent under the name of a table is read when it comes back as reports.
func TestRenamingGivesTheMonth(t *testing.T) {
	d := newDistrict(t)
	const reports = "METAR KXYZ 150651Z 27010KT 2SM -SN OVC010 M02/M04 A2990\n"
	require.NoError(t, d.ledger.Exec(t.Context(), "insert into stations by name select 'KXYZ' as station_id, 'z' as zone_id"))
	d.deliver("weather/a.csv", reports)
	d.night()
	assert.Empty(t, d.rows(inForceRows))
	d.deliver("weather/a.txt", reports)
	d.night()
	assert.Equal(t, []string{"month not known"}, d.rows("select reason from quarantine"))
	d.deliver("weather/kxyz-2030-01.txt", reports)
	d.night()
	assert.Equal(t, []string{"2030-01-15 06:51:00+00|28.4|||-SN|a.txt"}, d.rows(inForceRows))
	assert.Equal(t, []string{"a.csv||64", "a.txt||64", "kxyz-2030-01.txt|a.txt|64"},
		d.rows("select file, same_as, length(sha256) from intake"))
	wanted := d.everything()
	require.NoError(t, os.RemoveAll(filepath.Join(d.dir, "inbox", "weather")))
	d.startOver(false)
	d.night()
	assert.Equal(t, wanted, d.everything())
}

// TestReportsOfOneKey: COR over none, METAR over SPECI, then order; what was told before by another file does not matter. Whatever is
// superseded counts as a duplicate where it is equal and else as a correction, in effect or not.
func TestReportsOfOneKey(t *testing.T) {
	body := " KXYZ 150651Z 27010KT 2SM -SN OVC010 M0"
	for _, c := range []struct {
		name    string
		reports string
		air     string
		counts  string
	}{
		{"a correction after", "METAR" + body + "1/M04\nMETAR COR" + body + "2/M04\n", "28.4", "1|0|1"},
		{"a correction before", "METAR COR" + body + "2/M04\nMETAR" + body + "1/M04\n", "28.4", "1|0|1"},
		{"a special after", "METAR" + body + "2/M04\nSPECI" + body + "1/M04\n", "28.4", "1|0|1"},
		{"a special before", "SPECI" + body + "1/M04\nMETAR" + body + "2/M04\n", "28.4", "1|0|1"},
		{"a corrected special over a routine report", "METAR" + body + "1/M04\nSPECI COR" + body + "2/M04\n", "28.4", "1|0|1"},
		{"order", "METAR" + body + "1/M04\nMETAR" + body + "2/M04\n", "28.4", "1|0|1"},
		{"the same twice", "METAR" + body + "2/M04\nMETAR" + body + "2/M04 A2990\n", "28.4", "1|1|0"},
		{"an equal correction keeps its rank", "METAR" + body + "2/M04\nMETAR COR" + body + "2/M04\nMETAR" + body + "1/M04\n", "28.4",
			"1|1|1"},
	} {
		d := newDistrict(t)
		require.NoError(t, d.ledger.Exec(t.Context(), "insert into stations by name select 'KXYZ' as station_id, 'z' as zone_id"))
		d.deliver("weather/2030-01.metar", c.reports)
		d.night()
		assert.Equal(t, []string{c.air}, d.rows("select air_f from observations"), c.name)
		assert.Equal(t, []string{c.counts}, d.rows("select accepted, duplicates, corrections from intake"), c.name)
	}
}

// TestTruncatedReports: without a group that most of the station's reports carry; a station that never sends it is not truncated.
func TestTruncatedReports(t *testing.T) {
	d := newDistrict(t)
	require.NoError(t, d.ledger.Exec(t.Context(), "insert into stations by name select unnest(['KXYZ', 'KXYY']) as station_id, 'z' as "+
		"zone_id"))
	d.deliver("weather/2030-01.metar", "METAR KXYZ 150651Z 27010KT 2SM M02/M04\nMETAR KXYZ 150751Z 27010KT 2SM M02/M04\nMETAR KXYZ "+
		"150851Z 27010KT 2SM\n"+
		"SPECI KXYZ 150751Z 27010KT M02/M04\nMETAR KXYY 150651Z 2SM M02/M04\nMETAR KXYY 150751Z 2SM M02/M04\n")
	d.night()
	assert.Equal(t, []string{
		"3|truncated report|without temperature, which the reports of KXYZ carry",
		"4|truncated report|without visibility, which the reports of KXYZ carry",
	}, d.rows("select line, reason, split_part(remedy, ';', 1) from quarantine"))
	assert.Equal(t, []string{"4"}, d.rows("select count(*) from observations"))
}

// An hour's sum beyond what the feed takes is a broken gauge, as it is in a table: 99.99 in of at most 13.
func TestWaterOutOfRange(t *testing.T) {
	d := newDistrict(t)
	require.NoError(t, d.ledger.Exec(t.Context(), "insert into stations by name select 'KXYZ' as station_id, 'z' as zone_id"))
	d.deliver("weather/2030-01.metar", "METAR KXYZ 150651Z 27010KT 2SM -SN M02/M04 RMK P9999\nMETAR KXYZ 150751Z 27010KT 2SM -SN "+
		"M02/M04 RMK P1300\n")
	d.night()
	assert.Equal(t, []string{"2030-01-15 07:51:00+00|13.0"}, d.rows("select observed_at, precip_in from observations"))
	assert.Equal(t, []string{"precip_in|out of range|99.99 is out of range; at least 0 and at most 13 (inch) is wanted: look for a " +
		"broken sensor"}, d.rows(`select "column", reason, remedy from quarantine`))
}

// TestWaterOfReports: specials repeat the sum since the last routine report; the hour's sum is right, a trace stays one, and a lower
// routine value adds 0 and is told.
func TestWaterOfReports(t *testing.T) {
	d := newDistrict(t)
	require.NoError(t, d.ledger.Exec(t.Context(), "insert into stations by name select 'KXYZ' as station_id, 'z' as zone_id"))
	d.deliver("weather/2030-01.metar", "METAR KXYZ 150651Z 27010KT 2SM M02/M04 RMK AO2 P0002\nSPECI KXYZ 150720Z 27010KT 2SM M02/M04 "+
		"RMK AO2 SNB12 P0003\n"+
		"METAR KXYZ 150751Z 27010KT 2SM M02/M04 RMK AO2 SNB12E40 P0005\nSPECI KXYZ 150820Z 27010KT 2SM M02/M04 RMK AO2 P0004\n"+
		"METAR KXYZ 150851Z 27010KT 2SM M02/M04 RMK AO2 P0003 FZRANO\nMETAR KXYZ 150951Z 27010KT 2SM M02/M04 RMK AO2 P0000 "+
		"FZRANO\nMETAR KXYZ 151051Z 27010KT 2SM M02/M04 RMK AO2\n")
	d.night()
	assert.Equal(t, []string{"0.02|false", "0.03|false", "0.02|false", "0.04|false", "0.0|false", "0.0|true", "|"},
		d.rows("select precip_in, precip_is_trace from observations"))
	assert.Equal(t, []string{"2030-01-15 07:12:00+00|SN|true", "2030-01-15 07:40:00+00|SN|false"},
		d.rows("select event_at, what, is_begin from weather_events"))
	assert.Equal(t, []string{
		"2030-01-15 08:51:00+00|2030-01-15 09:51:00+00|freezing_rain_sensor_out",
		"2030-01-15 08:51:00+00|2030-01-15 08:51:00+00|lower_hourly_sum",
	}, d.rows("select from_at, to_at, finding_code from report_doubts"))
}

// TestReportFilesThatCannotBeRead: hostile files of reports reject a line or a file, and swallow nothing.
func TestReportFilesThatCannotBeRead(t *testing.T) {
	d := newDistrict(t)
	require.NoError(t, d.ledger.Exec(t.Context(), "insert into stations by name select 'KXYZ' as station_id, 'z' as zone_id"))
	good := "METAR KXYZ 150651Z 27010KT 2SM M02/M04\n"
	var packed bytes.Buffer
	writer := gzip.NewWriter(&packed)
	_, err := writer.Write([]byte(strings.ReplaceAll(good, "1506", "1606")))
	require.NoError(t, err)
	require.NoError(t, writer.Close())
	d.deliver("weather/a-2030-01.metar", "\ufeff"+good+strings.Repeat("x", 70000)+"\nMETAR \"KXYZ\nMETAR K\x00YZ\n\xff\n"+
		strings.ReplaceAll(good, "1506", "1507"))
	d.deliver("weather/b-2030-01.metar.gz", packed.String())
	d.deliver("weather/c-2030-01.metar.gz", packed.String()[:packed.Len()-6])
	d.deliver("weather/d-2030-01.metar", packed.String())
	d.deliver("weather/e-2030-01.txt", "")
	d.night()
	assert.Equal(t, []string{"a-2030-01.metar", "a-2030-01.metar", "b-2030-01.metar.gz"}, d.rows("select file from observations"))
	assert.Equal(t, []string{
		"a-2030-01.metar|2|line over 64 KiB", "a-2030-01.metar|3|report does not parse", "a-2030-01.metar|4|NUL byte in the line",
		"a-2030-01.metar|5|not UTF-8",
		"c-2030-01.metar.gz|0|damaged gzip", "d-2030-01.metar|0|another kind of file under the name of a report file",
		"e-2030-01.txt|0|empty file",
	}, d.rows("select file, line, reason from quarantine"))
}
