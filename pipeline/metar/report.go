package metar

import "time"

// Reading is a number that a report may lack: Value holds only where Known is true.
type Reading struct {
	Value float64
	Known bool
}

func known(value float64) Reading { return Reading{Value: value, Known: true} }

// Amount is an amount of water or ice in hundredths of an inch, as reported. A trace (coded 0000 or 000) is known and 0.
type Amount struct {
	HundredthsIn int
	IsTrace      bool
	Known        bool
}

// In is the amount in inches; 0 for a trace and where it is not known.
func (a Amount) In() float64 { return float64(a.HundredthsIn) / 100 }

// Kind is the sort of report.
type Kind uint8

// The kinds. A report that does not say is Unstated and stands as a routine one.
const (
	Unstated Kind = iota
	Routine       // METAR
	Special       // SPECI
)

// Groups is a set of the groups without which a report is truncated.
type Groups uint8

// The members of Groups. A group that says its value is missing (/////KT) stands in the report all the same.
const (
	Wind Groups = 1 << iota
	Visibility
	Temperature
)

// Event is a begin or an end of weather that a remark tells: SNB12E30 is two of them.
type Event struct {
	Weather Group // descriptor and phenomena; remarks give no intensity
	IsBegin bool
	At      time.Time // UTC, the latest instant of that minute (and hour, where given) not after the report
}

// Report is one decoded METAR or SPECI. Temperatures are Fahrenheit, exact conversions of the tenths of the T group where it stands, else
// of whole degrees Celsius; speeds are miles per hour, visibility statute miles, depths inches.
type Report struct {
	Kind         Kind
	IsCorrection bool // COR, or CCA to CCZ
	IsAuto       bool
	IsNil        bool // NIL: the station sent no observation
	StationID    string
	ObservedAt   time.Time // UTC, by the report's own day, hour and minute
	IsDated      bool      // a leading time on the line says which month that day is of
	Carries      Groups

	WindDeg            Reading // 10 to 360; not known when calm, variable or missing
	WindMph            Reading
	GustMph            Reading
	IsWindVariable     bool // VRB
	WindFromDeg        Reading
	WindToDeg          Reading // the two ends of 130V190, clockwise
	VisibilityMi       Reading
	IsVisibilityBelow  bool           // M1/4SM, 0000: less than VisibilityMi
	IsVisibilityBeyond bool           // P6SM, 9999, CAVOK: VisibilityMi or more
	Weather            PresentWeather // now, at the station or in the vicinity
	RecentWeather      []Group        // RESN: since the previous report, not now
	AirF               Reading
	DewF               Reading

	HourPrecip      Amount // P: since the last routine report, so specials repeat it
	SixPrecip       Amount // 6RRRR: over SixPrecipH hours
	SixPrecipH      int    // 3 or 6, by the report's hour; 0 where the hour is neither or SixPrecip is not known
	DayPrecip       Amount // 7RRRR: over 24 h
	SnowDepthIn     Reading
	SnowRiseIn      Reading // SNINCR: rise of the depth in the last hour
	IceOneHour      Amount  // I1, I3, I6: ice accretion
	IceThreeHours   Amount
	IceSixHours     Amount
	Events          []Event // in the order of the remark
	IsFreezingOut   bool    // FZRANO: the freezing-rain sensor does not work, so a missing FZRA is no evidence
	IsWeatherOut    bool    // PWINO: the present-weather sensor does not work
	IsGaugeOut      bool    // PNO: the precipitation gauge does not work
	IsServiceNeeded bool    // $: the station asks for maintenance
}

// PresentWx is the present-weather text of an observation: the groups, separated by spaces; empty where there is none.
func (r *Report) PresentWx() string { return r.Weather.String() }
