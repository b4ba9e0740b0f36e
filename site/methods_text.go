package site

// The words of the methods page. Where a figure has an outside source the term names it; `Common practice` marks a fact
// of the trade without a published source, `own rule` what this program decided.
var methodsText = []methodsPart{
	{"words", "Words", []term{
		{"Lane-mile", "One mile of one lane. A two-lane road of 5 miles has 10 lane-miles.", "Common practice", ""},
		{"Pass", "One truck travelling a stretch once, plowing, spreading or both. A treating pass put material down; a pass whose count is 0 is plow-only.", "own rule", "storm_passes"},
		{"Application", "Material put on a stretch of lane once. Applications per storm are full-route equivalents: treated lane-miles divided by the route's lane-miles.", "Common practice", "storm_routes"},
		{"Coverage", "Each tenth of a mile of a route with what reached it, a pass spread evenly over its miles within the route, one without miles over the whole route, one without length or beyond the route's end in the nearest tenth. Missed: no pass in a storm that reached other tenths. Doubled: at least 1.8 times the applications of the middle one of the reached tenths. Passes that plow only and spots of unknown lane-miles are in no stretch.", "own rule", "coverage_tenths"},
		{"Round", "Passes that together cover the route about once. A pass opens a new round after the settings' round gap, or when the round would exceed the route's lane-miles by more than a tenth.", "own rule", "round_gaps"},
		{"Season", "1 July to 30 June, by local date of the storm's begin.", "own rule", "storms"},
		{"Acetate, chloride, abrasive", "The material classes of materials.csv. Solids and liquids never share a rate; liquids count as the dry pounds in them.", "Common practice", ""},
		{"As of", "The latest instant among accepted passes, observations, tickets, stock and condition reports. Ages and open storms are counted from it, not from the clock on the wall.", "own rule", "as_of"},
	}},
	{"storms", "Storms", []term{
		{"Wintry observation", "A station report of snow without rain, or of freezing rain or drizzle, at any temperature; of snow grains, ice pellets, small hail, or snow with rain, at 40 °F (4.4 °C) or below or with no temperature; of rain, drizzle, hail or unidentified precipitation at 32 °F (0 °C) or below; of an amount without a kind at 34 °F (1.1 °C) or below. Pavement temperature decides where it is reported, else air. Blowing snow keeps a storm open and begins none.", "own rule; codes of present weather as in the Federal Meteorological Handbook No. 1", "wintry_observations"},
		{"Storm", "Wintry observations of a district's stations whose gaps are at most the storm gap. Kept when it has two such observations at different times or 0.01 inch (0.025 cm) of water; else it is a flurry, counted and not kept. There is no standard dry gap that ends a storm: 6 hours is usual in rainfall work (from memory), so the gap is a setting.", "own rule", "storms"},
		{"Storm in a zone", "From the first to the last wintry observation of that zone's stations. A zone that saw none takes the whole interval and the kind dry. A declared storm in storms.csv stands in place of the one computed.", "own rule", "storms"},
		{"Open storm", "Its last wintry observation lies less than the storm gap before the end of the data. It is shown dashed and enters no season figure.", "own rule", "storms"},
		{"Kind", "Freezing rain, sleet or snow when that kind has at least 60 % of the hours with any; mixed when none has, or when half an hour or more of freezing rain stands beside another kind; unclassed when no report names one.", "own rule", "storms"},
		{"Water", "Sum of the amounts that each station reported in the storm, then the mean over the zone's stations that reported any. A trace adds 0.", "own rule", "storms"},
		{"Air and pavement temperature", "Over the zone's observations in the storm; readings that jump by over 20 °F (11.1 °C) from both neighbours or stick are left out. The pictures show hourly means.", "own rule", "storms"},
	}},
	{"passes", "From pass to storm", []term{
		{"Which storm a pass belongs to", "The storm of its route's zone nearest to its begin, within reach: hours before a storm for pretreatment, longer for liquids, and hours after it for cleanup. A pass marked pretreat goes to a storm ahead, one marked cleanup to a storm behind. What fits none is counted outside storms, so storms and outside together hold every pass.", "own rule", "storm_passes"},
		{"Placed", "The pass's lane-miles are known: given, or from mileposts and lanes, or the whole route. A spot treatment is not placed.", "own rule", "storm_passes"},
		{"Measured", "The pass's pounds are known: the controller's count, else the set rate times the lane-miles.", "own rule", "storm_passes"},
	}},
	{"routes", "What a route got in a storm", []term{
		{"Rate", "Pounds per treated lane-mile: the sum of pounds of placed passes divided by the sum of their lane-miles. A ratio of sums, never a mean of ratios. Empty where no lane-mile is measured.", "own rule", "storm_routes"},
		{"Per storm", "Pounds per lane-mile of route: all pounds of the storm divided by the route's lane-miles. Where every pass is placed and measured it equals rate times applications.", "own rule", "storm_routes"},
		{"Covered", "Share of the route's length that treating passes reached at least once.", "own rule", "storm_routes"},
		{"After the storm's begin", "Minutes from the zone's first wintry report to the first treating pass; negative when it came before. Give or take the station's reporting interval.", "own rule", "storm_routes"},
		{"On cold pavement", "Share of treated lane-miles put down on pavement below the material's lowest working temperature in materials.csv. Pavement temperature is the latest of the 90 minutes before the pass; air stands in where there is none.", "own rule", "storm_routes"},
		{"In wind", "Share of treated lane-miles put down while the zone's latest wind was at or above the caution speed.", "own rule", "storm_routes"},
		{"Bare lane after", "Hours from the storm's end in the zone to the first report of bare lane after which no report says otherwise, within the regain window. Not bare: reports came and the last ones were not bare. No reports: nobody reported, which is not the same. Open: the window is not over.", "own rule; a road state as reported, an outcome where pounds are an output (the distinction of NCHRP Research Report 889)", "storm_routes"},
		{"Chloride", "Pounds times the chloride fraction of materials.csv, solids, liquids and prewet together. Sodium chloride holds 0.607 of its weight as chloride by the elements' molar masses.", "computed from published atomic weights", "storm_routes"},
		{"Cost", "Pounds at the price in force on the pass's local date, prewet included. Empty where a price is missing.", "prices.csv", "storm_routes"},
	}},
	{"season-figures", "The season's figures", []term{
		{"Season so far", "Sums over all closed storms: solids of a class on every route that got some. A route that got none of a class in a storm is not in that class's figures.", "own rule", "tallies"},
		{"First and latest third", "Of the closed storms in which the class has a rate, by their begin; a remainder falls in the middle. At least three such storms are needed. Storms differ in weather: temperature and road state stand beside for that reason, and the difference between thirds is no verdict.", "own rule", "solids"},
		{"Hours to bare lane of many routes", "Mean over the route-storms reported bare, weighted by lane-miles. Route-storms that did not come bare are counted beside it.", "own rule", "tallies"},
		{"Experience", "{Acetate} storms that a crew worked before, of any form, plus what crews.csv says it brought along.", "own rule", "crew_storms"},
	}},
	{"rows", "Delivered rows", []term{
		{"Counted, duplicate, correction, set aside", "The first row of a key is counted; a later one with the same values is a duplicate, with other values a correction that takes effect. A row that breaks the feed's contract is set aside with its reason. The four add up to the rows read, for each file. Every row is told anew each night, so a truck that is added to trucks.csv brings its rows back.", "own rule", ""},
		{"A missing value", "An empty field in the files and a dash on these pages; never 0.", "own rule", ""},
	}},
}

// cautions are shown whole on the methods page.
var cautions = []string{
	"These pages report the past. They give no instruction to cut rates: agency policy and level of service come first, then the operator's and supervisor's judgment, sensors and forecasts, the safety data sheet, and a handbook as a starting point.",
	"A low rate is no success when roads take longer to come bare, snow bonds, or passes must be repeated. Crews are not ranked by pounds.",
	"Pavement temperature, not air, decides how a material works; air is a stand-in. Bridge decks freeze first.",
	"Below about 15 °F (−9.4 °C) chemicals are not cost-effective and more of them does not help. Acetates work slowly below about 20 °F (−6.7 °C), in freezing rain and in dry snow (common practice; published limits disagree).",
	"Liquids are unsuitable before freezing rain. Wetting a cold dry pavement in drifting snow traps the snow.",
	"After a storm the melt dilutes and can refreeze. Abrasives give traction and melt nothing.",
	"Dust of solid deicers: mask, eye protection, gloves, washing. The product's label and safety data sheet say what it needs.",
	"Counts come from spreaders' controllers, which drift between calibrations and may be set up for another material than they carry.",
}

// sources names the published works that the terms lean on.
var sources = []string{
	"Federal Meteorological Handbook No. 1, Surface Weather Observations and Reports: groups of present weather.",
	"NIST Special Publication 811 and NIST Handbook 44: pound, mile, US gallon, inch and short ton.",
	"FHWA-RD-95-202, Manual of Practice for an Effective Anti-icing Program: phase diagrams of deicers and what limits them.",
	"NCHRP Research Report 889: inputs, outputs and outcomes of winter maintenance told apart.",
	"Minnesota field handbook for snowplow operators: cost-effective pavement temperatures.",
}
