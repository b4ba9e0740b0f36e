package words

import (
	"fmt"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

const (
	// DamageCaution stands beside the district's assumptions on damage.
	DamageCaution = "Assumptions of the district, with its own sources: not measured here, in no cost on these pages, and never added " +
		"to one."
	// TalkCaution stands beside the list for the next talk.
	TalkCaution = "By storm and route: an operator treats when sent. The reasons are common practice; local policy and the " +
		"supervisor's judgment decide."
)

// TalkWords names the kinds of the list for the next talk.
var TalkWords = map[string]string{"cold": "below its working temperature", "wind": "in strong wind", "early": "early, not as pretreatment",
	"late": "first after 2 h of snow"}

// TalkCount is the number of route-storms of one kind.
type TalkCount struct {
	Kind string
	N    int
}

// CostSentence answers the cost page: dollars by class against the budget, and chloride kept off.
func CostSentence(u format.Units, season string, list []rows.SeasonCost, whole rows.WholeSeason, through string) string {
	var parts, unknown []string
	for _, c := range list {
		if c.Usd == nil {
			unknown = append(unknown, c.MaterialClass)
			continue
		}
		if c.Passes > 0 {
			parts = append(parts, fmt.Sprintf("%s $%s", c.MaterialClass, format.Dollars(c.Usd)))
		}
	}
	if len(parts) == 0 {
		return fmt.Sprintf("No material has a cost yet%s; %s.", unknownWords(u, unknown), reach(through))
	}
	return fmt.Sprintf("In the %s season material cost $%s (%s)%s%s%s; %s.", season, format.Dollars(whole.Usd), strings.Join(parts, ", "),
		unknownWords(u, unknown), budgetWords(whole.BudgetShare), keptOffWords(u, whole), reach(through))
}

func unknownWords(u format.Units, classes []string) string {
	if len(classes) == 0 {
		return ""
	}
	return u.Sprintf("; the cost of %s is not known, for a price or pounds are not on file", strings.Join(classes, " and "))
}

func budgetWords(share *float64) string {
	if share == nil {
		return "; no budget is on file"
	}
	return fmt.Sprintf("; %s %% of the budget is used", format.Percent(share))
}

// keptOffWords is the chloride that acetate kept off, for a lead.
func keptOffWords(u format.Units, w rows.WholeSeason) string {
	if w.KeptOffLb == nil {
		return u.UnitWords("; how much chloride {acetate} kept off is not known")
	}
	return u.Sprintf("; by estimate {acetate} kept %s lb of chloride off the roads (%s of %s compared)", u.Pounds(w.KeptOffLb),
		format.Whole(w.KeptOffRouteStorms), format.Counted(w.AcetateRouteStorms, "route-storm", "route-storms"))
}

// BreakEvenSentence says at which price acetate would have cost the same.
func BreakEvenSentence(u format.Units, r rows.BreakEven) string {
	if r.BreakEvenUsdPerTon == nil {
		return u.Sprintf("In the %s season there is no {acetate} price at which both would have cost the same.", r.Season)
	}
	return u.Sprintf("In the %s season {acetate} at $%s per ton would have cost the same per lane-mile as {chloride} at $%s; paid was "+
		"$%s (%s, on %s {acetate} and %s {chloride} routes). Of material alone: labour, trucks and damage are not in it.", r.Season,
		u.Write(format.TonPrice, r.BreakEvenUsdPerTon), u.Write(format.TonPrice, r.ChlorideUsdPerTon),
		u.Write(format.TonPrice, r.AcetateUsdPerTon), format.Counted(r.Storms, "storm", "storms"), format.Whole(r.AcetateRoutes),
		format.Whole(r.ChlorideRoutes))
}

// TalkReason gives the usual reason of a kind, once over its rows.
func TalkReason(kind, reason string) string { return format.Capital(TalkWords[kind]) + ": " + reason }

// TalkSentence heads the list for the next talk.
func TalkSentence(season string, counts []TalkCount) string {
	var parts []string
	for _, c := range counts {
		if c.N > 0 {
			parts = append(parts, fmt.Sprintf("%s %s", format.Whole(c.N), TalkWords[c.Kind]))
		}
	}
	if len(parts) == 0 {
		return fmt.Sprintf("In the %s season nothing of cold, wind or timing stands out.", season)
	}
	return fmt.Sprintf("Route-storms of the %s season with material put down: %s. At most %d of each kind stand here; the file has all.",
		season, strings.Join(parts, "; "), MostTalk)
}

// MostTalk is how many lines of each kind the list for the next talk holds.
const MostTalk = 8
