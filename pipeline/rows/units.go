package rows

// Exact definitions: NIST Special Publication 811 (2008), Appendix B, and NIST Handbook 44, Appendix C.
const (
	KgPerLb  = 0.45359237
	KmPerMi  = 1.609344
	CmPerIn  = 2.54
	LbPerTon = 2000 // short ton
	// A difference of 9 °F is one of 5 °C, and water freezes at 32 °F.
	FahrenheitSteps = 9.0
	CelsiusSteps    = 5.0
	FreezingF       = 32
)

// Unit is the unit of an amount, named as contracts name it.
type Unit string

// The units of amounts of findings.
const (
	Pound             Unit = "pound"
	PoundPerLaneMile  Unit = "pound per lane-mile"
	LaneMile          Unit = "lane-mile"
	DegreeF           Unit = "degree Fahrenheit"
	DifferenceDegreeF Unit = "difference of degree Fahrenheit"
	Hour              Unit = "hour"
	Day               Unit = "day"
	Count             Unit = "count"
	Ratio             Unit = "ratio"
	Percent           Unit = "percent"
)

// usWords are the units as sentences in US units write them; a unit without an entry has no word of its own.
var usWords = map[Unit]string{Pound: "lb", PoundPerLaneMile: "lb per lane-mile", LaneMile: "lane-miles", DegreeF: "F",
	DifferenceDegreeF: "F", Hour: "h",
	Day: "days", Percent: "%"}
