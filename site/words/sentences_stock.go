package words

import (
	"cmp"
	"fmt"
	"strconv"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// enoughSeasons is how many past seasons it takes until the tenth and nine tenths of their uses hold eight seasons in ten.
const enoughSeasons = 9

// Yours stands beside every order-by date.
const Yours = "Delivery time and reserve are yours."

// StockGap is a difference between a count and its book.
type StockGap struct {
	Pile, At string
	Lb       *float64
}

// StockSentence answers the stock page: how much, does it last, order by when.
func StockSentence(u format.Units, list []rows.StockOutlook, through string) string {
	if len(list) == 0 {
		return fmt.Sprintf("No stock has been counted yet; %s.", reach(through))
	}
	var parts, never []string
	for _, o := range book.Sorted(list, ByUrgency) {
		if o.OnHandLb == nil {
			never = append(never, o.MaterialID)
			continue
		}
		parts = append(parts, StockWords(u, o))
	}
	if text := neverCounted(never); text != "" {
		parts = append(parts, text)
	}
	return fmt.Sprintf("%s; delivery time and reserve are yours; %s.", format.Capital(strings.Join(parts, "; ")), reach(through))
}

// ByUrgency puts what must be ordered first, the earliest date before the rest, then what one season in ten would lack.
func ByUrgency(x, y rows.StockOutlook) int {
	rank := func(o rows.StockOutlook) (int, int64) {
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

// StockWords is what the outlook of a material that was counted says.
func StockWords(u format.Units, o rows.StockOutlook) string {
	hand := u.Sprintf("%s tons of %s on hand", u.Tons(o.OnHandLb), o.MaterialID)
	switch {
	case o.Basis == rows.TooEarly || o.NeedP90Lb == nil:
		return fmt.Sprintf("%s, too early to say what the season needs (%s so far)", hand, format.Counted(o.StormsSoFar, "storm", "storms"))
	case o.OrderByDate != nil:
		return u.Sprintf("%s against a need of %s to %s tons: order by %s", hand, u.Tons(o.NeedP10Lb), u.Tons(o.NeedP90Lb),
			format.Date(*o.OrderByDate))
	case *o.NeedP90Lb > *o.OnHandLb:
		return u.Sprintf("%s against a need of %s to %s tons: not enough in at least one season of ten", hand, u.Tons(o.NeedP10Lb),
			u.Tons(o.NeedP90Lb))
	}
	return u.Sprintf("%s, enough for a need of %s to %s tons", hand, u.Tons(o.NeedP10Lb), u.Tons(o.NeedP90Lb))
}

// OutlookSentence heads the fan of one material.
func OutlookSentence(u format.Units, o rows.StockOutlook) string {
	return format.Capital(StockWords(u, o)) + "."
}

// fewSeasonsWords warns where an outlook is drawn from few past seasons: of k seasons alike and the next one, the next lies between the
// lowest
// and the highest of the k in (k - 1) / (k + 1) of all orders.
func fewSeasonsWords(basis string) string {
	text, found := strings.CutSuffix(basis, " past seasons")
	seasons, err := strconv.Atoi(text)
	if !found || err != nil || seasons >= enoughSeasons {
		return ""
	}
	return fmt.Sprintf(" So few seasons hold the next one less often: %d in about %d %% of cases.", seasons, 100*(seasons-1)/(seasons+1))
}

// LeadTimeSentence stands over the fans.
func LeadTimeSentence(leadDays float64) string {
	return fmt.Sprintf("%s The order-by date is the first day on which one draw in ten uses more in the %.0f days after it than half "+
		"the draws leave. An outlook from past use and weather, no forecast.", Yours, leadDays)
}

// ShrinkageSentence names the counts that lie far below their book.
func ShrinkageSentence(u format.Units, gaps []StockGap) string {
	if len(gaps) == 0 {
		return "No count lies far below its book."
	}
	var parts []string
	for _, g := range gaps {
		lb := -rows.OrZero(g.Lb)
		parts = append(parts, u.Sprintf("%s by %s lb at the count of %s", g.Pile, u.Pounds(&lb), g.At))
	}
	return fmt.Sprintf("Shrinkage: %s. Check tickets, deliveries and both counts.", ReasonsSentence(parts))
}

// NegativeSentence names piles whose book fell below 0.
func NegativeSentence(piles []string) string {
	return fmt.Sprintf("The book of %s fell below 0: more was loaded than was counted and delivered. Check tickets, deliveries and the "+
		"last count.", ReasonsSentence(piles))
}
