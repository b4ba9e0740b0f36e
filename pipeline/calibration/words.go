package calibration

import (
	"fmt"
	"strings"
)

// Safety is what stands first on every card. Common practice, and the procedure of the Minnesota field handbook in words of our own;
// the spreader's manual and the shop's rules come before it.
var Safety = []string{
	"Level ground, brake set, wheels chocked, gear out; one person at the controls, in sight of the one at the pail.",
	"Guards stay on. No hand, foot, tool or sleeve near the auger, chain or gate while the engine runs; stop, lock and tag before " +
		"touching.",
	"Spinner off and swung out of the way. Nobody behind the truck.",
	"Eye protection, gloves, hearing protection; a dust mask with acetate. Safety data sheet at hand.",
	"Lift the pail with two people, or weigh it where it stands.",
}

// Steps is how to take the samples, in words of our own; source: Minnesota field handbook.
var Steps = []string{
	"Load the material and mix that you use, dry and loose; run until the flow is even. Engine at 1,500 rpm or more.",
	"Set the gate. Catch a counted number of shaft turns, until the pail is about two thirds full. Weigh; subtract the pail.",
	"Three samples a gate; take their mean. Samples more than 5 to 10 % apart: look for the cause and repeat.",
	"Again before each season, in the middle of a hard winter, and after work on controls, hydraulics, auger or gate.",
}

// Footing says what the figures rest on.
const Footing = "lb/min = lb per turn x turns per min. lb/mile = lb/min x 60 / mph. lb/lane-mile = lb/mile / lanes that the spinner " +
	"covers. This holds for a shaft that turns at the same speed whatever the road speed; a ground-speed control keeps lb/mile as at " +
	"the tested speed."

// Deference says who decides.
const Deference = "This card helps to set a spreader; it orders no rate. Local policy, the level of service, the supervisor and the " +
	"maker's manual decide."

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
