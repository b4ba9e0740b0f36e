package site

import (
	"fmt"
	"strings"
)

const (
	// damageCaution stands beside the district's assumptions on damage.
	damageCaution = "Assumptions of the district, with its own sources: not measured here, in no cost on these pages, and never added to one."
	// talkCaution stands beside the list for the next talk.
	talkCaution = "By storm and route: an operator treats when sent. The reasons are common practice; local policy and the supervisor's judgment decide."
)

// talkWords names the kinds of the list for the next talk.
var talkWords = map[string]string{"cold": "below its working temperature", "wind": "in strong wind", "early": "early, not as pretreatment", "late": "first after 2 h of snow"}

// talkCount is the number of route-storms of one kind.
type talkCount struct {
	kind string
	n    int
}

// costSentence answers the cost page: dollars by class against the budget, and chloride kept off.
func costSentence(u units, season string, list []SeasonCost, whole WholeSeason, through string) string {
	var parts, unknown []string
	for _, c := range list {
		if c.Usd == nil {
			unknown = append(unknown, c.MaterialClass)
			continue
		}
		if c.Passes > 0 {
			parts = append(parts, fmt.Sprintf("%s $%s", c.MaterialClass, dollars(c.Usd)))
		}
	}
	if len(parts) == 0 {
		return fmt.Sprintf("No material has a cost yet%s; %s.", unknownWords(u, unknown), reach(through))
	}
	return fmt.Sprintf("In the %s season material cost $%s (%s)%s%s%s; %s.", season, dollars(whole.Usd), strings.Join(parts, ", "), unknownWords(u, unknown), budgetWords(whole.BudgetShare), keptOffWords(u, whole), reach(through))
}

func unknownWords(u units, classes []string) string {
	if len(classes) == 0 {
		return ""
	}
	return u.sprintf("; the cost of %s is not known, for a price or pounds are not on file", strings.Join(classes, " and "))
}

func budgetWords(share *float64) string {
	if share == nil {
		return "; no budget is on file"
	}
	return fmt.Sprintf("; %s %% of the budget is used", percent(share))
}

// keptOffWords is the chloride that acetate kept off, for a lead.
func keptOffWords(u units, w WholeSeason) string {
	if w.KeptOffLb == nil {
		return u.unitWords("; how much chloride {acetate} kept off is not known")
	}
	return u.sprintf("; by estimate {acetate} kept %s lb of chloride off the roads (%s of %s compared)", u.pounds(w.KeptOffLb), whole(w.KeptOffRouteStorms), counted(w.AcetateRouteStorms, "route-storm", "route-storms"))
}

// breakEvenSentence says at which price acetate would have cost the same.
func breakEvenSentence(u units, r BreakEven) string {
	if r.BreakEvenUsdPerTon == nil {
		return u.sprintf("In the %s season there is no {acetate} price at which both would have cost the same.", r.Season)
	}
	return u.sprintf("In the %s season {acetate} at $%s per ton would have cost the same per lane-mile as {chloride} at $%s; paid was $%s (%s, on %s {acetate} and %s {chloride} routes). Of material alone: labour, trucks and damage are not in it.", r.Season,
		u.write(tonPrice, r.BreakEvenUsdPerTon), u.write(tonPrice, r.ChlorideUsdPerTon), u.write(tonPrice, r.AcetateUsdPerTon), counted(r.Storms, "storm", "storms"), whole(r.AcetateRoutes), whole(r.ChlorideRoutes))
}

// talkReason gives the usual reason of a kind, once over its rows.
func talkReason(kind, reason string) string { return capital(talkWords[kind]) + ": " + reason }

// talkSentence heads the list for the next talk.
func talkSentence(season string, counts []talkCount) string {
	var parts []string
	for _, c := range counts {
		if c.n > 0 {
			parts = append(parts, fmt.Sprintf("%s %s", whole(c.n), talkWords[c.kind]))
		}
	}
	if len(parts) == 0 {
		return fmt.Sprintf("In the %s season nothing of cold, wind or timing stands out.", season)
	}
	return fmt.Sprintf("Route-storms of the %s season with material put down: %s. At most %d of each kind stand here; the file has all.", season, strings.Join(parts, "; "), mostTalk)
}
