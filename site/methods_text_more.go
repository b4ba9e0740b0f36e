package site

// methodsMore continues methodsText: weather, severity, learning and comparison.
var methodsMore = []methodsPart{
	{"severity-words", "How severe a storm was", []term{
		{"Severity of a storm", "The square root of (ST x Ti x Wi + Bi + Tp + Wp - a) / b, 0 where the sum is below 0, so that it runs from 0 to 1. ST is what fell, Ti the pavement temperature during the storm, Wi the wind, Bi how the storm began, Tp and Wp temperature and wind after it. The storm alone is the same with Tp and Wp at 0.", "Nixon and Qiu 2005, Transportation Research Record 1911; its structure seen, its coefficients from memory: see the table of classes", "storm_severity"},
		{"How reports map to the classes", "Our own choice: ST is freezing rain when freezing rain and sleet hold at least a third of the hours with any kind; else snow by inches in 24 hours, from snow depths where they are reported, else ten times the water. 2 and 6 inches are medium snow. 25 and 32 °F are the middle class of pavement temperature; air stands in for pavement. Wind of 15 mph and more is strong. A storm begins as rain when rain or drizzle fell in the 3 hours before. After the storm: 12 hours against its last 3; a change of up to 2 °F is the same. A class without data leaves the severity empty.", "own rule", "storm_severity"},
		{"Severity of a season", "Points of each day by its highest and lowest air temperature, from the season's first measurable snowfall, freezing day or 1 December to its last, or the end of February. Temperature part only: points for snowfall and depth are left out because their published table could not be held against its source. Beside it plain exposures: hours of snow, of freezing rain, water, lowest temperature, hours of wind above 15 mph.", "Accumulated Winter Season Severity Index, Mayes Boustead and others 2015; daily points from memory", "season_severity"},
		{"Frost and refreeze", "Frost: reports of pavement at or below 32 °F and at or below the dew point, without precipitation, from the second on, gaps of at most 2 hours. Refreeze: pavement falling through 32 °F within 12 hours after a storm. A pass outside storms that shares an instant with one has it as its reason.", "own rule; that frost forms on a surface at or below both is common practice", "frosts"},
		{"Doubts about reports", "A sensor that does not move for longer than the setting while its neighbours do is stuck; a reading more than 20 °F from both neighbours jumps. Both are left out of every temperature. A clock ahead, a silence in a storm and sums that fall are listed and change nothing.", "own rule", "weather_findings"},
	}},
	{"learning-words", "How learning is computed", []term{
		{"The curve", "The logarithm of each rate of one crew on one route in one storm, acetate solids, fitted on the logarithm to base 2 of 1 + acetate storms worked before, with mean air temperature, inches of water an hour and freezing rain of the storm in the same fit. Storm, route and crew, and each crew's own slope, are random effects; all seasons together. Restricted maximum likelihood.", "linear mixed model as in Bates and others 2015, Journal of Statistical Software 67(1)", "learning_rows"},
		{"Change per doubling", "What the rate does each time 1 + storms worked doubles, in percent, in mean weather. 90 % interval by Student's t with Satterthwaite's degrees of freedom. Falling: the whole interval below 0; rising: above; settled: within 2 % of 0; else no clear trend. A learning curve in doublings is the unit form, not the cumulative average.", "Wright 1936 for the curve; own rule for the words", ""},
		{"Cannot be told from an order", "Where a step at the date of an order, put into the fit, moves the interval over 0. Orders are drawn on every trend.", "own rule", ""},
		{"Beside salt", "A second fit holds acetate and salt rates of the same storms. The starting ratio is acetate over salt in a crew's first storm; the usual band, 1.25 to 1.50, is common practice. Beyond salt: acetate rates fell more than salt's own moved.", "own rule; the band is common practice", "beside_salt_rows"},
		{"Service", "Hours to bare lane, with 1 added, against the experience of the crews. Held: the upper end of the change is within the settings' margin, at most a tenth of the reported route-storms stayed not bare, and at least four fifths have reports. Slower: the whole interval above 0. A falling rate is never shown without it.", "own rule", "service_rows"},
		{"Crews", "Each crew's slope from the same fit, with its prediction error. A crew is set apart only when Holm's adjustment over all crews leaves less than a tenth of a chance. Crews are not ranked.", "Holm 1979", ""},
		{"For review", "Rates whose residual lies more than 3.5 robust deviations from the middle. They stay in the fit.", "Iglewicz and Hoaglin 1993, from memory", ""},
		{"Why more, why less", "A route's pounds of a storm against the middle of its own storms of the season, parted on the log scale into applications and rate. Only outside the middle half, and from 8 storms on.", "own rule", "storm_reasons"},
	}},
	{"comparison-words", "How the comparison is computed", []term{
		{"Which routes", "Where a zone has pairs in pairs.csv, those; else all its routes with a class on the storm's date. Left out, and counted: mixed (over a tenth of the pounds of the other class), unmeasured (over a tenth of the treating passes without pounds), no record (nothing tells what was done; 0 lb needs evidence).", "own rule", "comparison_routes"},
		{"Total ratio", "Acetate pounds per lane-mile of route over chloride's, each a sum over the season's compared storms and zones, zeros included. Interval: leaving out one storm at a time, on the log scale, 90 %, approximate.", "jackknife; own rule", "comparison"},
		{"About the same", "When the 90 % interval lies within the margin set before the season, on both sides: two one-sided tests at 5 %. Less or more: wholly on one side of 1 and not within. Else not yet known, with the smallest margin these storms could show. Never shown without the roads.", "two one-sided tests, Schuirmann 1987 (from memory)", "comparison"},
		{"Roads in the comparison", "Mean over storms of acetate's less chloride's hours to bare lane, with a t interval. No worse: its upper end within the settings' margin. Worse: the whole interval above 0.", "own rule", "comparison"},
		{"Adjusted ratio", "Of routes that changed from chloride to acetate, against the same chloride routes before and after. Fewer than three such routes give a ratio without interval or verdict.", "difference in differences; own rule", "comparison"},
		{"Chloride kept off", "What an acetate route would have got in chloride, less what it got: by its own earlier seasons' use, else its paired routes' or the zone's chloride routes' in the same storm.", "own rule", "chloride_kept_off"},
		{"What was used", "Quartiles of rates by material, pavement temperature and kind of storm. The handbook's rates for salt are guidance for the middle of a range; they are no floor for acetate, and nothing here proposes a rate.", "Maine DOT treatment table, NTL 14387 appendix", "used_rates"},
		{"On course", "None of the five claims contradicted, and roads shown to be no worse: in the comparison and by the service guard. Start: the interval of the starting ratio lies within 1.25 to 1.50. Rates: falling, and beyond salt. Applications: fewer. Pounds: about the same or less.", "own rule", ""},
	}},
}

// sourcesMore continues sources.
var sourcesMore = []string{
	"Nixon and Qiu 2005, Transportation Research Record 1911: a severity index of single storms (coefficients from memory).",
	"Mayes Boustead and others 2015: Accumulated Winter Season Severity Index (daily points from memory).",
	"Bates, Mächler, Bolker, Walker 2015, Journal of Statistical Software 67(1): linear mixed models.",
	"Wright 1936: learning curves.",
	"Maine DOT treatment table, NTL 14387 appendix: rates of salt by pavement temperature.",
}
