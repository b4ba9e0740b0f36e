package site

import (
	"cmp"
	"fmt"
	"strings"

	"lanetally/pipeline/rows"
)

// poundsCaution stands beside every comparison of pounds.
const poundsCaution = "What {acetate} routes got, not what {acetate} needs: the routes differ before any material is spread. Fewer pounds are no success where roads come bare later. Below a material's working temperature less is not safer; these figures set no rate."

// noBaseline stands where no route was ever compared on both materials.
const noBaseline = "These routes were never compared on the same material, so no ratio can be adjusted for how the routes differ."

// handbookNote stands under the table of what was used.
func handbookNote(u units) string {
	return u.sprintf("Nothing here proposes a rate. The handbook columns are guidance for salt from one published table, the middle of a range; local policy and licensed practice decide. Under %s °F: plow; no chemicals; see local policy.", u.rewritten(temperature, "15"))
}

// comparisonSentence answers the comparison page: routes, pounds with interval and count, roads in the same sentence, date.
func comparisonSentence(u units, c *Comparison, minStorms float64, isOpen bool, through string) string {
	if c == nil {
		return fmt.Sprintf("No storm has been compared yet; %s.", reach(through))
	}
	return fmt.Sprintf("%s %s%s; %s.", routesWords(u, c), poundsFound(u, c, minStorms), soFar(isOpen), reach(through))
}

// routesWords names the routes that were compared.
func routesWords(u units, c *Comparison) string {
	return u.sprintf("On these %s {acetate} and %s {chloride} routes", count(c.AcetateRoutes), count(c.ChlorideRoutes))
}

func soFar(isOpen bool) string {
	if isOpen {
		return "; so far: the season is open"
	}
	return ""
}

// poundsFound is the pounds verdict with its interval and count, and the roads verdict beside it.
func poundsFound(u units, c *Comparison, minStorms float64) string {
	if c.Verdict == rows.TooEarly {
		return fmt.Sprintf("it is too early to compare (%d of %.0f storms), and %s", c.Storms, minStorms, regainWords(u, c))
	}
	return u.sprintf("{acetate} routes got %s pounds per lane-mile {chloride} routes got: %s times (90 %% interval %s, approximate, %s), and %s", sameWords(c),
		ratios(c.TotalRatio), interval(c.Low90, c.High90, ratios), counted(c.Storms, "storm", "storms"), regainWords(u, c))
}

func sameWords(c *Comparison) string {
	switch c.Verdict {
	case rows.AboutTheSame:
		return "about the same"
	case rows.Less:
		return "less than the"
	case rows.More:
		return "more than the"
	}
	if c.MarginShownPct != nil {
		return fmt.Sprintf("not yet known how many against the (these storms could show a margin of %s %%)", fixed(c.MarginShownPct, 0))
	}
	return "not yet known how many against the"
}

// poundsWords is the pounds line of the season page.
func poundsWords(u units, c *Comparison) string {
	if c == nil {
		return "no storm has been compared yet"
	}
	if c.Verdict == rows.TooEarly {
		return fmt.Sprintf("%s compared, and %s", counted(c.Storms, "storm", "storms"), regainWords(u, c))
	}
	return u.sprintf("%s times the pounds per lane-mile of {chloride} routes (90 %% interval %s, approximate, %s): %s; %s", ratios(c.TotalRatio),
		interval(c.Low90, c.High90, ratios), counted(c.Storms, "storm", "storms"), c.Verdict, regainWords(u, c))
}

// applicationsWords is the applications line of the season page.
func applicationsWords(u units, c *Comparison) string {
	if c == nil {
		return "no storm has been compared yet"
	}
	if c.ApplicationsVerdict == rows.TooEarly {
		return counted(c.Storms, "storm", "storms") + " compared"
	}
	return u.sprintf("%s times the applications of {chloride} routes (90 %% interval %s, approximate): %s", ratios(c.ApplicationsRatio),
		interval(c.ApplicationsLow90, c.ApplicationsHigh90, ratios), c.ApplicationsVerdict)
}

// regainWords is the roads verdict of a comparison.
func regainWords(u units, c *Comparison) string {
	numbers := ""
	if c.RegainDiffH != nil && c.RegainLow90H != nil {
		numbers = fmt.Sprintf(" (%s h, 90 %% interval %s h)", signedTenth(c.RegainDiffH), interval(c.RegainLow90H, c.RegainHigh90H, signedTenth))
	}
	switch c.RegainVerdict {
	case rows.RoadsNoWorse:
		return u.unitWords("{acetate} routes came bare no later") + numbers
	case rows.RoadsWorse:
		return u.unitWords("{acetate} routes came bare later") + numbers
	}
	return u.unitWords("whether {acetate} routes came bare later is not known") + numbers
}

// roadsWords is the roads line of the season page: the comparison's verdict and the service guard's.
func roadsWords(u units, l *Learning, c *Comparison) string {
	parts := []string{"no storm has been compared yet"}
	if c != nil {
		parts[0] = regainWords(u, c)
	}
	if l != nil {
		parts = append(parts, serviceWords(l.ServiceVerdict))
	}
	return strings.Join(parts, "; ")
}

// comparisonTitle heads the picture of a season's storms.
func comparisonTitle(u units, c *Comparison) string {
	if c == nil || c.TotalRatio == nil {
		return "No season ratio yet"
	}
	return u.sprintf("Over the season %s times the pounds; the season's verdict: %s, roads: %s", ratios(c.TotalRatio), c.Verdict, c.RegainVerdict)
}

// leftOutSentence says which route-storms a season's comparison left out and why.
func leftOutSentence(u units, c *Comparison) string {
	var parts []string
	for _, out := range []struct {
		n   *int64
		why string
	}{{c.MixedRoutes, "too much material of the other class (mixed)"}, {c.UnmeasuredRoutes, u.unitWords("too many passes without pounds (unmeasured)")},
		{c.NoRecordRoutes, "nothing tells what was done (no record)"}} {
		if orNone(out.n) > 0 {
			parts = append(parts, fmt.Sprintf("%s: %s", counted(*out.n, "route-storm", "route-storms"), out.why))
		}
	}
	if len(parts) == 0 {
		return "No route-storm was left out."
	}
	return "Left out: " + strings.Join(parts, "; ") + u.unitWords(". A storm in a zone where that takes over a tenth of a class's lane-miles has no ratio and is in no sum.")
}

// typicalSentence takes each storm once, however large.
func typicalSentence(u units, c *Comparison) string {
	if c.TypicalRatio == nil {
		return "No storm has a ratio of its own."
	}
	text := fmt.Sprintf("Each storm counted once, the typical ratio is %s (90 %% interval %s)", ratios(c.TypicalRatio), interval(c.TypicalLow90, c.TypicalHigh90, ratios))
	if c.ZeroAcetate+c.ZeroChloride > 0 {
		text += u.sprintf("; in %s {acetate} routes needed nothing, in %s {chloride} routes", counted(c.ZeroAcetate, "storm", "storms"), counted(c.ZeroChloride, "storm", "storms"))
	}
	if c.EndRatio != nil {
		text += fmt.Sprintf("; along its trend with experience it stands at %s at the latest storm (90 %% interval %s)", ratios(c.EndRatio), interval(c.EndLow90, c.EndHigh90, ratios))
	}
	return text + "."
}

// adjustedSentence is the ratio against the same routes' own past, or why there is none.
func adjustedSentence(u units, c *Comparison, margin float64) string {
	if c.AdjustedRatio == nil {
		return noBaseline
	}
	basis := "one winter before"
	if n := c.AdjustedSeasons; n != 1 {
		basis = counted(n, "winter", "winters") + " before"
	}
	return u.sprintf("Adjusted for how the routes differ: %s that changed to {acetate} got %s times what they got against the same {chloride} routes in the %s (%s).",
		counted(c.AdjustedRoutes, "route", "routes"), ratios(c.AdjustedRatio), basis, adjustedVerdict(c, margin))
}

// adjustedVerdict holds the adjusted ratio's interval against the same margin, with the roads beside it, or says why there is no verdict.
func adjustedVerdict(c *Comparison, margin float64) string {
	if c.AdjustedLow90 == nil || c.AdjustedHigh90 == nil {
		if c.AdjustedRoutes < 3 {
			return "fewer than three routes: no interval and no verdict"
		}
		return "too few storms: no interval and no verdict"
	}
	verdict := rows.JudgeRatio(*c.AdjustedLow90, *c.AdjustedHigh90, margin)
	return fmt.Sprintf("90 %% interval %s to %s: %s; roads: %s", ratios(c.AdjustedLow90), ratios(c.AdjustedHigh90), verdict, cmp.Or(c.RegainVerdict, missing))
}

// chlorideSentence says how much chloride acetate kept off the roads in a season.
func chlorideSentence(u units, w WholeSeason) string {
	if w.KeptOffLb == nil {
		return u.unitWords("How much chloride {acetate} kept off the roads is not known: no {acetate} route has anything to be set against.")
	}
	return u.sprintf("Chloride kept off by {acetate}: %s lb over the season, from %d of %s with something to be set against.", u.pounds(w.KeptOffLb), w.KeptOffRouteStorms,
		u.unitWords(counted(w.AcetateRouteStorms, "{acetate} route-storm", "{acetate} route-storms")))
}

// courseSentence answers the season page: on course is when no claim is contradicted and roads are shown to be no worse.
func courseSentence(u units, season string, isOpen bool, list []claim, c *Comparison, through string) string {
	if through == "" {
		return "No data has been loaded yet, so there is no season to show."
	}
	states := map[string][]string{}
	for _, one := range list {
		states[one.State] = append(states[one.State], lowered(one.Name))
	}
	return fmt.Sprintf("%s (%s)%s; %s.", courseAnswer(season, isOpen, list, states), stateCounts(states, len(list)), coursePounds(u, c), reach(through))
}

func courseAnswer(season string, isOpen bool, list []claim, states map[string][]string) string {
	switch {
	case len(states[isTooEarly]) == len(list):
		return "It is too early to say whether the " + season + " season is on course"
	case len(states[isContradicted]) > 0:
		return "The " + season + " season is not on course, for the numbers contradict that " + strings.Join(states[isContradicted], " and that ")
	case list[0].State == isShown && isOpen:
		return "The " + season + " season is on course so far"
	case list[0].State == isShown:
		return "The " + season + " season was on course"
	}
	return "Nothing contradicts that the " + season + " season is on course, but it is " + list[0].State + " that " + lowered(list[0].Name)
}

// stateCounts says how many of the claims are in each state.
func stateCounts(states map[string][]string, all int) string {
	var parts []string
	for _, state := range []string{isShown, isNotShown, isContradicted, isTooEarly} {
		switch n := len(states[state]); {
		case n == all:
			return fmt.Sprintf("all %d claims %s", all, state)
		case n > 0:
			parts = append(parts, fmt.Sprintf("%d %s", n, state))
		}
	}
	return fmt.Sprintf("of %d claims %s", all, strings.Join(parts, ", "))
}

// coursePounds puts roads and pounds of the season into its sentence; "" before there is a verdict.
func coursePounds(u units, c *Comparison) string {
	if c == nil || c.Verdict == rows.TooEarly || c.TotalRatio == nil {
		return ""
	}
	return u.sprintf(": %s, and they got %s times the pounds per lane-mile of {chloride} routes (90 %% interval %s, approximate, %s)", regainWords(u, c),
		ratios(c.TotalRatio), interval(c.Low90, c.High90, ratios), counted(c.Storms, "storm", "storms"))
}

func lowered(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// reasonSentence says why a route got more or less in a storm than in the middle half of its storms.
func reasonSentence(u units, r StormReason) string {
	text := u.sprintf("%s (middle half %s to %s lb per lane-mile)", r.TotalKind, u.rate(r.LowStormLb), u.rate(r.HighStormLb))
	var parts []string
	for _, part := range []string{r.ApplicationsKind, r.RateKind, r.FitKind} {
		if part != "" {
			parts = append(parts, part)
		}
	}
	if len(parts) > 0 {
		text += ": " + strings.Join(parts, ", ")
	}
	if r.IsOutlier {
		text += "; marked for review"
	}
	return text
}

// reasonsHead heads what got more or less than usual.
func reasonsHead(u units, n int, one, many string) string {
	if n == 0 {
		return u.unitWords("Nothing here lies outside the middle half of a route's storms, or a route has fewer than 8 storms with pounds in the season.")
	}
	return capital(counted(n, one+" lies", many+" lie")) + u.unitWords(" outside the middle half, of routes with at least 8 storms with pounds in the season. Each is parted into applications and rate; the rate also against the learning fit.")
}

// sameBandWords heads the panel of ratios.
func sameBandWords(u units, margin float64) string {
	text := u.unitWords("ratio of pounds, {acetate} to {chloride} routes, log scale")
	if margin > 0 {
		text += fmt.Sprintf("; shaded: about the same, within %s %%", tick(100*margin))
	}
	return text
}

// bandWords names a band of pavement temperature from one °F to another, either of which may be missing.
func bandWords(u units, fromF, toF *float64) string {
	degrees := func(f *float64) string { return findingWriter{units: u}.Figure(*f, rows.DegreeF, 0) }
	switch {
	case fromF == nil && toF == nil:
		return "no report"
	case toF == nil:
		return u.sprintf("above %s °F", degrees(fromF))
	case fromF == nil:
		return u.sprintf("under %s °F", degrees(toF))
	}
	return u.sprintf("%s to %s °F", degrees(fromF), degrees(toF))
}
