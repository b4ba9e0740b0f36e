package metar

import (
	"strings"
	"time"
)

// remarks reads what stands behind RMK. A word that is of no known kind is plain language and passed over.
func (d *decoder) remarks() {
	for word := d.next(); word != ""; word = d.next() {
		d.remark(word)
	}
}

func (d *decoder) remark(word string) {
	r := &d.report
	switch c := word[0]; {
	case c == 'T' && len(word) != 4 && d.tenths(word):
	case c == 'P' && len(word) == 5 && readAmount(word[1:], &r.HourPrecip):
	case c == '6' && len(word) == 5 && readAmount(word[1:], &r.SixPrecip):
		r.SixPrecipH = periodHours(r)
	case c == '7' && len(word) == 5 && readAmount(word[1:], &r.DayPrecip):
	case c == '4' && len(word) == 5 && word[1] == '/':
		if depth, ok := digits(word[2:]); ok {
			r.SnowDepthIn = known(float64(depth))
		}
	case c == 'I' && len(word) == 5:
		d.ice(word)
	case word == "SNINCR":
		d.snowRise()
	case word == "FZRANO":
		r.IsFreezingOut = true
	case word == "PWINO":
		r.IsWeatherOut = true
	case word == "PNO":
		r.IsGaugeOut = true
	case word == "$":
		r.IsServiceNeeded = true
	case isLetter(c) && len(word) >= 5:
		d.events(word)
	}
}

// tenths reads T00061011: air and dew point in tenths of a degree Celsius, a leading 1 for minus; the dew point may be missing.
func (d *decoder) tenths(word string) bool {
	if len(word) != 5 && len(word) != 9 {
		return false
	}
	air, ok := signedTenths(word[1:5])
	if !ok {
		return false
	}
	d.report.AirF = known(fahrenheit(air))
	d.report.Carries |= Temperature
	if len(word) == 9 {
		if dew, ok := signedTenths(word[5:9]); ok {
			d.report.DewF = known(fahrenheit(dew))
		}
	}
	return true
}

func signedTenths(text string) (int, bool) {
	value, ok := digits(text)
	if !ok || value >= 2000 {
		return 0, false
	}
	if value >= 1000 {
		return 1000 - value, true
	}
	return value, true
}

// readAmount reads hundredths of an inch; zeros are a trace. False, and no amount, when it is not told (////).
func readAmount(text string, amount *Amount) bool {
	value, ok := digits(text)
	if ok {
		*amount = Amount{HundredthsIn: value, IsTrace: value == 0, Known: true}
	}
	return ok
}

// periodHours is the time that 6RRRR covers: 3 h in the reports of 03, 09, 15 and 21 UTC, 6 h in those of 00, 06, 12 and 18; the report
// is made in the last quarter of an hour before (FMH-1).
func periodHours(r *Report) int {
	const reportAheadMin = 15
	hour := r.ObservedAt.Add(reportAheadMin * time.Minute).Hour()
	switch hour % 6 {
	case 0:
		return 6
	case 3:
		return 3
	}
	return 0
}

// ice reads I1nnn, I3nnn and I6nnn: ice accretion over 1, 3 and 6 hours.
func (d *decoder) ice(word string) {
	r := &d.report
	if amount := map[byte]*Amount{'1': &r.IceOneHour, '3': &r.IceThreeHours, '6': &r.IceSixHours}[word[1]]; amount != nil {
		readAmount(word[2:], amount)
	}
}

// snowRise reads the word behind SNINCR: inches in the last hour, a slash, inches on the ground. 4/sss, where it stands, wins.
func (d *decoder) snowRise() {
	above, below, _ := strings.Cut(d.next(), "/")
	rise, ok1 := digits(above)
	depth, ok2 := digits(below)
	if !ok1 || !ok2 {
		return
	}
	d.report.SnowRiseIn = known(float64(rise))
	if !d.report.SnowDepthIn.Known {
		d.report.SnowDepthIn = known(float64(depth))
	}
}

// events reads begin and end times such as SNB12E30, RAE05SNB05 and SNE1756B45. A begin or end without a time (RAESNB42) is at the time
// that follows. A word that does not fit from end to end is plain language.
func (d *decoder) events(word string) {
	var events []Event
	var weather Group
	untimed := 0
	for word != "" {
		if g, rest := eventWeather(word); rest != word {
			weather, word = g, rest
		}
		if weather == (Group{}) || word == "" || word[0] != 'B' && word[0] != 'E' {
			return
		}
		events = append(events, Event{Weather: weather, IsBegin: word[0] == 'B'})
		minute, hasHour, rest, ok := eventTime(word[1:])
		if word = rest; !ok {
			continue
		}
		for ; untimed < len(events); untimed++ {
			events[untimed].At = lastInstant(d.report.ObservedAt, minute, hasHour)
		}
	}
	if untimed == len(events) {
		d.report.Events = append(d.report.Events, events...)
	}
}

// eventWeather reads a descriptor and phenomena; rest is the whole text when none stands there.
func eventWeather(text string) (g Group, rest string) {
	rest = text
	if len(rest) >= 2 {
		if g.Descriptor = descriptorOf(rest[0], rest[1]); g.Descriptor != NoDescriptor {
			rest = rest[2:]
		}
	}
	for i := 0; i < maxPhenomena && len(rest) >= 2; i++ {
		p := phenomenonOf(rest[0], rest[1])
		if p == NoPhenomenon {
			break
		}
		g.Phenomena[i], rest = p, rest[2:]
	}
	return g, rest
}

// eventTime reads mm or hhmm into a minute of the hour or of the day; ok is false where no valid time stands.
func eventTime(text string) (minute int, hasHour bool, rest string, ok bool) {
	n := 0
	for n < len(text) && n < 5 && isDigit(text[n]) {
		n++
	}
	value, _ := digits(text[:n])
	switch {
	case n == 2 && value <= 59:
		return value, false, text[n:], true
	case n == 4 && value%100 <= 59 && value/100 <= 23:
		return value/100*60 + value%100, true, text[n:], true
	}
	return 0, false, text, false
}

// lastInstant is the latest instant of that minute of the hour, or of the day, that is not after the report.
func lastInstant(report time.Time, minute int, hasHour bool) time.Time {
	of, period := report.Minute(), 60
	if hasHour {
		of, period = report.Hour()*60+report.Minute(), 24*60
	}
	back := (of - minute + period) % period
	return report.Add(-time.Duration(back) * time.Minute)
}
