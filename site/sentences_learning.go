package site

import (
	"fmt"
	"strings"

	"lanetally/pipeline/rows"
)

// commonStart is the band in which acetate usually begins. Source: common practice, 25 to 50 % above the salt rate.
const (
	startLowRatio  = 1.25
	startHighRatio = 1.50
)

// noRate stands on the learning page whatever the fit says.
const noRate = "These figures set no rate. Below a material's working temperature less is not safer, and crews are not ranked: storms, routes and pavement differ."

// learningSentence answers the learning page: trend, interval, count, service and date in one sentence.
func learningSentence(u units, l *Learning, minStorms, minRows float64, through string) string {
	if l == nil {
		return u.sprintf("No {acetate} rate has been fitted yet; %s.", reach(through))
	}
	_, caveats := partVerdict(l.Verdict)
	if isEarly(l) {
		return u.sprintf("Too early to say how {acetate} rates move with experience: %s of %.0f storms and %s of %.0f rates, and %s%s; %s.",
			whole(l.Storms), minStorms, whole(l.Rows), minRows, serviceWords(l.ServiceVerdict), caveatWords(caveats), reach(through))
	}
	return fmt.Sprintf("%s%s; %s.", capital(trendWords(u, l)), caveatWords(caveats), reach(through))
}

// trendWords is the trend with its interval, count and service verdict.
func trendWords(u units, l *Learning) string {
	if l == nil {
		return u.unitWords("no {acetate} rate has been fitted yet")
	}
	base, _ := partVerdict(l.Verdict)
	if base == rows.TooEarly {
		return u.sprintf("too few {acetate} rates for a fit (%s, %s), and %s", counted(l.Storms, "storm", "storms"),
			counted(l.Rows, "rate", "rates"), serviceWords(l.ServiceVerdict))
	}
	return fmt.Sprintf("%s%s, and %s", u.unitWords(movesWords(base)), changeWords(l), serviceWords(l.ServiceVerdict))
}

func orNone(n *int64) int64 {
	if n == nil {
		return 0
	}
	return *n
}

// verdictWords is a verdict on a curve as tables show it: fewer pounds are no fall and no gain.
func verdictWords(verdict string) string {
	base, caveats := partVerdict(verdict)
	if base == rows.Falling {
		base = "rates are coming down"
	}
	return strings.Join(append([]string{base}, caveats...), "; ")
}

// movesWords says in words what a verdict on the curve means.
func movesWords(base string) string {
	switch base {
	case rows.Falling:
		return "{acetate} rates are coming down"
	case rows.Rising:
		return "{acetate} rates are going up"
	case rows.Settled:
		return "{acetate} rates have settled"
	case rows.FromOrder:
		return "{acetate} rates moved, but their change cannot be told from an order"
	case rows.FromSettings:
		return "it depends on spreader settings whether {acetate} rates come down, for reported and weighed pounds disagree; as reported"
	case rows.NoTrend:
		return "{acetate} rates show no clear trend"
	}
	return "{acetate} rates: " + base
}

func changeWords(l *Learning) string {
	if l.ChangePct == nil {
		return fmt.Sprintf(" (%s and %s give no interval)", counted(l.Storms, "storm", "storms"), counted(l.Rows, "rate", "rates"))
	}
	return fmt.Sprintf(", %s %% with each doubling of storms worked (90 %% interval %s %%, %s, %s)", signedTenth(l.ChangePct),
		interval(l.ChangeLow90Pct, l.ChangeHigh90Pct, signedTenth), counted(l.Storms, "storm", "storms"), counted(l.Rows, "rate", "rates"))
}

// serviceWords says what became of the roads meanwhile.
func serviceWords(verdict string) string {
	switch verdict {
	case rows.ServiceHeld:
		return "roads came bare about as soon meanwhile (service held)"
	case rows.ServiceSlower:
		return "roads took longer to come bare meanwhile (service slower)"
	case rows.ServiceNoReports:
		return "no road state was reported, so nothing is known of service"
	}
	return "it is not shown that roads came bare as soon"
}

func caveatWords(caveats []string) string {
	if len(caveats) == 0 {
		return ""
	}
	return "; " + strings.Join(caveats, "; ")
}

// startSentence sets the starting ratio against the usual band.
func startSentence(u units, l *Learning) string {
	if l == nil || l.StartRatio == nil {
		return u.unitWords("how {acetate} began beside {salt} is not yet known")
	}
	band := startBandWords(l.StartVerdict)
	if base, _ := partVerdict(l.Verdict); base == rows.FromOrder {
		band += ", but that cannot be told from an order"
	}
	return u.sprintf("in a first storm {acetate} went down at %s times the {salt} rate (90 %% interval %s), %s", ratios(l.StartRatio),
		interval(l.StartRatioLow90, l.StartRatioHigh90, ratios), band)
}

func startBandWords(verdict string) string {
	switch verdict {
	case rows.StartWithin:
		return "within the usual 1.25 to 1.50 (common practice)"
	case rows.StartAbove, rows.StartBelow:
		return verdict + " the usual 1.25 to 1.50 (common practice)"
	}
	return "not yet known against the usual 1.25 to 1.50 (common practice)"
}

// latestSentence is the ratio at the latest experience; "" without one.
func latestSentence(l *Learning) string {
	if l.LatestRatio == nil {
		return ""
	}
	return fmt.Sprintf("At the latest experience, %s before, the ratio is %s (90 %% interval %s).", stormsOf(l.PriorStormsLatest),
		ratios(l.LatestRatio), interval(l.LatestRatioLow90, l.LatestRatioHigh90, ratios))
}

func stormsOf(x *float64) string {
	if x == nil {
		return "no storms"
	}
	return fixed(x, 0) + " storms"
}

// controlSentence says whether acetate rates did more than salt's.
func controlSentence(u units, l *Learning) string {
	if l.NetChangePct == nil {
		return u.unitWords("No {salt} rates stand beside the {acetate} rates, so there is no control.")
	}
	words := map[string]string{
		rows.ControlBeyond:   "{acetate} rates came down beyond {salt}'s",
		rows.ControlNoMore:   "{acetate} rates came down no more than {salt}'s",
		rows.ControlNotKnown: "the two cannot be told apart",
		rows.ControlNone:     "there is no control",
		"":                   "there is no control",
		isTooEarly:           "it is too early to tell",
	}[l.ControlVerdict]
	switch base, _ := partVerdict(l.Verdict); base {
	case rows.FromOrder:
		words += ", but an order held on the way: whether crews or the order moved them cannot be told"
	case rows.FromSettings:
		words += ", as reported: it depends on spreader settings"
	}
	return u.sprintf("{Salt}'s own rates moved by %s %% with each doubling of the season's storms; beyond that {acetate} rates moved by %s %% with each doubling of storms worked (90 %% interval %s %%): %s.",
		signedTenth(l.SaltTrendPct), signedTenth(l.NetChangePct), interval(l.NetLow90Pct, l.NetHigh90Pct, signedTenth), u.unitWords(words))
}

// guardSentence tells the service guard's numbers.
func guardSentence(verdict string, s *LearningService) string {
	if s == nil || s.ChangePct == nil {
		return "Service guard: " + serviceWords(verdict) + "."
	}
	return fmt.Sprintf("Service guard: %s. From a first storm to the latest experience hours to bare lane, with 1 added, changed by %s %% (90 %% interval %s %%); %s of %s had reports and %s stayed not bare.",
		serviceWords(verdict), signedTenth(s.ChangePct), interval(s.ChangeLow90Pct, s.ChangeHigh90Pct, signedTenth), whole(s.Reported),
		counted(s.Treated, "route-storm", "route-storms"), whole(s.NotBare))
}

// crewTrend is the title of one crew's picture: no rank, no order but the ids'.
func crewTrend(name string, l *Learning) string {
	base, caveats := partVerdict(l.Verdict)
	if l.ChangePct == nil {
		return name + ": " + base
	}
	text := fmt.Sprintf("%s: %s %% per doubling (%s), %s", name, signedTenth(l.ChangePct), interval(l.ChangeLow90Pct, l.ChangeHigh90Pct, signedTenth), base)
	for _, caveat := range caveats {
		if caveat == "so far" {
			text += " so far"
		}
	}
	return text
}

// curveTitle heads the picture of the common curve.
func curveTitle(u units, l *Learning) string {
	if l == nil || l.StartRate == nil || l.LatestRate == nil {
		return "No curve yet"
	}
	from := "From"
	if base, _ := partVerdict(l.Verdict); base == rows.FromSettings {
		from = "It depends on spreader settings; as reported, from"
	}
	return u.sprintf("%s %s lb per lane-mile in a first storm to %s after %s, in mean weather", from, u.rate(l.StartRate), u.rate(l.LatestRate), stormsOf(l.PriorStormsLatest))
}

// tooFewWords is drawn in place of a chart that has too few storms or rows.
func tooFewWords(have int64, need float64, what string) string {
	return fmt.Sprintf("too few %s (%d of %.0f)", what, have, need)
}

// fitSentence says how many rows a fit used, and which it left out.
func fitSentence(u units, fit LearningFit, leftOut []LearningLeftOut) string {
	text := fmt.Sprintf("%s: %s of %s used, from %s", capital(fitName(u, fit.Fit)), whole(fit.RowsUsed), counted(fit.RowsGiven, "row", "rows"),
		counted(fit.Storms, "storm", "storms"))
	var parts []string
	for _, out := range leftOut {
		parts = append(parts, fmt.Sprintf("%s (%s)", whole(out.Rows), u.unitWords(out.Reason)))
	}
	if len(parts) > 0 {
		text += "; left out: " + strings.Join(parts, ", ")
	} else {
		text += "; none left out"
	}
	return text + "."
}

func fitName(u units, fit string) string {
	switch fit {
	case "curve":
		return "the learning curve"
	case "corrected curve":
		return u.unitWords("the curve on weighed pounds")
	case "beside salt":
		return u.unitWords("{acetate} beside {salt}")
	case "service":
		return "the service guard"
	}
	return fit
}

// orderStepSentence says what becomes of the trend when a step at an order stands in the fit.
func orderStepSentence(o LearningOrder) string {
	when := date(o.FromDate)
	switch {
	case o.ChangePct == nil:
		return fmt.Sprintf("Order of %s (%s): with a step there the trend has no answer of its own.", when, o.Text)
	case o.MovesToZero:
		return fmt.Sprintf("Order of %s (%s): with a step there the trend is %s %% per doubling (90 %% interval %s %%), which holds 0: it cannot be told from the order.", when, o.Text,
			signedTenth(o.ChangePct), interval(o.ChangeLow90Pct, o.ChangeHigh90Pct, signedTenth))
	}
	return fmt.Sprintf("Order of %s (%s): with a step there the trend is still %s %% per doubling (90 %% interval %s %%).", when, o.Text,
		signedTenth(o.ChangePct), interval(o.ChangeLow90Pct, o.ChangeHigh90Pct, signedTenth))
}

// outliersSentence heads the rates marked for review.
func outliersSentence(n int) string {
	if n == 0 {
		return "No rate lies far enough from the fit to be marked for review."
	}
	return capital(counted(n, "rate lies", "rates lie")) + " more than 3.5 robust deviations from the fit: marked for review, still in every figure. The weather stands beside."
}

// reserveSentence says with what reserve the verdicts hold.
func reserveSentence(caveats []string) string {
	if len(caveats) == 0 {
		return ""
	}
	words := make([]string, len(caveats))
	for i, caveat := range caveats {
		words[i] = caveat
		if caveat == "so far" {
			words[i] = "so far only, for the season is still open"
		}
	}
	return "With reserve: " + strings.Join(words, "; ") + "."
}
