package localtime

import (
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"
	"time"
	_ "time/tzdata" // the tests must not depend on the machine

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func micros(t *testing.T, text string) int64 {
	t.Helper()
	at, err := time.Parse(time.RFC3339Nano, text)
	require.NoError(t, err)
	return at.UnixMicro()
}

// The accepted forms are those of RFC 3339, section 5.6, with seconds optional, and the local form without an offset.
func TestParse(t *testing.T) {
	good := []struct {
		text      string
		hasOffset bool
		same      string // the instant, or the wall clock as if it were UTC
	}{
		{"2030-01-05T03:10:20Z", true, "2030-01-05T03:10:20Z"},
		{"2030-01-05T03:10Z", true, "2030-01-05T03:10:00Z"},
		{"2030-01-05t03:10z", true, "2030-01-05T03:10:00Z"},
		{"2030-01-05 03:10-06:00", true, "2030-01-05T09:10:00Z"},
		{"2030-01-05T03:10:20.5-06:00", true, "2030-01-05T09:10:20.5Z"},
		{"2030-01-05T03:10:20.1234567+05:45", true, "2030-01-04T21:25:20.123456Z"},
		{"1996-12-19T16:39:57-08:00", true, "1996-12-20T00:39:57Z"},       // RFC 3339, section 5.8
		{"1985-04-12T23:20:50.52Z", true, "1985-04-12T23:20:50.52Z"},      // RFC 3339, section 5.8
		{"1937-01-01T12:00:27.87+00:20", true, "1937-01-01T11:40:27.87Z"}, // RFC 3339, section 5.8
		{"2030-01-05 03:10", false, "2030-01-05T03:10:00Z"},
		{"2030-01-05 03:10:20", false, "2030-01-05T03:10:20Z"},
		{"2028-02-29 00:00", false, "2028-02-29T00:00:00Z"},
	}
	for _, c := range good {
		stamp, err := Parse(c.text)
		require.NoError(t, err, c.text)
		assert.Equal(t, c.hasOffset, stamp.HasOffset, c.text)
		got := stamp.Instant
		if !c.hasOffset {
			got = int64(stamp.Wall)
		}
		assert.Equal(t, micros(t, c.same), got, c.text)
	}
	bad := map[string]error{
		"2030-01-05T03:10":       ErrNoOffset,
		"2030-02-29 03:10":       ErrRange,
		"2030-01-05 24:00":       ErrRange,
		"2030-01-05 03:60":       ErrRange,
		"1990-12-31T23:59:60Z":   ErrRange, // a leap second
		"0230-01-05 03:10":       ErrRange,
		"2030-13-05 03:10":       ErrRange,
		"2030-01-05":             ErrFormat,
		"2030-1-5 03:10":         ErrFormat,
		"2030-01-05 3:10":        ErrFormat,
		"01/05/2030 03:10":       ErrFormat,
		"2030-01-05 03:10:20.":   ErrFormat,
		"2030-01-05T03:10-0600":  ErrFormat,
		"2030-01-05T03:10-24:00": ErrFormat,
		"2030-01-05T03:10Z ":     ErrFormat,
		"2030-01-05T03:10:20Z+1": ErrFormat,
		"":                       ErrFormat,
		"２０３０-01-05 03:10":       ErrFormat,
	}
	for text, want := range bad {
		_, err := Parse(text)
		assert.ErrorIs(t, err, want, text)
	}
}

func TestParseDate(t *testing.T) {
	days, err := ParseDate("2030-01-05")
	require.NoError(t, err)
	assert.Equal(t, int64(60*365+15+4), days) // 60 years, of them 15 leap years (1972 to 2028), and 4 days
	for _, text := range []string{"2030-02-29", "2030-1-05", "2030-01-05 ", "05/01/2030", "1899-12-31", "2200-01-01"} {
		_, err := ParseDate(text)
		assert.Error(t, err, text)
	}
}

func TestFormat(t *testing.T) {
	good := []struct{ form, text, same string }{
		{"MM/DD/YYYY hh:mm", "01/05/2030 13:07", "2030-01-05T13:07:00Z"},
		{"MM/DD/YYYY hh:mm[:ss]", "01/05/2030 13:07", "2030-01-05T13:07:00Z"},
		{"MM/DD/YYYY hh:mm[:ss]", "01/05/2030 13:07:09", "2030-01-05T13:07:09Z"},
		{"M/D/YYYY h:mm AM", "1/5/2030 12:07 am", "2030-01-05T00:07:00Z"},
		{"M/D/YYYY h:mm AM", "1/5/2030 12:07 PM", "2030-01-05T12:07:00Z"},
		{"M/D/YYYY h:mm AM", "11/15/2030 1:07 PM", "2030-11-15T13:07:00Z"},
		{"DD.MM.YY hh.mm", "05.01.30 13.07", "2030-01-05T13:07:00Z"},
		{"DD MMM YYYY hh:mm", "05 Jan 2030 13:07", "2030-01-05T13:07:00Z"},
		{"YYYY年MM月DD日 · hh:mm", "2030年01月05日 · 13:07", "2030-01-05T13:07:00Z"},
		{"YYYYMMDDThhmmss", "20300105T130709", "2030-01-05T13:07:09Z"},
		{"YYYY-MM-DD hh:mmZ", "2030-01-05 13:07-0600", "2030-01-05T19:07:00Z"},
		{"YYYY-MM-DDThh:mm:ssZ", "2030-01-05T13:07:09.5-06:00", "2030-01-05T19:07:09.5Z"},
	}
	for _, c := range good {
		format, err := Compile(c.form)
		require.NoError(t, err, c.form)
		stamp, err := format.Parse(c.text)
		require.NoError(t, err, c.text)
		assert.Equal(t, micros(t, c.same), stamp.Instant+int64(stamp.Wall), c.text)
	}
	strict, err := Compile("YYYY-DD-MM hh:mm")
	require.NoError(t, err)
	for _, text := range []string{"2030-13-01", "2030-01-13 03:04", "2030-05-01 03:04 "} {
		_, err := strict.Parse(text)
		assert.Error(t, err, text)
	}
	half, err := Compile("YYYY-MM-DD hh:mm AM")
	require.NoError(t, err)
	_, err = half.Parse("2030-01-05 13:00 PM")
	assert.ErrorIs(t, err, ErrRange)
	for _, form := range []string{"", "MM/DD hh:mm", "YYYY-MM-DD", "YYYY-MM-DD hh:mm foo", "YYYY-MM-DD hh:mm[:ss", "YYYY-MM-DD]hh",
		"YYYY-MM-MM-DD hh", "%Y-%m-%d %H:%M", "2006-01-02 15:04"} {
		_, err := Compile(form)
		assert.Error(t, err, form)
	}
}

// Where Go's own reader of RFC 3339 accepts a text, ours gives the same instant; what ours accepts, it gives back.
func FuzzParse(f *testing.F) {
	for _, seed := range []string{"2030-01-05T03:10:20Z", "2030-01-05 03:10", "2030-11-03 01:30:00.25", "1937-01-01T12:00:27.87+00:20",
		"2030-01-05T24:00Z"} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		stamp, err := Parse(text)
		theirs, theirErr := time.Parse(time.RFC3339Nano, text)
		if theirErr == nil && theirs.Year() > FirstYear && theirs.Year() < LastYear && err == nil {
			require.True(t, stamp.HasOffset)
			require.Equal(t, theirs.UnixMicro(), stamp.Instant)
		}
		if err != nil {
			return
		}
		again := time.UnixMicro(stamp.Instant).UTC().Format(time.RFC3339Nano)
		if !stamp.HasOffset {
			again = time.UnixMicro(int64(stamp.Wall)).UTC().Format("2006-01-02 15:04:05.999999")
		}
		if year := time.UnixMicro(stamp.Instant).UTC().Year(); stamp.HasOffset && (year < FirstYear || year > LastYear) {
			return // an offset moved the instant over the edge of the years
		}
		back, err := Parse(again)
		require.NoError(t, err, again)
		require.Equal(t, stamp, back)
	})
}

// What a form reads lies within the years; and an instant written in the form, part by part, is read back.
func FuzzFormat(f *testing.F) {
	f.Add("MM/DD/YYYY hh:mm[:ss]", "01/05/2030 13:07", int64(1893823620))
	f.Add("M/D/YY h:mm AM", "1/5/30 12:07 pm", int64(1893801600))
	f.Add("DD MMM YYYY hh:mm:ssZ", "05 Jan 2030 13:07:09-0600", int64(951782399))
	f.Add("DD.MM.YYYY hh.mm.ss.", "05.01.2030 13.07.09.", int64(951782399))
	f.Add("hh:mm:ss.DD.MM.YYYY", "13:07:09.05.01.2030", int64(951782399))
	f.Fuzz(func(t *testing.T, form, text string, second int64) {
		format, err := Compile(form)
		if err != nil {
			return
		}
		if stamp, err := format.Parse(text); err == nil && !stamp.HasOffset {
			year := time.UnixMicro(int64(stamp.Wall)).UTC().Year()
			require.True(t, year >= FirstYear && year <= LastYear, text)
		}
		at := time.Unix(second, 0).UTC()
		written, wanted, isClear := writeTime(form, at)
		if !isClear || at.Year() < 2000 || at.Year() > 2099 {
			return
		}
		stamp, err := format.Parse(written)
		require.NoError(t, err, written)
		require.Equal(t, wanted.UnixMicro(), stamp.Instant+int64(stamp.Wall), written)
	})
}

// Every date of every year that is read, and the days that no month has, against Go's own calendar.
func TestCivilDayOfEveryDate(t *testing.T) {
	for year := FirstYear; year <= LastYear; year++ {
		for month := range 14 {
			for day := range 33 {
				date := time.Date(year, time.Month(month), day, 0, 0, 0, 0, time.UTC)
				days, err := civilDay(year, month, day)
				if date.Year() != year || int(date.Month()) != month || date.Day() != day {
					require.ErrorIs(t, err, ErrRange, "%d-%d-%d", year, month, day)
					continue
				}
				if err != nil || days != date.Unix()/86400 {
					require.Equal(t, date.Unix()/86400, days, "%d-%d-%d: %v", year, month, day, err)
				}
			}
		}
	}
}

// writeTime writes an instant in a form without Compile: it gives the text and the instant less what the form leaves out. It is not clear
// where a part of one or two digits runs into a digit, where a form has optional pieces, or where AM is written beside hours of a whole
// day.
func writeTime(form string, at time.Time) (text string, wanted time.Time, isClear bool) {
	if strings.ContainsAny(form, "[\x00") {
		return "", at, false
	}
	hour, half, minute, second := at.Hour(), "AM", 0, 0
	if strings.Contains(form, "AM") {
		if hour >= 12 {
			half = "PM"
		}
		hour = (hour+11)%12 + 1
	}
	var replaced []string
	for _, part := range parts {
		value := map[string]string{"YYYY": at.Format("2006"), "YY": at.Format("06"), "MMM": at.Format("Jan"), "MM": at.Format("01"),
			"M":  at.Format("1"),
			"DD": at.Format("02"), "D": at.Format("2"), "hh": fmt.Sprintf("%02d", hour), "h": fmt.Sprint(hour), "mm": at.Format("04"),
			"ss": at.Format("05"),
			"AM": half, "Z": "Z"}[part.name]
		if len(part.name) == 1 && part.name != "Z" {
			value += "\x00" // marks where a run of digits would be read as one number
		}
		replaced = append(replaced, part.name, value)
	}
	text = strings.NewReplacer(replaced...).Replace(form)
	if strings.Contains(form, "mm") {
		minute = at.Minute()
	}
	if strings.Contains(form, "ss") {
		second = at.Second()
	}
	for i := range len(text) - 1 {
		if text[i] == 0 && text[i+1] >= '0' && text[i+1] <= '9' {
			return "", at, false
		}
	}
	wanted = time.Date(at.Year(), at.Month(), at.Day(), at.Hour(), minute, second, 0, time.UTC)
	return strings.ReplaceAll(text, "\x00", ""), wanted, true
}

// A new district.toml tells what each part of a form means, in the order in which they are looked for.
func TestPartsOfANewDistrict(t *testing.T) {
	text, err := os.ReadFile("../district/district.toml")
	require.NoError(t, err)
	var told, known []string
	for _, line := range regexp.MustCompile(`(?m)^#   (\w+) +\S.*$`).FindAllStringSubmatch(string(text), -1) {
		told = append(told, line[1])
	}
	for _, part := range parts {
		known = append(known, part.name)
	}
	assert.Equal(t, known, told)
}
