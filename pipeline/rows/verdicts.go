package rows

// The words of verdicts, as tables and exports hold them and pages act on them. Source: definitions, learning and comparison.
const (
	TooEarly    = "too early"
	NotYetKnown = "not yet known"
)

// On the learning curve: a base verdict, then caveats, each after "; ".
const (
	Falling   = "falling"
	Rising    = "rising"
	Settled   = "settled"
	NoTrend   = "no clear trend"
	FromOrder = "cannot be told from an order"
	// FromInstruction: with a straight change by each storm worked, as instructions that nobody logged make it, beside experience.
	FromInstruction = "cannot be told from an instruction"
	FromSettings    = "depends on spreader settings"
	SoFar           = "so far"
	// Unweighed stands beside a verdict that too few rows with weighed pounds can be held against.
	Unweighed = "too few weighed loads to check what was reported"
)

// On a crew beside the others. FewCrews goes with TooEarly where there is a curve but no slope per crew.
const (
	CrewSlower     = "comes down slower"
	CrewFaster     = "comes down faster"
	CrewLikeOthers = "like the others"
	FewCrews       = "slopes of crews need 3 crews"
)

// The band in which acetate usually begins, as a multiple of the salt rate. Source: common practice, 25 to 50 % above it.
const (
	StartBandLow  = 1.25
	StartBandHigh = 1.50
)

// Beside salt: the starting ratio against the usual band, or NotYetKnown, and acetate's change against salt's own.
const (
	StartWithin = "fits the band"
	StartAbove  = "above"
	StartBelow  = "below"

	ControlBeyond   = "beyond salt"
	ControlNoMore   = "no more than salt"
	ControlNotKnown = "cannot be told apart"
	ControlNone     = "no control"
)

// Of the comparison: pounds and applications by their ratio, and roads.
const (
	AboutTheSame  = "about the same"
	Less          = "less"
	More          = "more"
	Fewer         = "fewer"
	RoadsNoWorse  = "no worse"
	RoadsWorse    = "worse"
	RoadsNotKnown = "not known"

	// NotOfMaterial: too few routes have storms enough with each class. BySettings: pounds from set rates are no measurement.
	NotOfMaterial = "routes cannot be told from material"
	BySettings    = "by settings only"
)

// Of the planned path, at the latest experience.
const (
	PathAbove    = "above the path"
	PathBelow    = "below the path"
	PathOn       = "on the path"
	PathNotAbove = "not above the path"
)

// Answers to a claim.
const (
	ClaimYes    = "yes"
	ClaimNo     = "no"
	ClaimCannot = "cannot tell yet"
)

// The pounds that a season is judged by.
const (
	BasisReported = "reported"
	BasisWeighed  = "weighed"
)

// States of a road after a storm.
const (
	RoadBare      = "bare"
	RoadNotBare   = "not bare"
	RoadOpen      = "open"
	RoadNoReports = "no reports"
)

// JudgeRatio compares the interval from low to high of a ratio with the margin m: AboutTheSame when it lies inside [1/(1+m), 1+m], ends
// included; Less or More when it lies wholly below or above 1 and not inside; else NotYetKnown. With a 90 % interval that is the two
// one-sided tests at 5 % (Schuirmann 1987, Journal of Pharmacokinetics and Biopharmaceutics 15).
func JudgeRatio(low, high, margin float64) string {
	switch {
	case low >= 1/(1+margin) && high <= 1+margin:
		return AboutTheSame
	case high < 1:
		return Less
	case low > 1:
		return More
	}
	return NotYetKnown
}
