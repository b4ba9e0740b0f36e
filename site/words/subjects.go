package words

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// namedTrucks is how many trucks AsideTrucksSentence names.
const namedTrucks = 4

// AsideTrucksSentence names the trucks with the most pounds set aside; sums come with the most pounds first.
func AsideTrucksSentence(u format.Units, sums []rows.SetAsideTruck) string {
	var named []rows.SetAsideTruck
	more, nameless := 0, int64(0)
	for _, sum := range sums {
		switch {
		case sum.TruckID == "":
			nameless += sum.Rows
		case len(named) == namedTrucks:
			more++
		default:
			named = append(named, sum)
		}
	}
	return Say(u, "set aside trucks", named, more, nameless)
}

// ChangeCounts is what the sentence of changes says: how many figures moved and of which storms, and which storms appeared or vanished in
// some zone.
type ChangeCounts struct {
	Figures                   int
	Moved, Appeared, Vanished map[string]bool
}

// Count adds one change: a storm that appeared or vanished, or else a figure that moved.
func (m *ChangeCounts) Count(c rows.Change) {
	switch {
	case c.Column == "storm" && c.Before == nil:
		m.Appeared[c.StormID] = true
	case c.Column == "storm":
		m.Vanished[c.StormID] = true
	default:
		m.Figures++
		m.Moved[c.StormID] = true
	}
}

// VersionsSentence says whether any definition changed since the list began.
func VersionsSentence(u format.Units, rows []book.VersionRow) string {
	changed := map[string]bool{}
	for _, r := range rows {
		if r.Definition != "" {
			changed[r.Version+r.Definition] = true
		}
	}
	return Say(u, "versions", len(changed), rows[0].Version)
}

// Claim is one of the five things that a season should show: the answer, what the numbers say, and last season's answer.
type Claim struct {
	rows.ClaimRow
	Name, Words, Last string
}

// claimNames are what claims 1 to 5 say.
var claimNames = [5]string{"Roads come bare no later", "{Acetate} begins 1.25 to 1.50 times as high as {salt}",
	"{Acetate} rates come down beyond {salt}'s as crews gain storms", "{Acetate} routes get fewer applications",
	"{Acetate} pounds keep to the planned path, and at the season's end are about {salt}'s"}

// Claims are the season's five lines, roads first; none where nothing was claimed yet.
func Claims(b *book.Book, season string) []Claim {
	var list []Claim
	last := b.ClaimsOf(b.SeasonBefore(season))
	roads, isAlone := b.RoadsOf(season), b.IsSeasonOpen(season) || len(last) == 0
	for i, row := range b.ClaimsOf(season) {
		one := Claim{ClaimRow: row, Name: b.UnitWords(claimNames[row.Claim-1]), Last: format.Missing,
			Words: Say(b.Units, "claim", row, roads, isAlone, b.Setting("same_margin"))}
		if i < len(last) {
			one.Last = last[i].Season + ": " + last[i].Answer
		}
		list = append(list, one)
	}
	return list
}

// CourseSentence answers the season page: on course is when no claim is answered no, and roads yes.
func CourseSentence(b *book.Book, season string, list []Claim) string {
	var against, counts []string
	for _, answer := range []string{rows.ClaimYes, rows.ClaimNo, rows.ClaimCannot} {
		of := book.Where(list, func(c Claim) bool { return c.Answer == answer })
		if len(of) > 0 {
			counts = append(counts, fmt.Sprintf("%d %s", len(of), answer))
		}
		for _, c := range of {
			if answer == rows.ClaimNo {
				against = append(against, Lowered(c.Name))
			}
		}
	}
	return Say(b.Units, "course", season, b.IsSeasonOpen(season), list, against, counts, b.RoadsOf(season), b.Through())
}

// Notes writes out the orders that marks name.
func Notes(placed []book.PlacedOrder) []string {
	var list []string
	for i, o := range placed {
		list = append(list, OrderSentence(i+1, format.Date(o.FromDate), o.Text, o.MaterialClass, o.RouteID))
	}
	return list
}

// OrderNotes writes out the orders that the pictures of learning name by number; "" without any.
func OrderNotes(b *book.Book) string {
	var list []string
	for i, o := range b.FittedOrders() {
		list = append(list, OrderSentence(i+1, format.Date(o.FromDate), o.Text, o.MaterialClass, o.RouteID))
	}
	return strings.Join(list, " ")
}

// OrderSentence writes out an order that a chart marks by its number: with the class unless it begins with that, and with a full stop
// unless it ends with a mark of its own.
func OrderSentence(number int, from, text, class, routeID string) string {
	if strings.HasPrefix(strings.ToLower(text), class) {
		class = ""
	}
	if text != "" && !strings.ContainsAny(text[len(text)-1:], ".!?") {
		text += "."
	}
	return Say(format.Units{}, "order", number, from, text, class, routeID)
}

// PastSentence sets a class's first stretch beside the one that follows it; tallies belong to stretches.
func PastSentence(u format.Units, class string, stretches []book.Stretch, tallies []rows.Tally) string {
	if len(stretches) == 1 {
		return Say(u, "past", class, stretches[0].Name, "", tallies[0], rows.Tally{})
	}
	return Say(u, "past", class, stretches[0].Name, stretches[1].Name, tallies[0], tallies[1])
}

// LikeSentence says how a storm's rates in a zone lie among those of like storms.
func LikeSentence(u format.Units, zone string, here book.LikeStorm, alike []book.LikeStorm) string {
	text := Say(u, "like", zone, here.Storm, len(alike))
	if here.Storm.Severity == nil || here.Storm.Kind == "" || len(alike) == 0 {
		return text
	}
	return text + likeClass(u, u.CompareClass(), here, alike, func(like book.LikeStorm) *float64 { return like.Acetate.RateLbPerLaneMi }) +
		likeClass(u, u.BesideClass(), here, alike, func(like book.LikeStorm) *float64 { return like.Chloride.RateLbPerLaneMi })
}

// likeClass tells one class's rate in a storm and its range over like storms.
func likeClass(u format.Units, class string, here book.LikeStorm, alike []book.LikeStorm, rate func(book.LikeStorm) *float64) string {
	var rates []float64
	for _, like := range alike {
		if r := rate(like); r != nil {
			rates = append(rates, *r)
		}
	}
	var low, high float64
	if len(rates) > 0 {
		low, high = slices.Min(rates), slices.Max(rates)
	}
	return Say(u, "like class", class, rate(here), low, high, len(rates))
}

// BridgeSentence says what is known of the route's bridges; "" where nothing is.
func BridgeSentence(u format.Units, bridges []rows.Bridge, laneMi *float64) string {
	var list []book.Between
	for _, b := range bridges {
		list = append(list, book.Between{From: b.FromMi, To: b.ToMi})
	}
	return Say(u, "bridges", len(bridges), book.PostsOf(list), laneMi)
}

// SeveritySentence tells a storm's severity in a zone with its classes in words. isAir: no pavement was measured, so air stands in.
func SeveritySentence(u format.Units, zone string, s rows.StormSeverity, isAir bool) string {
	return Say(u, "severity", zone, s, SeverityClasses(u, s, isAir))
}

// SeverityClasses writes out the classes that could be read, with what they were read from.
func SeverityClasses(u format.Units, s rows.StormSeverity, isAir bool) []string {
	var list []string
	for _, part := range []struct{ class, words string }{
		{s.ST, Say(u, "severity of storm", s)}, {s.Ti, Say(u, "severity of temperature", s, isAir)},
		{s.Wi, Say(u, "severity of wind", s)}, {s.Bi, Say(u, "severity of begin", s)},
		{s.Tp, Say(u, "severity of temperature after", s)}, {s.Wp, Say(u, "severity of wind after", s)}} {
		if part.class != "" {
			list = append(list, part.words)
		}
	}
	return list
}

// precipitationWords are the letters of FM-15 for what falls, by the Federal Meteorological Handbook No. 1.
var precipitationWords = map[string]string{"SN": "snow", "RA": "rain", "DZ": "drizzle", "PL": "sleet", "SG": "snow grains", "GR": "hail",
	"GS": "small hail", "UP": "unidentified precipitation",
	"IC": "ice crystals", "FZRA": "freezing rain", "FZDZ": "freezing drizzle", "TS": "thunder", "SHSN": "snow showers",
	"SHRA": "rain showers", "BLSN": "blowing snow"}

// RemarkWords says what a remark tells: "snow began".
func RemarkWords(u format.Units, what string, isBegin bool) string {
	return Say(u, "remark", cmp.Or(precipitationWords[what], what), isBegin)
}

// MaterialSums are the counts that answer the material page.
type MaterialSums struct {
	// trucks with solids, truck-weeks weighed, of these agreeing, trucks with a setting to check, calibrations due
	Trucks, Weighed, Agree, Settings, Due int
	SettingTrucks                         []string
}

// TruckTitle heads a truck's picture: what the latest week with a ratio says.
func TruckTitle(u format.Units, truckID, materialID string, latest *rows.Reconciliation, tolerance float64) string {
	isNear := latest != nil && latest.RunningRatio != nil && strings.HasPrefix(latest.Finding, "agrees") &&
		math.Abs(*latest.RunningRatio-1) > tolerance
	return Say(u, "truck title", truckID, materialID, latest, isNear)
}

// enoughSeasons is how many past seasons it takes until the tenth and nine tenths of their uses hold eight seasons in ten.
const enoughSeasons = 9

// fewSeasonsWords warns where an outlook is drawn from few past seasons: of k seasons alike and the next one, the next lies between the
// lowest and the highest of the k in (k - 1) / (k + 1) of all orders.
func fewSeasonsWords(u format.Units, basis string) string {
	text, found := strings.CutSuffix(basis, " past seasons")
	seasons, err := strconv.Atoi(text)
	if !found || err != nil || seasons >= enoughSeasons {
		return ""
	}
	return " " + Say(u, "few seasons", seasons, 100*(seasons-1)/(seasons+1))
}

// StockSentence answers the stock page: how much, does it last, order by when.
func StockSentence(u format.Units, list []rows.StockOutlook, through string) string {
	var counted, never []string
	for _, o := range book.Sorted(list, ByUrgency) {
		if o.OnHandLb == nil {
			never = append(never, o.MaterialID)
			continue
		}
		counted = append(counted, Say(u, "stock of", o))
	}
	return Say(u, "stock", counted, never, through)
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

// CostSentence answers the cost page: dollars by class against the budget, and chloride kept off.
func CostSentence(u format.Units, season string, list []rows.SeasonCost, whole rows.WholeSeason, through string) string {
	var known, unknown []string
	for _, c := range list {
		switch {
		case c.Usd == nil:
			unknown = append(unknown, c.MaterialClass)
		case c.Passes > 0:
			known = append(known, fmt.Sprintf("%s $%s", c.MaterialClass, format.Dollars(c.Usd)))
		}
	}
	return Say(u, "cost", season, known, unknown, whole, through)
}

// MostTalk is how many lines of each kind the list for the next talk holds.
const MostTalk = 8

// AlwaysPoints are cautions of every winter. Common practice.
var AlwaysPoints = []string{
	"Watch the pavement temperature, not the air: below a material's working temperature more of it does not help, " +
		"and plowing comes first.",
	"Treat again by what the road shows, not by the clock: dilution and refreeze decide when a treatment is spent.",
	"Say in the log what the numbers cannot: drifts, traffic, a blocked spinner, a stretch left out.",
}

// WentWellSentences tell how routes fared after storms, what went well first; of the routes one came bare soonest on average.
func WentWellSentences(u format.Units, t rows.Tally, soonest string, hours *float64, routes int) []string {
	if routes == 0 {
		t = rows.Tally{}
	}
	list := []string{Say(u, "went well", t)}
	if hours != nil && routes > 1 && t.Bare+t.NotBare > 0 {
		list = append(list, Say(u, "soonest", soonest, hours))
	}
	if t.NotBare > 0 {
		list = append(list, Say(u, "not bare", t.NotBare))
	}
	return list
}

// RoadHeads head the lines of numbers beneath a zone's pounds.
func RoadHeads(u format.Units) []string {
	return u.EachWords([]string{"{acetate} bare after, h", "{chloride} bare after, h", "mean air, °F"})
}
