package words

import (
	"cmp"
	"fmt"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// PoundsCaution stands beside every comparison of pounds.
const PoundsCaution = "What {acetate} routes got, not what {acetate} needs: the routes differ before any material is spread. Fewer " +
	"pounds are no success where roads come bare later. Below a material's working temperature less is not safer; " +
	"these figures set no rate."

// NoBaseline stands where no route was ever compared on both materials.
const NoBaseline = "These routes were never compared on the same material, so no ratio can be adjusted for how the routes differ."

// HandbookNote stands under the table of what was used.
func HandbookNote(u format.Units) string {
	return u.Sprintf("Nothing here proposes a rate. The handbook columns are guidance for salt from one published table, the middle of "+
		"a range; local policy and licensed practice decide. Under %s °F: plow; no chemicals; see local policy.",
		u.Rewritten(format.Temperature, "15"))
}

// ComparisonSentence answers the comparison page: routes, pounds with interval and count, roads in the same sentence, date.
func ComparisonSentence(u format.Units, c *rows.Comparison, minStorms float64, isOpen bool, through string) string {
	if c == nil {
		return fmt.Sprintf("No storm has been compared yet; %s.", reach(through))
	}
	return fmt.Sprintf("%s %s%s; %s.", RoutesWords(u, c), PoundsFound(u, c, minStorms), soFar(isOpen), reach(through))
}

// RoutesWords names the routes that were compared.
func RoutesWords(u format.Units, c *rows.Comparison) string {
	return u.Sprintf("On these %s {acetate} and %s {chloride} routes", format.Count(c.AcetateRoutes), format.Count(c.ChlorideRoutes))
}

func soFar(isOpen bool) string {
	if isOpen {
		return "; so far: the season is open"
	}
	return ""
}

// PoundsFound is the pounds verdict with its interval and count, and the roads verdict beside it.
func PoundsFound(u format.Units, c *rows.Comparison, minStorms float64) string {
	if c.Verdict == rows.TooEarly {
		return fmt.Sprintf("it is too early to compare (%d of %.0f storms), and %s", c.Storms, minStorms, regainWords(u, c))
	}
	return u.Sprintf("{acetate} routes got %s pounds per lane-mile {chloride} routes got: %s times (90 %% interval %s, approximate, "+
		"%s), and %s", sameWords(c),
		format.Ratios(c.TotalRatio), format.Interval(c.Low90, c.High90, format.Ratios), format.Counted(c.Storms, "storm", "storms"),
		regainWords(u, c))
}

func sameWords(c *rows.Comparison) string {
	switch c.Verdict {
	case rows.AboutTheSame:
		return "about the same"
	case rows.Less:
		return "less than the"
	case rows.More:
		return "more than the"
	}
	if c.MarginShownPct != nil {
		return fmt.Sprintf("not yet known how many against the (these storms could show a margin of %s %%)",
			format.Fixed(c.MarginShownPct, 0))
	}
	return "not yet known how many against the"
}

// PoundsWords is the pounds line of the season page.
func PoundsWords(u format.Units, c *rows.Comparison) string {
	if c == nil {
		return "no storm has been compared yet"
	}
	if c.Verdict == rows.TooEarly {
		return fmt.Sprintf("%s compared, and %s", format.Counted(c.Storms, "storm", "storms"), regainWords(u, c))
	}
	return u.Sprintf("%s times the pounds per lane-mile of {chloride} routes (90 %% interval %s, approximate, %s): %s; %s",
		format.Ratios(c.TotalRatio),
		format.Interval(c.Low90, c.High90, format.Ratios), format.Counted(c.Storms, "storm", "storms"), c.Verdict, regainWords(u, c))
}

// ApplicationsWords is the applications line of the season page.
func ApplicationsWords(u format.Units, c *rows.Comparison) string {
	if c == nil {
		return "no storm has been compared yet"
	}
	if c.ApplicationsVerdict == rows.TooEarly {
		return format.Counted(c.Storms, "storm", "storms") + " compared"
	}
	return u.Sprintf("%s times the applications of {chloride} routes (90 %% interval %s, approximate): %s",
		format.Ratios(c.ApplicationsRatio),
		format.Interval(c.ApplicationsLow90, c.ApplicationsHigh90, format.Ratios), c.ApplicationsVerdict)
}

// regainWords is the roads verdict of a comparison.
func regainWords(u format.Units, c *rows.Comparison) string {
	numbers := ""
	if c.RegainDiffH != nil && c.RegainLow90H != nil {
		numbers = fmt.Sprintf(" (%s h, 90 %% interval %s h)", format.SignedTenth(c.RegainDiffH),
			format.Interval(c.RegainLow90H, c.RegainHigh90H, format.SignedTenth))
	}
	switch c.RegainVerdict {
	case rows.RoadsNoWorse:
		return u.UnitWords("{acetate} routes came bare no later") + numbers
	case rows.RoadsWorse:
		return u.UnitWords("{acetate} routes came bare later") + numbers
	}
	return u.UnitWords("whether {acetate} routes came bare later is not known") + numbers
}

// RoadsWords is the roads line of the season page: the comparison's verdict and the service guard's.
func RoadsWords(u format.Units, l *rows.Learning, c *rows.Comparison) string {
	parts := []string{"no storm has been compared yet"}
	if c != nil {
		parts[0] = regainWords(u, c)
	}
	if l != nil {
		parts = append(parts, serviceWords(l.ServiceVerdict))
	}
	return strings.Join(parts, "; ")
}

// ComparisonTitle heads the picture of a season's storms.
func ComparisonTitle(u format.Units, c *rows.Comparison) string {
	if c == nil || c.TotalRatio == nil {
		return "No season ratio yet"
	}
	return u.Sprintf("Over the season %s times the pounds; the season's verdict: %s, roads: %s", format.Ratios(c.TotalRatio), c.Verdict,
		c.RegainVerdict)
}

// LeftOutSentence says which route-storms a season's comparison left out and why.
func LeftOutSentence(u format.Units, c *rows.Comparison) string {
	var parts []string
	for _, out := range []struct {
		n   *int64
		why string
	}{{c.MixedRoutes, "too much material of the other class (mixed)"},
		{c.UnmeasuredRoutes, u.UnitWords("too many passes without pounds (unmeasured)")},
		{c.NoRecordRoutes, "nothing tells what was done (no record)"}} {
		if OrNone(out.n) > 0 {
			parts = append(parts, fmt.Sprintf("%s: %s", format.Counted(*out.n, "route-storm", "route-storms"), out.why))
		}
	}
	if len(parts) == 0 {
		return "No route-storm was left out."
	}
	return "Left out: " + strings.Join(parts, "; ") +
		u.UnitWords(". A storm in a zone where that takes over a tenth of a class's lane-miles has no ratio and is in no sum.")
}

// TypicalSentence takes each storm once, however large.
func TypicalSentence(u format.Units, c *rows.Comparison) string {
	if c.TypicalRatio == nil {
		return "No storm has a ratio of its own."
	}
	text := fmt.Sprintf("Each storm counted once, the typical ratio is %s (90 %% interval %s)", format.Ratios(c.TypicalRatio),
		format.Interval(c.TypicalLow90, c.TypicalHigh90, format.Ratios))
	if c.ZeroAcetate+c.ZeroChloride > 0 {
		text += u.Sprintf("; in %s {acetate} routes needed nothing, in %s {chloride} routes",
			format.Counted(c.ZeroAcetate, "storm", "storms"), format.Counted(c.ZeroChloride, "storm", "storms"))
	}
	if c.EndRatio != nil {
		text += fmt.Sprintf("; along its trend with experience it stands at %s at the latest storm (90 %% interval %s)",
			format.Ratios(c.EndRatio), format.Interval(c.EndLow90, c.EndHigh90, format.Ratios))
	}
	return text + "."
}

// AdjustedSentence is the ratio against the same routes' own past, or why there is none.
func AdjustedSentence(u format.Units, c *rows.Comparison, margin float64) string {
	if c.AdjustedRatio == nil {
		return NoBaseline
	}
	basis := "one winter before"
	if n := c.AdjustedSeasons; n != 1 {
		basis = format.Counted(n, "winter", "winters") + " before"
	}
	return u.Sprintf("Adjusted for how the routes differ: %s that changed to {acetate} got %s times what they got against the same "+
		"{chloride} routes in the %s (%s).",
		format.Counted(c.AdjustedRoutes, "route", "routes"), format.Ratios(c.AdjustedRatio), basis, AdjustedVerdict(c, margin))
}

// AdjustedVerdict holds the adjusted ratio's interval against the same margin, with the roads beside it, or says why there is no verdict.
func AdjustedVerdict(c *rows.Comparison, margin float64) string {
	if c.AdjustedLow90 == nil || c.AdjustedHigh90 == nil {
		if c.AdjustedRoutes < 3 {
			return "fewer than three routes: no interval and no verdict"
		}
		return "too few storms: no interval and no verdict"
	}
	verdict := rows.JudgeRatio(*c.AdjustedLow90, *c.AdjustedHigh90, margin)
	return fmt.Sprintf("90 %% interval %s to %s: %s; roads: %s", format.Ratios(c.AdjustedLow90), format.Ratios(c.AdjustedHigh90), verdict,
		cmp.Or(c.RegainVerdict, format.Missing))
}

// ChlorideSentence says how much chloride acetate kept off the roads in a season.
func ChlorideSentence(u format.Units, w rows.WholeSeason) string {
	if w.KeptOffLb == nil {
		return u.UnitWords("How much chloride {acetate} kept off the roads is not known: " +
			"no {acetate} route has anything to be set against.")
	}
	return u.Sprintf("Chloride kept off by {acetate}: %s lb over the season, from %d of %s with something to be set against.",
		u.Pounds(w.KeptOffLb), w.KeptOffRouteStorms,
		u.UnitWords(format.Counted(w.AcetateRouteStorms, "{acetate} route-storm", "{acetate} route-storms")))
}

// CourseSentence answers the season page: on course is when no claim is contradicted and roads are shown to be no worse.
func CourseSentence(u format.Units, season string, isOpen bool, list []book.Claim, c *rows.Comparison, through string) string {
	if through == "" {
		return "No data has been loaded yet, so there is no season to show."
	}
	states := map[string][]string{}
	for _, one := range list {
		states[one.State] = append(states[one.State], Lowered(one.Name))
	}
	return fmt.Sprintf("%s (%s)%s; %s.", courseAnswer(season, isOpen, list, states), stateCounts(states, len(list)), coursePounds(u, c),
		reach(through))
}

func courseAnswer(season string, isOpen bool, list []book.Claim, states map[string][]string) string {
	switch {
	case len(states[book.IsTooEarly]) == len(list):
		return "It is too early to say whether the " + season + " season is on course"
	case len(states[book.IsContradicted]) > 0:
		return "The " + season + " season is not on course, for the numbers contradict that " + strings.Join(states[book.IsContradicted],
			" and that ")
	case list[0].State == book.IsShown && isOpen:
		return "The " + season + " season is on course so far"
	case list[0].State == book.IsShown:
		return "The " + season + " season was on course"
	}
	return "Nothing contradicts that the " + season + " season is on course, but it is " + list[0].State + " that " + Lowered(list[0].Name)
}

// stateCounts says how many of the claims are in each state.
func stateCounts(states map[string][]string, all int) string {
	var parts []string
	for _, state := range []string{book.IsShown, book.IsNotShown, book.IsContradicted, book.IsTooEarly} {
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
func coursePounds(u format.Units, c *rows.Comparison) string {
	if c == nil || c.Verdict == rows.TooEarly || c.TotalRatio == nil {
		return ""
	}
	return u.Sprintf(": %s, and they got %s times the pounds per lane-mile of {chloride} routes (90 %% interval %s, approximate, %s)",
		regainWords(u, c),
		format.Ratios(c.TotalRatio), format.Interval(c.Low90, c.High90, format.Ratios), format.Counted(c.Storms, "storm", "storms"))
}

// Lowered writes the first letter, an ASCII one, small.
func Lowered(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// ReasonSentence says why a route got more or less in a storm than in the middle half of its storms.
func ReasonSentence(u format.Units, r rows.StormReason) string {
	text := u.Sprintf("%s (middle half %s to %s lb per lane-mile)", r.TotalKind, u.Rate(r.LowStormLb), u.Rate(r.HighStormLb))
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

// ReasonsHead heads what got more or less than usual.
func ReasonsHead(u format.Units, n int, one, many string) string {
	if n == 0 {
		return u.UnitWords("Nothing here lies outside the middle half of a route's storms, or a route has fewer than 8 storms with " +
			"pounds in the season.")
	}
	return format.Capital(format.Counted(n, one+" lies", many+" lie")) + u.UnitWords(" outside the middle half, of routes with at "+
		"least 8 storms with pounds in the season. Each is parted into applications and rate; the rate also against the learning fit.")
}

// SameBandWords heads the panel of ratios.
func SameBandWords(u format.Units, margin float64) string {
	text := u.UnitWords("ratio of pounds, {acetate} to {chloride} routes, log scale")
	if margin > 0 {
		text += fmt.Sprintf("; shaded: about the same, within %s %%", format.Tick(100*margin))
	}
	return text
}

// BandWords names a band of pavement temperature from one °F to another, either of which may be missing.
func BandWords(u format.Units, fromF, toF *float64) string {
	degrees := func(f *float64) string { return book.FindingWriter{Units: u}.Figure(*f, rows.DegreeF, 0) }
	switch {
	case fromF == nil && toF == nil:
		return "no report"
	case toF == nil:
		return u.Sprintf("above %s °F", degrees(fromF))
	case fromF == nil:
		return u.Sprintf("under %s °F", degrees(toF))
	}
	return u.Sprintf("%s to %s °F", degrees(fromF), degrees(toF))
}
