package words

// WaterCriterion is a published chloride criterion, shown as context beside loads. A load in pounds is no concentration in a
// stream: nothing on the pages states whether a criterion is met.
type WaterCriterion struct {
	Name     string
	MgPerL   float64 // milligrams of chloride in a litre of water
	Averaged string  // over what time, as the source says
	Source   string
	IsSeen   bool // the source's text was seen; else the figure is from memory
}

// WaterCriteria are the chloride criteria that the pages name.
var WaterCriteria = []WaterCriterion{
	{"aquatic life, chronic", 230, "four-day average", "EPA 440/5-88-001, 1988 (from memory)", false},
	{"aquatic life, acute", 860, "one-hour average", "EPA 440/5-88-001, 1988 (from memory)", false},
	{"drinking water, secondary level (taste)", 250, "no averaging time", "40 CFR 143.3", true},
}

// WaterCautions stand beside every figure of the water tables.
var WaterCautions = []string{
	"Pounds put down on roads, not concentrations in water: how much reaches a stream, when, and how diluted, is not known here. No " +
		"statement of compliance.",
	"Chloride kept off is an estimate; its basis stands beside it.",
	"Oxygen demand is what the {acetate} can take up when it decays, fully and at once: a load, not a concentration. Much decays in " +
		"soil before it reaches water.",
}
