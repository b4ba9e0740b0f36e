package site

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"lanetally/pipeline/rows"
)

// enoughSeasons is how many past seasons it takes until the tenth and nine tenths of their uses hold eight seasons in ten.
const enoughSeasons = 9

// yours stands beside every order-by date.
const yours = "Delivery time and reserve are yours."

// stockGap is a difference between a count and its book.
type stockGap struct {
	pile, at string
	lb       *float64
}

// stockSentence answers the stock page: how much, does it last, order by when.
func stockSentence(u units, list []StockOutlook, through string) string {
	if len(list) == 0 {
		return fmt.Sprintf("No stock has been counted yet; %s.", reach(through))
	}
	var parts, never []string
	for _, o := range sorted(list, byUrgency) {
		if o.OnHandLb == nil {
			never = append(never, o.MaterialID)
			continue
		}
		parts = append(parts, stockWords(u, o))
	}
	if text := neverCounted(never); text != "" {
		parts = append(parts, text)
	}
	return fmt.Sprintf("%s; delivery time and reserve are yours; %s.", capital(strings.Join(parts, "; ")), reach(through))
}

// byUrgency puts what must be ordered first, the earliest date before the rest, then what one season in ten would lack.
func byUrgency(x, y StockOutlook) int {
	rank := func(o StockOutlook) (int, int64) {
		switch {
		case o.OrderByDate != nil:
			return 0, o.OrderByDate.Unix()
		case o.OnHandLb != nil && o.NeedP90Lb != nil && *o.NeedP90Lb > *o.OnHandLb:
			return 1, 0
		}
		return 2, 0
	}
	xRank, xDate := rank(x)
	yRank, yDate := rank(y)
	return cmp.Or(cmp.Compare(xRank, yRank), cmp.Compare(xDate, yDate), cmp.Compare(x.MaterialID, y.MaterialID))
}

// neverCounted names materials whose stock nobody counted; "" without one.
func neverCounted(materials []string) string {
	const unknown = " never counted, so nothing is known of what is left"
	switch n := len(materials); n {
	case 0:
		return ""
	case 1:
		return materials[0] + " was" + unknown
	default:
		return strings.Join(materials[:n-1], ", ") + " and " + materials[n-1] + " were" + unknown
	}
}

// stockWords is what the outlook of a material that was counted says.
func stockWords(u units, o StockOutlook) string {
	hand := u.sprintf("%s tons of %s on hand", u.tons(o.OnHandLb), o.MaterialID)
	switch {
	case o.Basis == rows.TooEarly || o.NeedP90Lb == nil:
		return fmt.Sprintf("%s, too early to say what the season needs (%s so far)", hand, counted(o.StormsSoFar, "storm", "storms"))
	case o.OrderByDate != nil:
		return u.sprintf("%s against a need of %s to %s tons: order by %s", hand, u.tons(o.NeedP10Lb), u.tons(o.NeedP90Lb), date(*o.OrderByDate))
	case *o.NeedP90Lb > *o.OnHandLb:
		return u.sprintf("%s against a need of %s to %s tons: not enough in at least one season of ten", hand, u.tons(o.NeedP10Lb), u.tons(o.NeedP90Lb))
	}
	return u.sprintf("%s, enough for a need of %s to %s tons", hand, u.tons(o.NeedP10Lb), u.tons(o.NeedP90Lb))
}

// outlookSentence heads the fan of one material.
func outlookSentence(u units, o StockOutlook) string { return capital(stockWords(u, o)) + "." }

// fewSeasonsWords warns where an outlook is drawn from few past seasons: of k seasons alike and the next one, the next lies between the lowest
// and the highest of the k in (k - 1) / (k + 1) of all orders.
func fewSeasonsWords(basis string) string {
	text, found := strings.CutSuffix(basis, " past seasons")
	seasons, err := strconv.Atoi(text)
	if !found || err != nil || seasons >= enoughSeasons {
		return ""
	}
	return fmt.Sprintf(" So few seasons hold the next one less often: %d in about %d %% of cases.", seasons, 100*(seasons-1)/(seasons+1))
}

// leadTimeSentence stands over the fans.
func leadTimeSentence(leadDays float64) string {
	return fmt.Sprintf("%s The order-by date is the first day on which one draw in ten uses more in the %.0f days after it than half the draws leave. An outlook from past use and weather, no forecast.", yours, leadDays)
}

// shrinkageSentence names the counts that lie far below their book.
func shrinkageSentence(u units, gaps []stockGap) string {
	if len(gaps) == 0 {
		return "No count lies far below its book."
	}
	var parts []string
	for _, g := range gaps {
		lb := -orZero(g.lb)
		parts = append(parts, u.sprintf("%s by %s lb at the count of %s", g.pile, u.pounds(&lb), g.at))
	}
	return fmt.Sprintf("Shrinkage: %s. Check tickets, deliveries and both counts.", reasonsSentence(parts))
}

// negativeSentence names piles whose book fell below 0.
func negativeSentence(piles []string) string {
	return fmt.Sprintf("The book of %s fell below 0: more was loaded than was counted and delivered. Check tickets, deliveries and the last count.", reasonsSentence(piles))
}
