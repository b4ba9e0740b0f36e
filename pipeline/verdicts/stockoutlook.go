package verdicts

import (
	"cmp"
	"hash/fnv"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"time"

	"gonum.org/v1/gonum/stat/distuv"

	"lanetally/pipeline/rows"
)

// Limits of the stock outlook. Source: definitions, stock outlook.
const (
	minPastSeasons     = 3
	minOutlookStorms   = 5
	lowShare           = 0.10
	middleShare        = 0.50
	highShare          = 0.90
	hoursPerDay        = 24
	daysPerWeek        = 7
	outlookStream      = 0x1a7e // second word of the generator's seed
	fanStepDays        = 7
	shapeOfNoStorms    = 0.5 // added to the storms so far: the shape of the gamma for a Poisson rate of which nothing is known
	fewestOutlookWeeks = 1.0 // a winter that has just opened counts as one week old
)

// DayUse is a use of a material on a day, counted from the day of the outlook: 1 is the next day. Micro-pounds.
type DayUse struct {
	Day    int
	UseULb int64
}

// outlookPath is one way the season may go on: uses by day, and the number of draws that went this way.
type outlookPath struct {
	Uses   []DayUse
	weight int
}

// OutlookInput is what the outlook of one material is drawn from. Dates are local midnights. Seasons holds the uses of past
// seasons after this date of the year, already in proportion to today's lane-miles; StormUses what each closed storm of all
// seasons took. OnHandULb is nil where no pile was ever counted.
type OutlookInput struct {
	MaterialID  string
	AsOf        time.Time
	LastStorm   time.Time // last day on which a storm is expected
	SeasonEnd   time.Time
	Opened      time.Time // first day on which a storm of any season began, in this season
	StormsSoFar int
	Seasons     [][]DayUse
	StormUses   []int64
	StormYears  int // seasons that StormUses come from
	OnHandULb   *int64
	Draws       int
	LeadDays    int
}

// outlook is what the draws say: micro-pounds, days from the outlook's. Fan holds the shares of use by day, OrderDay is -1 for none.
type outlook struct {
	Basis    string
	Seed     uint64
	NeedULb  [3]int64 // p10, p50, p90
	Fan      []fanPoint
	OrderDay int
	IsDrawn  bool
}

// fanPoint is the use from the day of the outlook to a later day: p10, p50, p90.
type fanPoint struct {
	day    int
	useULb [3]int64
}

// OutlookSeed gives the seed of a material's draws on a day: the same data give the same draws.
func OutlookSeed(materialID string, asOf time.Time) uint64 {
	hash := fnv.New64a()
	_, _ = hash.Write([]byte("stock outlook " + asOf.Format(time.DateOnly) + " " + materialID))
	return hash.Sum64()
}

// DrawOutlook draws the rest of the season for one material.
func DrawOutlook(in *OutlookInput) outlook {
	out := outlook{Seed: OutlookSeed(in.MaterialID, in.AsOf), OrderDay: -1}
	random := rand.New(rand.NewPCG(out.Seed, outlookStream)) // #nosec G404 -- draws of a simulation, the same each night
	var paths []outlookPath
	last := in.LastStorm
	switch {
	case len(in.Seasons) >= minPastSeasons:
		out.Basis = strconv.Itoa(len(in.Seasons)) + " past seasons"
		paths, last = drawSeasons(in, random), in.SeasonEnd
	case len(in.StormUses) >= minOutlookStorms:
		out.Basis = strconv.Itoa(len(in.StormUses)) + " storms of " + strconv.Itoa(in.StormYears) + " seasons"
		paths = DrawStorms(in, random)
	default:
		out.Basis = rows.TooEarly
		return out
	}
	out.IsDrawn = true
	out.follow(in, paths, max(DaysBetween(in.AsOf, last), 0))
	return out
}

// drawSeasons draws past seasons, each as likely: one path a season.
func drawSeasons(in *OutlookInput, random *rand.Rand) []outlookPath {
	paths := make([]outlookPath, len(in.Seasons))
	for i, uses := range in.Seasons {
		paths[i].Uses = uses
	}
	for range in.Draws {
		paths[random.IntN(len(paths))].weight++
	}
	return paths
}

// DrawStorms draws the number of storms left as negative binomial: a Poisson number whose rate a week is gamma with shape
// n + 0.5 and rate weeks so far. Each falls on any day left, as likely, and takes what some storm of all seasons took.
func DrawStorms(in *OutlookInput, random *rand.Rand) []outlookPath {
	paths := make([]outlookPath, in.Draws)
	first := max(DaysBetween(in.AsOf, in.Opened), 1)
	days := DaysBetween(in.AsOf, in.LastStorm) - first + 1
	soFar := max(float64(DaysBetween(in.Opened, in.AsOf))/daysPerWeek, fewestOutlookWeeks)
	rate := distuv.Gamma{Alpha: float64(in.StormsSoFar) + shapeOfNoStorms, Beta: soFar, Src: random}
	for i := range paths {
		paths[i].weight = 1
		if days <= 0 {
			continue
		}
		storms := distuv.Poisson{Lambda: rate.Rand() * float64(days) / daysPerWeek, Src: random}.Rand()
		for range int(storms) {
			use := DayUse{first + random.IntN(days), in.StormUses[random.IntN(len(in.StormUses))]}
			paths[i].Uses = append(paths[i].Uses, use)
		}
		slices.SortFunc(paths[i].Uses, func(a, b DayUse) int { return a.Day - b.Day })
	}
	return paths
}

// follow goes through the days up to the horizon, sums use to the day and in the lead time after it, and fills need, fan and order day.
func (out *outlook) follow(in *OutlookInput, paths []outlookPath, horizon int) {
	used := make([]WeightedUse, len(paths))
	ahead := make([]WeightedUse, len(paths))
	next, nextAhead := make([]int, len(paths)), make([]int, len(paths))
	for i, path := range paths {
		used[i].Weight, ahead[i].Weight = path.weight, path.weight
	}
	for day := range horizon + 1 {
		for i, path := range paths {
			for ; nextAhead[i] < len(path.Uses) && path.Uses[nextAhead[i]].Day <= min(day+in.LeadDays, horizon); nextAhead[i]++ {
				ahead[i].UseULb += path.Uses[nextAhead[i]].UseULb
			}
			for ; next[i] < len(path.Uses) && path.Uses[next[i]].Day <= day; next[i]++ {
				used[i].UseULb += path.Uses[next[i]].UseULb
				ahead[i].UseULb -= path.Uses[next[i]].UseULb
			}
		}
		isPoint := day%fanStepDays == 0 || day == horizon
		isAsked := in.OnHandULb != nil && out.OrderDay < 0
		if !isPoint && !isAsked {
			continue
		}
		shares := UsesAt(used, lowShare, middleShare, highShare)
		if isAsked && UsesAt(ahead, highShare)[0] > *in.OnHandULb-shares[1] {
			out.OrderDay = day
		}
		if isPoint {
			out.Fan = append(out.Fan, fanPoint{day, [3]int64(shares)})
		}
	}
	out.NeedULb = out.Fan[len(out.Fan)-1].useULb
}

// WeightedUse is a use that weight draws share.
type WeightedUse struct {
	UseULb int64
	Weight int
}

// UsesAt gives for each share the smallest use that at least this share of the draws does not exceed.
func UsesAt(uses []WeightedUse, shares ...float64) []int64 {
	sorted := slices.Clone(uses)
	slices.SortFunc(sorted, func(a, b WeightedUse) int { return cmp.Compare(a.UseULb, b.UseULb) })
	draws := 0
	for _, use := range sorted {
		draws += use.Weight
	}
	at := make([]int64, len(shares))
	below, k := 0, 0
	for _, use := range sorted {
		below += use.Weight
		for k < len(shares) && use.Weight > 0 && below >= int(math.Ceil(shares[k]*float64(draws)-1e-9)) {
			at[k] = use.UseULb
			k++
		}
	}
	return at
}

// DaysBetween counts the days from a to b, both dates at midnight UTC.
func DaysBetween(a, b time.Time) int { return int(math.Round(b.Sub(a).Hours() / hoursPerDay)) }
