package site

// methodsMaterial continues methodsMore: weighed loads, stock, money, water and timing.
var methodsMaterial = []methodsPart{
	{"material-words", "How weighed loads are held against spread pounds", []term{
		{"Weighed and spread", "For each truck, solid and week, Monday to Sunday: pounds loaded less returned by the tickets, over pounds that its passes report. A load belongs to the week of the truck's next pass with that material; one that no pass has followed yet, to the week in which it was loaded. The running ratio takes the sums over the weeks of the settings, four unless changed.", "own rule", "reconciliation"},
		{"Agrees", "One load may still lie in the box. So the running ratio counts as agreeing when the range between one largest load less and one more meets 1 give or take the tolerance. No tickets, no passes, and passes without a count are named before anything is judged.", "own rule", "reconciliation"},
		{"Set for another material?", "A spreader meters volume. Set up for another solid than it carries, it throws pounds in the ratio of the bulk densities: acetate pellets at 44 pounds a cubic foot (705 kg a cubic meter) on a rock-salt setting of 70 (1,121) give 0.63, the reverse 1.59. Named when the running ratio is within 0.06 of such a ratio, further than that from 1, over enough tickets. Crews' rows of that week leave the learning fit.", "common practice for the densities; own rule", "reconciliation"},
		{"Calibration due", "Never done for that material, or older than the settings' days by the Sunday of the week. Pounds a mile = pounds a minute times 60 over miles an hour; pounds a lane-mile = that over the lanes spread. 200 pounds a minute at 20 mph are 600 pounds a mile (91 kg a minute at 32 km/h, 169 kg a km).", "Minnesota field handbook for snowplow operators", "reconciliation"},
		{"By weighed loads", "A ticket covers its truck's passes with that material from its load to the truck's next one. Where tickets cover at least 90 % of a truck's passes in the week, weighed over spread of the running weeks scales each pass; not where a pass has unknown pounds, or where one load left over would decide. A route-storm has them only when every measured pass does. Files keep pounds as reported.", "own rule", "pass_corrections"},
		{"Depends on spreader settings", "The learning curve is fitted on reported pounds and again on the rows by weighed loads. Where both have a verdict and the two differ, the page says so and gives neither.", "own rule", "learning_rows_corrected"},
	}},
	{"stock-words", "How stock and its outlook are computed", []term{
		{"The book", "Per pile and material: the last count, then deliveries, adjustments and returns less loads out. What comes back is booked at the time of its load, the only one that a ticket has; an event at the time of a count stands before it. What a later count differs from the book by stands as a difference; more than two of the pile's largest loads below is a finding, shrinkage.", "own rule", "stock_book"},
		{"Need to the season's end", "Many draws. Each takes a past season's use after this date, scaled to today's lane-miles. With fewer than three past seasons: the number of storms still to come from a negative binomial, with the storms so far and the weeks they took, and pounds from all seasons' storms. Fewer than five storms: too early. p10, p50 and p90 are the tenth, half and ninth tenth of the draws.", "own rule; storms as a Poisson number with a gamma rate", "material_storms"},
		{"Choices of the outlook", "Weighed pounds count where truck-weeks with a load hold at least 90 % of the season's passes with the material, else pounds as reported. A past season without lane-miles of the class, where there are some today, cannot speak. The winter opens on the earliest date on which a storm of any season began, and counts as one week old at least; a storm to come falls on any day left until the last storm date of the settings, each as likely. A pile that was never counted has no outlook. Of few past seasons p10 and p90 are the lowest and the highest, which hold the next season in (k - 1) of (k + 1) cases: half for three, eight in ten for nine.", "own rule", "material_days"},
		{"Order by", "The first day on which p90 of the use in the delivery days after it exceeds what p50 of the use has left. The delivery days are a setting: delivery time and reserve are yours.", "own rule", ""},
		{"Seed", "The draws come from PCG, a generator with a printed seed: the same data and seed give the same draws.", "math/rand/v2", ""},
	}},
	{"money-words", "How money is computed", []term{
		{"Cost", "Pounds over 2,000 times the price in force on the pass's local date, prewet included. A missing price for pounds that were put down leaves the cost empty, never smaller. Per lane-mile: of the routes, or treated.", "prices.csv", "pass_costs"},
		{"Break-even price", "{Chloride} dollars per lane-mile less the {acetate} routes' prewet, over {acetate} tons per lane-mile: the price of {acetate} at which both would have cost the same. Same routes and storms as in the comparison, priced ones only. Material alone.", "own rule", "break_even"},
		{"Damage", "Tons times an amount that the district entered with its own source. Shown apart, labelled as an assumption, never added to a cost.", "the district's own text", "damage_assumptions"},
	}},
	{"water-words", "How water and timing are computed", []term{
		{"Chloride by watershed", "Pounds times the chloride fraction of materials.csv, over the routes that name the watershed. Sodium chloride holds 0.607 of its weight as chloride, magnesium chloride 0.745, calcium chloride 0.639.", "computed from atomic weights", "watershed_storms"},
		{"Chloride kept off by watershed", "By each {acetate} route's own chloride use in earlier seasons per lane-mile treated; else by its paired routes, else by the zone's {chloride} routes, in the same storm. The basis stands beside each figure. An estimate.", "own rule", "chloride_kept_off"},
		{"Oxygen demand", "{Acetate} pounds times the oxygen that its full decay takes up: 0.87 pounds a pound of calcium magnesium acetate at 3 parts calcium to 7 magnesium, 0.65 of potassium acetate. A load, not a concentration.", "computed from the reaction", "watershed_seasons"},
		{"Criteria", "Published concentrations stand beside the loads as context. No figure here states whether one is met.", "40 CFR 143.3; EPA 440/5-88-001 (from memory)", ""},
		{"Cold, wind, early, late", "Shares of pounds put down on pavement below the material's lowest working temperature; in wind at or above the caution speed; earlier before the storm than the settings' minutes without purpose pretreat; and routes first treated after 2 hours of snow. By storm and route, never by crew: an operator treats when sent. The usual reasons are common practice.", "own rule; reasons common practice", "timing"},
	}},
}

// sourcesMaterial continues sourcesMore.
var sourcesMaterial = []string{
	"40 CFR 143.3: secondary level of chloride in drinking water.",
	"EPA 440/5-88-001, 1988: chloride criteria for aquatic life (from memory).",
}
