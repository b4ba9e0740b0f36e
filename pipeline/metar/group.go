package metar

import "slices"

// Intensity is the sign before a present-weather group, or the proximity VC that stands in its place.
type Intensity uint8

// The intensities. Moderate has no sign. Vicinity (VC) means 5 to 10 statute miles away: not at the station.
const (
	Moderate Intensity = iota
	Light
	Heavy
	Vicinity
)

// Descriptor is the first pair of letters of a present-weather group when it tells the manner of the weather; NoDescriptor is none.
type Descriptor uint8

// The descriptors in the order of FMH-1's table of present weather.
const (
	NoDescriptor Descriptor = iota
	Shallow                 // MI
	Partial                 // PR
	Patches                 // BC
	LowDrifting             // DR
	Blowing                 // BL
	Showers                 // SH
	Thunderstorm            // TS
	Freezing                // FZ
)

// Phenomenon is one pair of letters for weather; NoPhenomenon fills the unused places of a group.
type Phenomenon uint8

// The phenomena: precipitation from Drizzle to UnknownPrecipitation, then obscurations, then others.
const (
	NoPhenomenon         Phenomenon = iota
	Drizzle                         // DZ
	Rain                            // RA
	Snow                            // SN
	SnowGrains                      // SG
	IceCrystals                     // IC
	IcePellets                      // PL; PE until 1998
	Hail                            // GR
	SmallHail                       // GS, small hail or snow pellets
	UnknownPrecipitation            // UP
	Mist                            // BR
	Fog                             // FG
	Smoke                           // FU
	VolcanicAsh                     // VA
	Dust                            // DU
	Sand                            // SA
	Haze                            // HZ
	Spray                           // PY
	DustWhirls                      // PO
	Squalls                         // SQ
	FunnelCloud                     // FC
	Sandstorm                       // SS
	Duststorm                       // DS
)

const maxPhenomena = 3 // FMH-1: up to three types of precipitation in one group

var intensityCodes = [...]string{Moderate: "", Light: "-", Heavy: "+", Vicinity: "VC"}

var descriptorCodes = [...]string{NoDescriptor: "", Shallow: "MI", Partial: "PR", Patches: "BC", LowDrifting: "DR", Blowing: "BL",
	Showers: "SH", Thunderstorm: "TS", Freezing: "FZ"}

var phenomenonCodes = [...]string{NoPhenomenon: "", Drizzle: "DZ", Rain: "RA", Snow: "SN", SnowGrains: "SG", IceCrystals: "IC",
	IcePellets: "PL", Hail: "GR", SmallHail: "GS", UnknownPrecipitation: "UP", Mist: "BR", Fog: "FG", Smoke: "FU", VolcanicAsh: "VA",
	Dust: "DU", Sand: "SA", Haze: "HZ", Spray: "PY", DustWhirls: "PO", Squalls: "SQ", FunnelCloud: "FC", Sandstorm: "SS", Duststorm: "DS"}

// String is the code of the phenomenon, such as SN.
func (p Phenomenon) String() string { return phenomenonCodes[p] }

// String is the code of the descriptor, such as FZ.
func (d Descriptor) String() string { return descriptorCodes[d] }

// Group is one present-weather group: -FZRA is {Light, Freezing, {Rain}}. Phenomena stand in the order of the report, which is that of
// their amounts; unused places are NoPhenomenon. The intensity belongs to the group, not to each phenomenon.
type Group struct {
	Intensity  Intensity
	Descriptor Descriptor
	Phenomena  [maxPhenomena]Phenomenon
}

// Has says whether the phenomenon stands in the group.
func (g Group) Has(p Phenomenon) bool {
	return p != NoPhenomenon && slices.Contains(g.Phenomena[:], p)
}

// IsPrecipitation says whether something falls at the station: a type of precipitation, not in the vicinity, not blown or drifting.
func (g Group) IsPrecipitation() bool {
	if g.Intensity == Vicinity || g.Descriptor == Blowing || g.Descriptor == LowDrifting {
		return false
	}
	return slices.ContainsFunc(g.Phenomena[:], func(p Phenomenon) bool { return p >= Drizzle && p <= UnknownPrecipitation })
}

// String writes the group as it stands in a report, with today's codes (PL for ice pellets).
func (g Group) String() string {
	text := intensityCodes[g.Intensity] + descriptorCodes[g.Descriptor]
	for _, p := range g.Phenomena {
		text += phenomenonCodes[p]
	}
	return text
}

// parseGroup decodes one group; ok is false when the text is none. An intensity is taken before any phenomenon and a descriptor with any
// (reports hold -FZFG and SHDZ, which the tables do not have): neither changes what falls. Without a phenomenon only TS stands alone,
// and SH in the vicinity; a bare SH names no weather.
func parseGroup(text string) (g Group, ok bool) {
	switch {
	case len(text) > 2 && text[0] == 'V' && text[1] == 'C':
		g.Intensity, text = Vicinity, text[2:]
	case len(text) > 1 && text[0] == '-':
		g.Intensity, text = Light, text[1:]
	case len(text) > 1 && text[0] == '+':
		g.Intensity, text = Heavy, text[1:]
	}
	if len(text) < 2 || len(text)%2 != 0 || len(text) > 2+2*maxPhenomena {
		return Group{}, false
	}
	if g.Descriptor = descriptorOf(text[0], text[1]); g.Descriptor != NoDescriptor {
		text = text[2:]
	}
	if len(text) > 2*maxPhenomena {
		return Group{}, false
	}
	for i := 0; i < len(text); i += 2 {
		p := phenomenonOf(text[i], text[i+1])
		if p == NoPhenomenon || g.Has(p) {
			return Group{}, false
		}
		g.Phenomena[i/2] = p
	}
	if g.Phenomena[0] == NoPhenomenon && g.Descriptor != Thunderstorm && (g.Descriptor != Showers || g.Intensity != Vicinity) {
		return Group{}, false
	}
	return g, true
}

// byPair is the inverse of codes by their two letters, A to Z each.
func byPair(codes []string) (table [26 * 26]uint8) {
	for i, code := range codes {
		if code != "" {
			table[int(code[0]-'A')*26+int(code[1]-'A')] = uint8(i)
		}
	}
	return table
}

var (
	descriptorByPair = byPair(descriptorCodes[:])
	phenomenonByPair = byPair(phenomenonCodes[:])
)

// placeOf is the place of two letters in a table of byPair; the last, which has no code, of any other bytes.
func placeOf(a, b byte) int {
	if a, b = a-'A', b-'A'; a < 26 && b < 26 {
		return int(a)*26 + int(b)
	}
	return len(phenomenonByPair) - 1
}

func descriptorOf(a, b byte) Descriptor { return Descriptor(descriptorByPair[placeOf(a, b)]) }

func phenomenonOf(a, b byte) Phenomenon {
	if a == 'P' && b == 'E' {
		return IcePellets
	}
	return Phenomenon(phenomenonByPair[placeOf(a, b)])
}
