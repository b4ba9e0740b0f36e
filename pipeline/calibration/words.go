package calibration

import (
	_ "embed"
	"fmt"
	"strings"
)

// What every card says, a part of words.txt each: safety first, as common practice and the procedure of the Minnesota field handbook have
// it, in words of our own, before which come the spreader's manual and the shop's rules; how to take the samples, by that handbook; what
// the figures rest on; and who decides.
var (
	//go:embed words.txt
	wordsText                string
	wordParts                = strings.Split(strings.TrimSpace(wordsText), "\n\n")
	safetyLines, sampleLines = strings.Split(wordParts[0], "\n"), strings.Split(wordParts[1], "\n")
	footing, deference       = wordParts[2], wordParts[3]
)

// toleranceShare is the larger of the two tolerances in use, 5 and 10 %. Common practice; no published figure was seen.
const toleranceShare = 0.10

// wantSamples is how many samples make a mean; source: Minnesota field handbook.
const wantSamples = 3

// note adds the caveats that the figures carry.
func (c *Card) note(unread int) {
	say := func(format string, values ...any) { c.Notes = append(c.Notes, fmt.Sprintf(format, values...)) }
	if c.IsEstimate {
		say("This material was not tested on this truck. All figures come from %s, x %.3f for density: %s.", c.FromMaterialID,
			c.DensityRatio, EstimateLabel)
	}
	if unread > 0 {
		say("%d samples by revolutions have no shaft speed (rev_per_min) and are left out.", unread)
	}
	if len(c.Gates) == 1 {
		say("One gate was tested: nothing can be read between gates. Test at least one more.")
	}
	if sessions(c.Gates) {
		say("Gates were tested on different dates.")
	}
	if !rises(c.Gates) {
		say("A wider gate delivered no more than a narrower one: repeat the test before you use the gates below.")
	}
	few := c.gatesWhere(func(g Gate) bool { return c.Basis == basisTests && g.Samples < wantSamples })
	if few != "" {
		say("Fewer than %d samples at gate %s in.", wantSamples, few)
	}
	if apart := c.gatesWhere(func(g Gate) bool { return g.SpreadShare > toleranceShare }); apart != "" {
		say("Samples are more than %.0f %% apart at gate %s in: repeat.", 100*toleranceShare, apart)
	}
	for _, k := range c.OnRecord {
		if off := k.CardLbPerMile/k.LbPerMile - 1; k.CardLbPerMile > 0 && (off > toleranceShare || off < -toleranceShare) {
			say("The calibration of %s at %s in is %+.0f %% from the card: one of them is out of date.", k.CalibratedDate,
				gateText(k.GateIn), -100*off/(1+off))
		}
	}
}

// gatesWhere lists the openings of the gates that test holds for.
func (c *Card) gatesWhere(test func(Gate) bool) string {
	var list []string
	for _, g := range c.Gates {
		if test(g) {
			list = append(list, gateText(g.GateIn))
		}
	}
	return strings.Join(list, ", ")
}

// Sentence says what was found for a wanted rate.
func (w *Wanted) Sentence(lanes, speedMph float64) string {
	head := fmt.Sprintf("%s lb/lane-mile on %s at %s mph needs %s lb/min: ", Number(w.RateLbPerLaneMi), lanesText(lanes), Number(speedMph),
		Number(w.LbPerMin))
	switch w.Reach {
	case AtGate:
		return head + fmt.Sprintf("gate %s in, as tested.", gateText(w.GateIn))
	case Between:
		return head + fmt.Sprintf("gate %s in, between the tested %s and %s in.", gateText(w.GateIn), gateText(w.LowIn), gateText(w.HighIn))
	default:
		return head + string(w.Reach) + ". No gate is given; test another gate, or change speed or lanes."
	}
}
