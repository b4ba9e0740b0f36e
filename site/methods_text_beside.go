package site

// methodsBeside continues methodsMaterial: what the pages say beside the figures.
var methodsBeside = []methodsPart{
	{"beside", "What stands beside the figures", []term{
		{"Minor storm", "A closed storm without any pass in it in which every zone with a reported amount has under 0.01 inch (0.025 cm) of water, and at least one has an amount. It counts as a storm everywhere; lists of storms and the season's strip keep it behind a switch.", "own rule", "storms"},
		{"Storms alike", "Other closed storms of the same kind whose severity in the zone lies within 0.1 of the storm's. They are alike in what the index knows: what fell, temperature and wind.", "own rule", "storm_severity"},
		{"The same date", "A season that is still running stands beside each other season to the same day and hour of its year, and beside all of it.", "own rule", "season_dates"},
		{"Finding", "What the figures cannot settle by themselves, said of a thing, a route, a setting or the data, never of a crew. The season page has at most seven lines of them, the data page each one.", "own rule", "findings"},
		{"Since last night", "A figure of a past storm that a late or corrected delivery or a changed reference table moved: from what to what, and what moved it.", "own rule", "since_last_night"},
		{"Doubt let pass", "A night whose figures moved further than the settings allow is held back until a person lets it pass and says why. The doubt and the reason stay on record.", "own rule", "gate_causes"},
		{"Assignment", "The class of material and the crew that assignments.csv gives a route from a date on. What was put down may differ: a route's rows tell it by class.", "assignments.csv", ""},
		{"Begins and ends from remarks", "Minutes at which a station's remarks say that something began or ended to fall. Shown beside the storm; they neither open nor close it.", "Federal Meteorological Handbook No. 1 for the remarks", "weather_events"},
		{"Column not read", "A column of a delivery that no contract names. It is kept out of every figure and listed, until district.toml maps it to a name that is read.", "own rule", ""},
		{"Setting", "A number that the district may set in district.toml. Those in force stand on this page; figures are computed whole each night, so a changed setting changes past storms too.", "district.toml", ""},
	}},
}
