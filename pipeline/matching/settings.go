package matching

// Settings are the constants of the model. Costs are negative natural logarithms of likelihoods.
type Settings struct {
	NoiseM        float64 // standard deviation of a position across the road, metres
	RadiusM       float64 // roads farther off than this are not considered, metres
	OffNetworkM   float64 // off the network is as likely as a road this far off, metres
	DetourM       float64 // mean difference of road and straight distance for positions StepS apart, metres
	StepS         float64 // interval at which DetourM holds; it grows in proportion with longer intervals, seconds
	SwitchCost    float64 // cost of leaving or joining the network other than where roads meet
	HeadingCost   float64 // cost of travelling at right angles to the road
	MaxSpeedMS    float64 // faster than this is a jump, metres per second
	JumpPoints    int     // so many jumped positions that agree with each other are believed
	FrozenMPH     float64 // unchanged positions at this reported speed or more are a frozen receiver, miles per hour
	BreakS        float64 // a longer silence starts the sequence anew, seconds
	JunctionM     float64 // the end of a line this near another line meets it, metres
	JunctionMaxM  float64 // ways through junctions are known up to this length, metres
	SpacingS      float64 // positions nearer in time, or than twice the noise, tell little more than the one before, seconds
	OtherCost     float64 // cost of each position on a road that is no route: trucks work on routes
	huberFrom     float64 // standard deviations from which the emission cost grows in proportion
	spacingM      float64 // as SpacingS, metres
	offCost       float64 // emission cost off the network
	shortcutCost  float64 // cost of changing road where no junction is near: out and in again
	changeCost    float64 // changing road, or leaving or joining the network, costs no less
	beamCost      float64 // sequences this much worse than the best are dropped
	inverseNoiseM float64
}

// DefaultSettings are for positions every few seconds to a minute from receivers as trucks carry them.
//
// Newson and Krumm (2009, figures from memory) measured 4.07 m with one good receiver and roads drawn to match, looked at roads within
// 200 m and took speeds over 50 m/s for faults. Here the line is one for both directions and all lanes, so half a roadway adds to the
// noise: 12 m. The others are our choice, held to the accuracy tests.
func DefaultSettings() Settings {
	return Settings{
		NoiseM: 12, RadiusM: 110, OffNetworkM: 60, DetourM: 15, StepS: 10, SwitchCost: 6, HeadingCost: 3,
		MaxSpeedMS: 50, JumpPoints: 3, FrozenMPH: 5, BreakS: 600, JunctionM: 30, JunctionMaxM: 5000, SpacingS: 4, OtherCost: 0.4,
	}
}

// derived fills the constants that follow from the others.
func (s Settings) derived() Settings {
	s.huberFrom = 2
	s.inverseNoiseM = 1 / s.NoiseM
	s.spacingM = 2 * s.NoiseM
	s.offCost = s.emissionCost(s.OffNetworkM)
	s.shortcutCost = 2*s.SwitchCost + 4
	s.changeCost = min(s.SwitchCost, s.shortcutCost, junctionCost)
	s.beamCost = 60
	return s
}

// emissionCost is that of a position distM from the road: normal near it, in proportion to the distance farther off (Huber 1964), so
// that one bad position does not outweigh many good ones.
func (s *Settings) emissionCost(distM float64) float64 {
	z := distM * s.inverseNoiseM
	if z <= s.huberFrom {
		return z * z / 2
	}
	return s.huberFrom * (z - s.huberFrom/2)
}

// farthestM is how far apart two positions of a truck can be, give or take the noise of both.
func (s *Settings) farthestM(seconds float64) float64 { return s.MaxSpeedMS*seconds + 8*s.NoiseM }
