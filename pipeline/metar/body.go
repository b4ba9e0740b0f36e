package metar

import "strings"

const wantBody = "use the groups of FM-15: wind, visibility, weather, sky, temperature, pressure; plain language only after RMK"

// body reads the groups up to RMK, a trend forecast or the end.
func (d *decoder) body() error {
	d.miles = -1
	for {
		word := d.next()
		switch word {
		case "", "RMK":
			return d.danglingMiles()
		case "TEMPO", "BECMG", "NOSIG":
			d.skipTrend()
			return d.danglingMiles()
		}
		if !d.group(word) {
			return &GroupError{Group: word, Want: wantBody}
		}
	}
}

// danglingMiles faults whole miles that no fraction followed.
func (d *decoder) danglingMiles() error {
	if d.miles < 0 {
		return nil
	}
	return &GroupError{Group: string(rune('0' + d.miles)), Want: "give the visibility as 3SM or 1 1/2SM"}
}

// skipTrend passes over a forecast to the remarks; it is no observation.
func (d *decoder) skipTrend() {
	for {
		if word := d.next(); word == "" || word == "RMK" {
			return
		}
	}
}

// group reads one group of the body; false when it is of no known kind. The commonest kinds are told by their first letter.
func (d *decoder) group(word string) bool {
	switch c := word[0]; {
	case d.miles >= 0:
		return d.milesVisibility(word)
	case isDigit(c):
		return d.digitGroup(word)
	case c == 'M' && d.temperature(word), c == 'M' && d.milesVisibility(word), c == 'P' && d.milesVisibility(word):
		return true
	case c == 'V' && d.wind(word), c == '/' && d.slashGroup(word):
		return true
	case isSky(word), isPressure(word), d.modifier(word):
		return true
	case c == 'R' && d.runwayOrRecent(word):
		return true
	}
	if g, ok := parseGroup(word); ok {
		d.report.Weather.add(g)
		return true
	}
	return isOther(word)
}

// digitGroup reads wind, visibility, temperature, the range of a variable wind and runway states.
func (d *decoder) digitGroup(word string) bool {
	n := len(word)
	switch {
	case n == 1:
		d.miles = int(word[0] - '0')
		return true
	case word[n-1] == 'T' || word[n-1] == 'S' || word[n-1] == 'H':
		return d.wind(word) || d.metresVisibility(word)
	case word[n-1] == 'M':
		return d.milesVisibility(word)
	case d.temperature(word), d.metresVisibility(word), d.windRange(word):
		return true
	}
	return n == 8 && isDigit(word[0]) && isDigit(word[1]) && onlyDigitsAndSlashes(word)
}

// slashGroup reads groups whose value was not observed.
func (d *decoder) slashGroup(word string) bool {
	switch {
	case word == "/////":
		d.report.Carries |= Temperature
		return true
	case word == "////" || word == "////SM":
		d.report.Carries |= Visibility
		return true
	}
	return d.wind(word) || isSlashes(word) || isSky(word) || d.temperature(word)
}

// modifier reads the words that say something of the report as a whole.
func (d *decoder) modifier(word string) bool {
	switch {
	case word == "AUTO":
		d.report.IsAuto = true
	case word == "COR", len(word) == 3 && word[:2] == "CC" && isLetter(word[2]):
		d.report.IsCorrection = true
	case word == "NIL":
		d.report.IsNil = true
	case word == "CAVOK":
		d.report.VisibilityMi = known(unlimitedMetres / metresPerMile)
		d.report.IsVisibilityBeyond = true
		d.report.Carries |= Visibility
	case word == "$":
		d.report.IsServiceNeeded = true
	case word == "NSW", word == "RTD":
	default:
		return false
	}
	return true
}

// runwayOrRecent reads runway visual range and runway state, which are passed over, and recent weather.
func (d *decoder) runwayOrRecent(word string) bool {
	if len(word) >= 3 && isDigit(word[1]) && isDigit(word[2]) || word == "RVRNO" || strings.HasPrefix(word, "R/") {
		return true
	}
	if len(word) < 4 || word[1] != 'E' {
		return false
	}
	g, ok := parseGroup(word[2:])
	if ok {
		d.report.RecentWeather = append(d.report.RecentWeather, g)
	}
	return ok
}

// isSky says whether the word is a group of cloud, vertical visibility or clear sky.
func isSky(word string) bool {
	switch word {
	case "CLR", "SKC", "NSC", "NCD":
		return true
	}
	if len(word) >= 5 && word[:2] == "VV" {
		return isHeight(word[2:5]) && len(word) == 5
	}
	if len(word) < 6 {
		return false
	}
	switch word[:3] {
	case "OVC", "BKN", "SCT", "FEW", "///":
		return isHeight(word[3:6]) && isCloudType(word[6:])
	}
	return false
}

func isHeight(text string) bool {
	_, ok := digits(text)
	return ok || text == "///"
}

func isCloudType(text string) bool {
	return text == "" || text == "CB" || text == "TCU" || text == "///"
}

// isPressure says whether the word is an altimeter setting: A2992, Q1013, QNH2992INS.
func isPressure(word string) bool {
	if strings.HasPrefix(word, "QNH") && strings.HasSuffix(word, "INS") {
		return true
	}
	return len(word) == 5 && (word[0] == 'A' || word[0] == 'Q') && onlyDigitsAndSlashes(word[1:])
}

// isOther says whether the word is of a kind that says nothing of road weather: wind shear, sea state, airfield colour states, a closed
// airfield, or a note in brackets that the observer's desk left in.
func isOther(word string) bool {
	switch word {
	case "WS", "ALL", "RWY", "SNOCLO", "BLU", "BLU+", "WHT", "GRN", "YLO", "YLO1", "YLO2", "AMB", "RED":
		return true
	}
	isSea := len(word) >= 4 && word[0] == 'W' && (isDigit(word[1]) || word[1] == '/') && strings.IndexByte(word, '/') > 0
	return isSea || word[0] == '(' || strings.HasPrefix(word, "BLACK")
}

func onlyDigitsAndSlashes(text string) bool { return strings.Trim(text, "0123456789/") == "" }
