package words

import (
	"fmt"
	"math"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// CheckNotVerdict stands on the material page.
const CheckNotVerdict = "A ratio away from 1 asks for a check of the spreader's setting, the tickets and the calibration. It says " +
	"nothing about who drove: trucks carry whatever crew is on shift."

// BasisSentence stands at the foot of every page.
func BasisSentence(u format.Units, hasCorrected bool) string {
	if hasCorrected {
		return u.UnitWords("Pounds are as reported by spreaders, unless headed by weighed loads.")
	}
	return u.UnitWords("Pounds are as reported by spreaders.")
}

// MaterialSums are the counts that answer the material page.
type MaterialSums struct {
	// trucks with solids, truck-weeks weighed, of these agreeing, trucks with a setting to check, calibrations due
	Trucks, Weighed, Agree, Settings, Due int
	SettingTrucks                         []string
}

// MaterialSentence answers the material page: does what was spread agree with what was weighed?
func MaterialSentence(u format.Units, season string, s MaterialSums, through string) string {
	if s.Trucks == 0 {
		return fmt.Sprintf("No truck has spread or loaded solids yet, so nothing can be weighed against it; %s.", reach(through))
	}
	if s.Weighed == 0 {
		return fmt.Sprintf("In the %s season no week of %s has weighed loads to hold against what was spread; %s; %s.", season,
			format.Counted(s.Trucks, "truck", "trucks"), dueWords(s.Due), reach(through))
	}
	return u.Sprintf("In the %s season weighed and spread pounds agree in %s of %s of %s; %s; %s; %s.", season, format.Whole(s.Agree),
		format.Counted(s.Weighed, "weighed week", "weighed weeks"), format.Counted(s.Trucks, "truck", "trucks"),
		settingWords(s.SettingTrucks), dueWords(s.Due), reach(through))
}

func settingWords(trucks []string) string {
	switch len(trucks) {
	case 0:
		return "no setting to check"
	case 1:
		return "check the setting of truck " + trucks[0]
	}
	return "check the settings of trucks " + strings.Join(trucks[:len(trucks)-1], ", ") + " and " + trucks[len(trucks)-1]
}

func dueWords(due int) string {
	return format.Counted(due, "calibration due", "calibrations due")
}

// SettingSentence says what a run of weeks with one finding asks to check.
func SettingSentence(u format.Units, finding string, runningRatio *float64) string {
	material := strings.TrimSuffix(strings.TrimPrefix(finding, "set for "), "?")
	return u.Sprintf("Set for %s? Each pound reported weighed %s lb. Check the material setting before the next load.", material,
		format.Ratios(runningRatio))
}

// TruckTitle heads a truck's picture: what the latest week with a ratio says.
func TruckTitle(truckID, materialID string, latest *rows.Reconciliation, tolerance float64) string {
	name := truckID + ", " + materialID
	if latest == nil || latest.RunningRatio == nil {
		return name + ": nothing weighed to compare"
	}
	words := FindingWords(latest.Finding)
	if latest.Finding == "agrees" && math.Abs(*latest.RunningRatio-1) > tolerance {
		words = "within one load of agreeing"
	}
	return fmt.Sprintf("%s: %s, %s", name, format.Ratios(latest.RunningRatio), words)
}

// FindingWords is a finding of reconciliation in words that ask.
func FindingWords(finding string) string {
	switch {
	case strings.HasPrefix(finding, "set for "):
		return "check: " + finding
	case finding == "more weighed", finding == "less weighed":
		return finding + ", check"
	case finding == "no tickets":
		return "no tickets, check"
	}
	return finding
}

// WeighedFirst puts what weighed loads say before what was reported, where the district leads with them.
func WeighedFirst(weighed, reported string) string {
	return weighed + " As reported: " + reported
}

// WeighedSentence sets rates by weighed loads beside the reported ones of the same route-storms; "" where nothing was weighed.
func WeighedSentence(u format.Units, ac, cl rows.Tally) string {
	var parts []string
	for _, c := range []struct {
		class string
		t     rows.Tally
	}{{u.CompareClass(), ac}, {u.BesideClass(), cl}} {
		if rate := c.t.WeighedRate; rate != nil {
			parts = append(parts, u.Sprintf("%s %s lb per lane-mile, where spreaders reported %s (%s of %s)", c.class, u.Rate(rate),
				u.Rate(c.t.ReportedRate),
				format.Whole(c.t.Weighed), format.Counted(c.t.RouteStorms, "route-storm", "route-storms")))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "By weighed loads: " + strings.Join(parts, "; ") + "."
}

// BasesSentence sets the learning fit on reported pounds beside the one on corrected pounds.
func BasesSentence(u format.Units, reported, corrected *rows.LearningBasis) string {
	switch {
	case reported == nil:
		return "No fit yet on either basis."
	case corrected == nil || corrected.Verdict == rows.TooEarly:
		return u.Sprintf("By reported pounds: %s. Too few rows have weighed loads for a fit of their own (%s, %s).",
			VerdictWords(reported.Verdict), basisRows(corrected), basisStorms(corrected))
	case reported.Verdict == corrected.Verdict:
		return fmt.Sprintf("Both bases say the same: %s.", VerdictWords(reported.Verdict))
	}
	return u.Sprintf("By reported pounds: %s; by weighed loads: %s. So the answer depends on spreader settings: check those on the "+
		"material page first.", VerdictWords(reported.Verdict), VerdictWords(corrected.Verdict))
}

func basisRows(b *rows.LearningBasis) string {
	if b == nil {
		return "no rows"
	}
	return format.Counted(b.Rows, "row", "rows")
}

func basisStorms(b *rows.LearningBasis) string {
	if b == nil {
		return "no storms"
	}
	return format.Counted(b.Storms, "storm", "storms")
}

// EvidenceWords leads to a finding's evidence, and says how many more of its kind stand there.
func EvidenceWords(like int) string {
	if like == 0 {
		return "see it"
	}
	return "see it and " + format.Counted(like, "more", "more")
}

// RatioSentence explains the pictures of running ratios.
func RatioSentence(u format.Units, tolerance, weeks float64) string {
	return u.Sprintf("Pounds weighed for each pound that the spreader reported, over the %.0f weeks that end with each. Every picture "+
		"has the same scale; the band is 1 give or take %.0f %%. A load left over in the box moves a single week; it is no finding.",
		weeks, 100*tolerance)
}

// CalibrationsSentence heads the calibrations.
func CalibrationsSentence(due, of int, days float64) string {
	if of == 0 {
		return "Nothing to calibrate yet."
	}
	return fmt.Sprintf("%s of %s of a truck and a material. Due: never done, or more than %.0f days before the latest week. Common "+
		"practice: also before each season, in a hard winter's middle, and after work on hydraulics, auger, gate or control. Keep "+
		"hands and feet clear of the auger; chock and guard.",
		format.Capital(dueWords(due)), format.Counted(of, "pair", "pairs"), days)
}

// LeadWithSentence says which pounds the pages lead with.
func LeadWithSentence(u format.Units, leadsCorrected bool) string {
	if leadsCorrected {
		return u.UnitWords("Storm and route pages lead with pounds by weighed loads and show the reported ones beside them (setting " +
			"lead_with). Trends, comparison and files keep what was reported.")
	}
	return u.UnitWords("Pages lead with pounds as reported and show those by weighed loads beside them (setting lead_with). Trends, " +
		"comparison and files keep what was reported.")
}
