package site

import (
	"fmt"
	"math"
	"strings"

	"lanetally/pipeline/rows"
)

// checkNotVerdict stands on the material page.
const checkNotVerdict = "A ratio away from 1 asks for a check of the spreader's setting, the tickets and the calibration. It says nothing about who drove: trucks carry whatever crew is on shift."

// basisSentence stands at the foot of every page.
func basisSentence(u units, hasCorrected bool) string {
	if hasCorrected {
		return u.unitWords("Pounds are as reported by spreaders, unless headed by weighed loads.")
	}
	return u.unitWords("Pounds are as reported by spreaders.")
}

// materialSums are the counts that answer the material page.
type materialSums struct {
	trucks, weighed, agree, settings, due int // trucks with solids, truck-weeks weighed, of these agreeing, trucks with a setting to check, calibrations due
	settingTrucks                         []string
}

// materialSentence answers the material page: does what was spread agree with what was weighed?
func materialSentence(u units, season string, s materialSums, through string) string {
	if s.trucks == 0 {
		return fmt.Sprintf("No truck has spread or loaded solids yet, so nothing can be weighed against it; %s.", reach(through))
	}
	if s.weighed == 0 {
		return fmt.Sprintf("In the %s season no week of %s has weighed loads to hold against what was spread; %s; %s.", season, counted(s.trucks, "truck", "trucks"), dueWords(s.due), reach(through))
	}
	return u.sprintf("In the %s season weighed and spread pounds agree in %s of %s of %s; %s; %s; %s.", season, whole(s.agree),
		counted(s.weighed, "weighed week", "weighed weeks"), counted(s.trucks, "truck", "trucks"), settingWords(s.settingTrucks), dueWords(s.due), reach(through))
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
	return counted(due, "calibration due", "calibrations due")
}

// settingSentence says what a run of weeks with one finding asks to check.
func settingSentence(u units, finding string, runningRatio *float64) string {
	material := strings.TrimSuffix(strings.TrimPrefix(finding, "set for "), "?")
	return u.sprintf("Set for %s? Each pound reported weighed %s lb. Check the material setting before the next load.", material, ratios(runningRatio))
}

// truckTitle heads a truck's picture: what the latest week with a ratio says.
func truckTitle(truckID, materialID string, latest *Reconciliation, tolerance float64) string {
	name := truckID + ", " + materialID
	if latest == nil || latest.RunningRatio == nil {
		return name + ": nothing weighed to compare"
	}
	words := findingWords(latest.Finding)
	if latest.Finding == "agrees" && math.Abs(*latest.RunningRatio-1) > tolerance {
		words = "within one load of agreeing"
	}
	return fmt.Sprintf("%s: %s, %s", name, ratios(latest.RunningRatio), words)
}

// findingWords is a finding of reconciliation in words that ask.
func findingWords(finding string) string {
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

// weighedFirst puts what weighed loads say before what was reported, where the district leads with them.
func weighedFirst(weighed, reported string) string {
	return weighed + " As reported: " + reported
}

// weighedSentence sets rates by weighed loads beside the reported ones of the same route-storms; "" where nothing was weighed.
func weighedSentence(u units, ac, cl Tally) string {
	var parts []string
	for _, c := range []struct {
		class string
		t     Tally
	}{{u.compareClass(), ac}, {u.besideClass(), cl}} {
		if rate := c.t.WeighedRate; rate != nil {
			parts = append(parts, u.sprintf("%s %s lb per lane-mile, where spreaders reported %s (%s of %s)", c.class, u.rate(rate), u.rate(c.t.ReportedRate),
				whole(c.t.Weighed), counted(c.t.RouteStorms, "route-storm", "route-storms")))
		}
	}
	if len(parts) == 0 {
		return ""
	}
	return "By weighed loads: " + strings.Join(parts, "; ") + "."
}

// basesSentence sets the learning fit on reported pounds beside the one on corrected pounds.
func basesSentence(u units, reported, corrected *LearningBasis) string {
	switch {
	case reported == nil:
		return "No fit yet on either basis."
	case corrected == nil || corrected.Verdict == rows.TooEarly:
		return u.sprintf("By reported pounds: %s. Too few rows have weighed loads for a fit of their own (%s, %s).", verdictWords(reported.Verdict), basisRows(corrected), basisStorms(corrected))
	case reported.Verdict == corrected.Verdict:
		return fmt.Sprintf("Both bases say the same: %s.", verdictWords(reported.Verdict))
	}
	return u.sprintf("By reported pounds: %s; by weighed loads: %s. So the answer depends on spreader settings: check those on the material page first.", verdictWords(reported.Verdict), verdictWords(corrected.Verdict))
}

func basisRows(b *LearningBasis) string {
	if b == nil {
		return "no rows"
	}
	return counted(b.Rows, "row", "rows")
}

func basisStorms(b *LearningBasis) string {
	if b == nil {
		return "no storms"
	}
	return counted(b.Storms, "storm", "storms")
}

// evidenceWords leads to a finding's evidence, and says how many more of its kind stand there.
func evidenceWords(like int) string {
	if like == 0 {
		return "see it"
	}
	return "see it and " + counted(like, "more", "more")
}

// ratioSentence explains the pictures of running ratios.
func ratioSentence(u units, tolerance, weeks float64) string {
	return u.sprintf("Pounds weighed for each pound that the spreader reported, over the %.0f weeks that end with each. Every picture has the same scale; the band is 1 give or take %.0f %%. A load left over in the box moves a single week; it is no finding.", weeks, 100*tolerance)
}

// calibrationsSentence heads the calibrations.
func calibrationsSentence(due, of int, days float64) string {
	if of == 0 {
		return "Nothing to calibrate yet."
	}
	return fmt.Sprintf("%s of %s of a truck and a material. Due: never done, or more than %.0f days before the latest week. Common practice: also before each season, in a hard winter's middle, and after work on hydraulics, auger, gate or control. Keep hands and feet clear of the auger; chock and guard.",
		capital(dueWords(due)), counted(of, "pair", "pairs"), days)
}

// leadWithSentence says which pounds the pages lead with.
func leadWithSentence(u units, leadsCorrected bool) string {
	if leadsCorrected {
		return u.unitWords("Storm and route pages lead with pounds by weighed loads and show the reported ones beside them (setting lead_with). Trends, comparison and files keep what was reported.")
	}
	return u.unitWords("Pages lead with pounds as reported and show those by weighed loads beside them (setting lead_with). Trends, comparison and files keep what was reported.")
}
