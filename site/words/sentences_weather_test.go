package words

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
)

func TestSeveritySentence(t *testing.T) {
	assert.Equal(t, "Severity in Ridge: no class could be read, so there is none.",
		SeveritySentence(us, "Ridge", rows.StormSeverity{}, false))
	assert.Equal(t, "Severity in Ridge: not known, for a class is missing; read were cold pavement (19.5 °F).",
		SeveritySentence(us, "Ridge", rows.StormSeverity{Ti: "cold", TiF: new(19.5)}, false))
	whole := rows.StormSeverity{ST: "medium snow", Ti: "cold", Wi: "strong", Bi: "rain", Tp: "cooling", Wp: "light", SnowIn: new(4.2),
		TiF: new(19.5), WiMph: new(17.0), TpF: new(-3.4), WpMph: new(6.0), SeverityOnly: new(0.41), Severity: new(0.51)}
	assert.Equal(t, "Severity in Ridge: 0.51 of 1 (the storm alone 0.41): medium snow (4.2 in over 24 h), cold pavement (19.5 °F), "+
		"strong wind (17 mph), begun as rain, cooling after (−3.4 °F), light wind after (6 mph).",
		SeveritySentence(us, "Ridge", whole, false))
	whole.Severity, whole.Tp, whole.Wp = nil, "", ""
	whole.ST, whole.SnowIn = "freezing rain", new(0.1)
	assert.Equal(t, "Severity in Ridge: 0.41 for the storm alone, what came after is not known: freezing rain or sleet, cold pavement "+
		"(19.5 °F), strong wind (17 mph), begun as rain.", SeveritySentence(us, "Ridge", whole, false))
	assert.Equal(t, []string{"pavement between 25 and 32 °F", "no warmer or colder after"},
		SeverityClasses(us, rows.StormSeverity{Ti: "mid", Tp: "same"}, false))
	assert.Equal(t, []string{"warm pavement"}, SeverityClasses(us, rows.StormSeverity{Ti: "warm"}, false))
	assert.Equal(t, []string{"cold air in place of pavement (20.6 °F)"},
		SeverityClasses(us, rows.StormSeverity{Ti: "cold", TiF: new(20.6)}, true))
}

// The letters are those of the Federal Meteorological Handbook No. 1, present weather.
func TestRemarkWords(t *testing.T) {
	assert.Equal(t, "snow began", RemarkWords(us, "SN", true))
	assert.Equal(t, "freezing rain ended", RemarkWords(us, "FZRA", false))
	assert.Equal(t, "XX ended", RemarkWords(us, "XX", false))
	assert.NotContains(t, Say(us, "remarks", 1, 40), "stand here")
	assert.Contains(t, Say(us, "remarks", 45, 40), "The first 40 of 45 stand here.")
}

func TestWeatherSentences(t *testing.T) {
	assert.Equal(t, "No station's reports are in doubt.", Say(us, "weather findings", 0, 0))
	assert.Equal(t, "1 doubt about stations' reports; stuck and jumping readings are left out of every temperature.",
		Say(us, "weather findings", 1, 1))
	assert.Equal(t, "900 doubts about stations' reports; the first 500 stand here; stuck and jumping readings are left out of every "+
		"temperature.", Say(us, "weather findings", 900, 500))
	assert.Equal(t, "frost", Say(us, "outside reason", "frost"))
	assert.Equal(t, "no frost or refreeze seen", Say(us, "outside reason", ""))
	assert.Empty(t, Say(us, "outside", 1, 40))
	assert.Equal(t, "The latest 40 of 45 passes stand here.", Say(us, "outside", 45, 40))
	assert.Equal(t, "No storm has been counted at any gap.", Say(us, "gaps", 0))
	assert.Contains(t, Say(us, "gaps", 2), "No standard says")
}
