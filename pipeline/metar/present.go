package metar

import (
	"fmt"
	"strings"
)

// PresentWeather is what an observation's present-weather groups say about winter weather, group by group (methods page, "Is an
// observation wintry?"). Groups in the vicinity count for nothing; blown and drifting snow is no precipitation. The zero value is no
// weather. Column tags name its flags in tables.
type PresentWeather struct {
	IsFrozenAnyTemp bool `db:"is_frozen_any_temp"` // a group with SN and without RA, or RA or DZ with FZ: wintry whatever the temperature
	IsFrozenCold    bool `db:"is_frozen_cold"`     // SG, PL or GS, or SN and RA in one group: wintry at 40 F and below
	IsColdPrecip    bool `db:"is_cold_precip"`     // GR or UP, or RA or DZ without FZ: wintry at 32 F and below
	HasPrecip       bool `db:"has_precip"`         // any precipitation group, ice crystals too
	HasSnow         bool `db:"has_snow"`           // SN, SG or GS falling
	HasSleet        bool `db:"has_sleet"`          // PL
	HasFreezing     bool `db:"has_freezing"`       // RA or DZ with FZ
	HasRain         bool `db:"has_rain"`           // RA or DZ without FZ
	HasBlowingSnow  bool `db:"has_blowing_snow"`   // BLSN at the station

	Groups []Group // as reported, in order; nil where there is none
}

// GroupError says which group of a text cannot be decoded and what is wanted in its place.
type GroupError struct {
	Group string // the group as it stands in the text
	Want  string // what is wanted, as the end of a sentence
}

// Error names the group, then what is wanted.
func (e *GroupError) Error() string { return fmt.Sprintf("%q does not decode; %s", e.Group, e.Want) }

const wantPresentWeather = "use FM-15 present-weather groups such as -SN, FZRA or VCSH, separated by spaces"

// DecodePresentWeather decodes groups separated by spaces, such as "-FZRA BR". Empty text, NSW (no significant weather) and slashes
// (not observed) give no group. The error is a *GroupError that names the first group that does not decode.
func DecodePresentWeather(text string) (PresentWeather, error) {
	var w PresentWeather
	for {
		var word string
		if word, text = nextWord(text); word == "" {
			return w, nil
		}
		if word == "NSW" || isSlashes(word) {
			continue
		}
		g, ok := parseGroup(word)
		if !ok {
			return PresentWeather{}, &GroupError{Group: word, Want: wantPresentWeather}
		}
		w.add(g)
	}
}

// String writes the groups as they stand in a report.
func (w PresentWeather) String() string {
	texts := make([]string, len(w.Groups))
	for i, g := range w.Groups {
		texts[i] = g.String()
	}
	return strings.Join(texts, " ")
}

func (w *PresentWeather) add(g Group) {
	w.Groups = append(w.Groups, g)
	if g.Intensity == Vicinity {
		return
	}
	if g.Descriptor == Blowing && g.Has(Snow) {
		w.HasBlowingSnow = true
	}
	if !g.IsPrecipitation() {
		return
	}
	w.HasPrecip = true
	isLiquid := g.Has(Rain) || g.Has(Drizzle)
	isFreezing := isLiquid && g.Descriptor == Freezing
	isSmallIce := g.Has(SnowGrains) || g.Has(SmallHail)
	w.IsFrozenAnyTemp = w.IsFrozenAnyTemp || isFreezing || g.Has(Snow) && !g.Has(Rain)
	w.IsFrozenCold = w.IsFrozenCold || isSmallIce || g.Has(IcePellets) || g.Has(Snow) && g.Has(Rain)
	w.IsColdPrecip = w.IsColdPrecip || isLiquid && !isFreezing || g.Has(Hail) || g.Has(UnknownPrecipitation)
	w.HasSnow = w.HasSnow || isSmallIce || g.Has(Snow)
	w.HasSleet = w.HasSleet || g.Has(IcePellets)
	w.HasFreezing = w.HasFreezing || isFreezing
	w.HasRain = w.HasRain || isLiquid && !isFreezing
}

// nextWord cuts the first word off a text; both are empty when nothing but spaces is left.
func nextWord(text string) (word, rest string) {
	start := 0
	for start < len(text) && isSpace(text[start]) {
		start++
	}
	end := start
	for end < len(text) && !isSpace(text[end]) {
		end++
	}
	return text[start:end], text[end:]
}

func isSpace(c byte) bool { return c == ' ' || c == '\t' || c == '\r' || c == '\n' }

func isSlashes(word string) bool { return len(word) >= 2 && strings.Count(word, "/") == len(word) }
