package calibration

// Reach says where a wanted rate lies among the tested gates.
type Reach string

// The places that a wanted rate can have.
const (
	Between  Reach = "between tested gates" // interpolated
	AtGate   Reach = "at a tested gate"
	Below    Reach = "below the smallest tested delivery" // no gate is given
	Above    Reach = "above the largest tested delivery"  // no gate is given
	Untested Reach = "no gate was tested"
)

// Wanted is the gate for a rate. GateIn, LowIn and HighIn are 0 where Reach names no gate: nothing is drawn out beyond what was tested.
// LowIn and HighIn are the tested gates around GateIn.
type Wanted struct {
	RateLbPerLaneMi float64 `json:"rate_lb_per_lane_mi"`
	LbPerMin        float64 `json:"lb_per_min"`
	GateIn          float64 `json:"gate_in,omitempty"`
	LowIn           float64 `json:"low_in,omitempty"`
	HighIn          float64 `json:"high_in,omitempty"`
	Reach           Reach   `json:"reach"`
}

// GateFor finds the gate for a rate in pounds per lane-mile, on a straight line between the two tested gates around it. gates are
// sorted by opening. Where deliveries do not rise with the gate the smallest fitting opening is taken.
func GateFor(gates []Gate, rateLbPerLaneMi, lanes, speedMph float64) Wanted {
	w := Wanted{RateLbPerLaneMi: rateLbPerLaneMi, LbPerMin: LbPerMinFor(rateLbPerLaneMi, lanes, speedMph), Reach: Untested}
	if len(gates) == 0 {
		return w
	}
	least, most := gates[0].LbPerMin, gates[0].LbPerMin
	for i, g := range gates {
		least, most = min(least, g.LbPerMin), max(most, g.LbPerMin)
		if closeTo(g.LbPerMin, w.LbPerMin) {
			return w.at(AtGate, g.GateIn, g.GateIn, g.GateIn)
		}
		if i > 0 && (gates[i-1].LbPerMin-w.LbPerMin)*(g.LbPerMin-w.LbPerMin) < 0 {
			before := gates[i-1]
			share := (w.LbPerMin - before.LbPerMin) / (g.LbPerMin - before.LbPerMin)
			return w.at(Between, before.GateIn+share*(g.GateIn-before.GateIn), before.GateIn, g.GateIn)
		}
	}
	if w.LbPerMin < least {
		w.Reach = Below
	} else if w.LbPerMin > most {
		w.Reach = Above
	}
	return w
}

func (w Wanted) at(reach Reach, gateIn, lowIn, highIn float64) Wanted {
	w.Reach, w.GateIn, w.LowIn, w.HighIn = reach, gateIn, lowIn, highIn
	return w
}

// rises tells whether every wider gate delivers more.
func rises(gates []Gate) bool {
	for i := 1; i < len(gates); i++ {
		if gates[i].LbPerMin <= gates[i-1].LbPerMin {
			return false
		}
	}
	return true
}
