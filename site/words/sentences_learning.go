package words

import (
	"fmt"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// commonStart is the band in which acetate usually begins. Source: common practice, 25 to 50 % above the salt rate.
const (
	StartLowRatio  = 1.25
	StartHighRatio = 1.50
)

// NoRate stands on the learning page whatever the fit says.
const NoRate = "These figures set no rate. Below a material's working temperature less is not safer, and crews are not ranked: storms, " +
	"routes and pavement differ."

// LearningSentence answers the learning page: trend, interval, count, service and date in one sentence.
func LearningSentence(u format.Units, l *rows.Learning, minStorms, minRows float64, through string) string {
	if l == nil {
		return u.Sprintf("No {acetate} rate has been fitted yet; %s.", reach(through))
	}
	_, caveats := book.PartVerdict(l.Verdict)
	if book.IsEarly(l) {
		return u.Sprintf("Too early to say how {acetate} rates move with experience: %s of %.0f storms and %s of %.0f rates, and %s%s; %s.",
			format.Whole(l.Storms), minStorms, format.Whole(l.Rows), minRows, serviceWords(l.ServiceVerdict), caveatWords(caveats),
			reach(through))
	}
	return fmt.Sprintf("%s%s; %s.", format.Capital(TrendWords(u, l)), caveatWords(caveats), reach(through))
}

// TrendWords is the trend with its interval, count and service verdict.
func TrendWords(u format.Units, l *rows.Learning) string {
	if l == nil {
		return u.UnitWords("no {acetate} rate has been fitted yet")
	}
	base, _ := book.PartVerdict(l.Verdict)
	if base == rows.TooEarly {
		return u.Sprintf("too few {acetate} rates for a fit (%s, %s), and %s", format.Counted(l.Storms, "storm", "storms"),
			format.Counted(l.Rows, "rate", "rates"), serviceWords(l.ServiceVerdict))
	}
	return fmt.Sprintf("%s%s, and %s", u.UnitWords(movesWords(base)), changeWords(l), serviceWords(l.ServiceVerdict))
}

// OrNone is the number, 0 for nil.
func OrNone(n *int64) int64 {
	if n == nil {
		return 0
	}
	return *n
}

// VerdictWords is a verdict on a curve as tables show it: fewer pounds are no fall and no gain.
func VerdictWords(verdict string) string {
	base, caveats := book.PartVerdict(verdict)
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

func changeWords(l *rows.Learning) string {
	if l.ChangePct == nil {
		return fmt.Sprintf(" (%s and %s give no interval)", format.Counted(l.Storms, "storm", "storms"),
			format.Counted(l.Rows, "rate", "rates"))
	}
	return fmt.Sprintf(", %s %% with each doubling of storms worked (90 %% interval %s %%, %s, %s)", format.SignedTenth(l.ChangePct),
		format.Interval(l.ChangeLow90Pct, l.ChangeHigh90Pct, format.SignedTenth), format.Counted(l.Storms, "storm", "storms"),
		format.Counted(l.Rows, "rate", "rates"))
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

// StartSentence sets the starting ratio against the usual band.
func StartSentence(u format.Units, l *rows.Learning) string {
	if l == nil || l.StartRatio == nil {
		return u.UnitWords("how {acetate} began beside {salt} is not yet known")
	}
	band := startBandWords(l.StartVerdict)
	if base, _ := book.PartVerdict(l.Verdict); base == rows.FromOrder {
		band += ", but that cannot be told from an order"
	}
	return u.Sprintf("in a first storm {acetate} went down at %s times the {salt} rate (90 %% interval %s), %s",
		format.Ratios(l.StartRatio),
		format.Interval(l.StartRatioLow90, l.StartRatioHigh90, format.Ratios), band)
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

// LatestSentence is the ratio at the latest experience; "" without one.
func LatestSentence(l *rows.Learning) string {
	if l.LatestRatio == nil {
		return ""
	}
	return fmt.Sprintf("At the latest experience, %s before, the ratio is %s (90 %% interval %s).", stormsOf(l.PriorStormsLatest),
		format.Ratios(l.LatestRatio), format.Interval(l.LatestRatioLow90, l.LatestRatioHigh90, format.Ratios))
}

func stormsOf(x *float64) string {
	if x == nil {
		return "no storms"
	}
	return format.Fixed(x, 0) + " storms"
}

// ControlSentence says whether acetate rates did more than salt's.
func ControlSentence(u format.Units, l *rows.Learning) string {
	if l.NetChangePct == nil {
		return u.UnitWords("No {salt} rates stand beside the {acetate} rates, so there is no control.")
	}
	words := map[string]string{
		rows.ControlBeyond:   "{acetate} rates came down beyond {salt}'s",
		rows.ControlNoMore:   "{acetate} rates came down no more than {salt}'s",
		rows.ControlNotKnown: "the two cannot be told apart",
		rows.ControlNone:     "there is no control",
		"":                   "there is no control",
		book.IsTooEarly:      "it is too early to tell",
	}[l.ControlVerdict]
	switch base, _ := book.PartVerdict(l.Verdict); base {
	case rows.FromOrder:
		words += ", but an order held on the way: whether crews or the order moved them cannot be told"
	case rows.FromSettings:
		words += ", as reported: it depends on spreader settings"
	}
	return u.Sprintf("{Salt}'s own rates moved by %s %% with each doubling of the season's storms; beyond that {acetate} rates moved "+
		"by %s %% with each doubling of storms worked (90 %% interval %s %%): %s.",
		format.SignedTenth(l.SaltTrendPct), format.SignedTenth(l.NetChangePct),
		format.Interval(l.NetLow90Pct, l.NetHigh90Pct, format.SignedTenth), u.UnitWords(words))
}

// GuardSentence tells the service guard's numbers.
func GuardSentence(verdict string, s *rows.LearningService) string {
	if s == nil || s.ChangePct == nil {
		return "Service guard: " + serviceWords(verdict) + "."
	}
	return fmt.Sprintf("Service guard: %s. From a first storm to the latest experience hours to bare lane, with 1 added, changed by %s "+
		"%% (90 %% interval %s %%); %s of %s had reports and %s stayed not bare.",
		serviceWords(verdict), format.SignedTenth(s.ChangePct), format.Interval(s.ChangeLow90Pct, s.ChangeHigh90Pct, format.SignedTenth),
		format.Whole(s.Reported),
		format.Counted(s.Treated, "route-storm", "route-storms"), format.Whole(s.NotBare))
}

// CrewTrend is the title of one crew's picture: no rank, no order but the ids'.
func CrewTrend(name string, l *rows.Learning) string {
	base, caveats := book.PartVerdict(l.Verdict)
	if l.ChangePct == nil {
		return name + ": " + base
	}
	text := fmt.Sprintf("%s: %s %% per doubling (%s), %s", name, format.SignedTenth(l.ChangePct),
		format.Interval(l.ChangeLow90Pct, l.ChangeHigh90Pct, format.SignedTenth), base)
	for _, caveat := range caveats {
		if caveat == "so far" {
			text += " so far"
		}
	}
	return text
}

// CurveTitle heads the picture of the common curve.
func CurveTitle(u format.Units, l *rows.Learning) string {
	if l == nil || l.StartRate == nil || l.LatestRate == nil {
		return "No curve yet"
	}
	from := "From"
	if base, _ := book.PartVerdict(l.Verdict); base == rows.FromSettings {
		from = "It depends on spreader settings; as reported, from"
	}
	return u.Sprintf("%s %s lb per lane-mile in a first storm to %s after %s, in mean weather", from, u.Rate(l.StartRate),
		u.Rate(l.LatestRate), stormsOf(l.PriorStormsLatest))
}

// TooFewWords is drawn in place of a chart that has too few storms or rows.
func TooFewWords(have int64, need float64, what string) string {
	return fmt.Sprintf("too few %s (%d of %.0f)", what, have, need)
}

// FitSentence says how many rows a fit used, and which it left out.
func FitSentence(u format.Units, fit rows.LearningFit, leftOut []rows.LearningLeftOut) string {
	text := fmt.Sprintf("%s: %s of %s used, from %s", format.Capital(FitName(u, fit.Fit)), format.Whole(fit.RowsUsed),
		format.Counted(fit.RowsGiven, "row", "rows"),
		format.Counted(fit.Storms, "storm", "storms"))
	var parts []string
	for _, out := range leftOut {
		parts = append(parts, fmt.Sprintf("%s (%s)", format.Whole(out.Rows), u.UnitWords(out.Reason)))
	}
	if len(parts) > 0 {
		text += "; left out: " + strings.Join(parts, ", ")
	} else {
		text += "; none left out"
	}
	return text + "."
}

// FitName puts the name of a fit into words; another name stays as it is.
func FitName(u format.Units, fit string) string {
	switch fit {
	case "curve":
		return "the learning curve"
	case "corrected curve":
		return u.UnitWords("the curve on weighed pounds")
	case "beside salt":
		return u.UnitWords("{acetate} beside {salt}")
	case "service":
		return "the service guard"
	}
	return fit
}

// OrderStepSentence says what becomes of the trend when a step at an order stands in the fit.
func OrderStepSentence(o rows.LearningOrder) string {
	when := format.Date(o.FromDate)
	switch {
	case o.ChangePct == nil:
		return fmt.Sprintf("Order of %s (%s): with a step there the trend has no answer of its own.", when, o.Text)
	case o.MovesToZero:
		return fmt.Sprintf("Order of %s (%s): with a step there the trend is %s %% per doubling (90 %% interval %s %%), which holds 0: "+
			"it cannot be told from the order.", when, o.Text,
			format.SignedTenth(o.ChangePct), format.Interval(o.ChangeLow90Pct, o.ChangeHigh90Pct, format.SignedTenth))
	}
	return fmt.Sprintf("Order of %s (%s): with a step there the trend is still %s %% per doubling (90 %% interval %s %%).", when, o.Text,
		format.SignedTenth(o.ChangePct), format.Interval(o.ChangeLow90Pct, o.ChangeHigh90Pct, format.SignedTenth))
}

// OutliersSentence heads the rates marked for review.
func OutliersSentence(n int) string {
	if n == 0 {
		return "No rate lies far enough from the fit to be marked for review."
	}
	return format.Capital(format.Counted(n, "rate lies", "rates lie")) +
		" more than 3.5 robust deviations from the fit: marked for review, still in every figure. The weather stands beside."
}

// ReserveSentence says with what reserve the verdicts hold.
func ReserveSentence(caveats []string) string {
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
