package rows

// wording is what stands for a finding code: the kind that people sort by, and its words, which say what to do.
type wording struct{ code, kind, text string }

// The findings that the code acts on.
const (
	ServiceSlowerFinding = "service_slower"
	StockLowFinding      = "stock_low"
	ShrinkageFinding     = "shrinkage"
)

// table holds the words of every finding, the most urgent first: pounds that are not counted and missing logs, then service, settings,
// stock and
// calibrations, and last a storm that is still open. Doubts about weather reports are a list of their own.
var table = []wording{
	{code: "set_aside", kind: "set aside", text: "{amount} {unit} in {other:0} {other|row|rows} not counted: {name}"},
	{code: "set_aside_unread", kind: "set aside", text: "{other:0} {other|row|rows} not counted: {name}"},
	{code: "no_route_lines", kind: "no route lines",
		text: "{amount} positions are kept and no pass is made of them: reference/route_lines.geojson draws no route"},
	{code: "never_at_rest", kind: "file never at rest",
		text: "{amount} nights in a row it changed while it was read: its last rows come a night late, and all rows of a packed file " +
			"wait. Have it delivered under its name once it is finished"},
	{code: "no_log", kind: "no log", text: "{amount} other routes have passes in this storm, this one has none"},
	{code: ServiceSlowerFinding, kind: "service slower",
		text: "roads took longer to come bare as crews gained storms: look at road state before {word:pounds}"},
	{code: "wrong_setting", kind: "wrong setting",
		text: "{amount} weighed for each 1 spread of {name} in the weeks of {from:date} to {to:date}: set for {other_name}? Check the " +
			"spreader setting"},
	{code: StockLowFinding, kind: "stock running low",
		text: "{amount} {unit} on hand: order by {name}; delivery time and reserve are yours"},
	{code: "negative_stock", kind: "negative stock",
		text: "{amount} {unit} of {name} at the lowest by the book: check tickets, deliveries and the last count"},
	{code: ShrinkageFinding, kind: "shrinkage", text: countApart},
	{code: "count_above_book", kind: "count above book", text: countApart},
	{code: "calibration_due", kind: "calibration due",
		text: "{amount} days between the last calibration with {name} and the last week of spreading: check and calibrate"},
	{code: "never_calibrated", kind: "calibration due", text: "no calibration with {name} on record: check and calibrate"},
	{code: "zone_without_station", kind: "zone without station", text: "no weather station: its storms are those of the district"},
	{code: "no_weather", kind: "no weather", text: "{amount} stations of the zone, none of which reported in the storm"},
	{code: "weather_not_read", kind: "weather not read", text: "{amount} reports whose present weather does not decode"},
	{code: "same_truck_and_begin", kind: "same truck and begin",
		text: "{amount} passes, with and without a pass_id: one pass logged twice?"},
	{code: "route_without_line", kind: "route without line",
		text: "positions cannot be matched to it: draw it in reference/route_lines.geojson"},
	{code: "pounds_off_routes", kind: "pounds off the routes",
		text: "{amount} {unit} of {name}, {share:0} % of what the truck put out, went out on no pass: a route without a line, a " +
			"counter that runs in the yard, " +
			"hours without positions?"},
	{code: "weak_passes", kind: "weak passes",
		text: "{amount} {unit} on {other:0} {other|pass|passes} of {name} made of positions that are not certain enough to count: see " +
			"weak_passes"},
	{code: "sheet_crew", kind: sheetDiffers, text: "crew: sheet: crew {name}; positions: {other_name}"},
	{code: "sheet_lane_miles", kind: sheetDiffers, text: "{word:lane-mile}: sheet: {amount:1} {unit}; positions: {other:1}"},
	{code: "sheet_material", kind: sheetDiffers, text: "material: sheet: {name}; positions: {other_name}"},
	{code: "sheet_nothing_out", kind: sheetDiffers, text: "{word:pounds}: sheet: {amount:0} {unit}; positions: nothing went out"},
	{code: "sheet_pounds", kind: sheetDiffers, text: "{word:pounds}: sheet: {amount:0} {unit}; positions: {other:0} {other_unit}"},
	{code: "sheet_route", kind: sheetDiffers, text: "route: sheet: route {name}; positions: {other_name}"},
	{code: "sheet_time", kind: sheetDiffers, text: beside + ": both count"},
	{code: "sheet_time_of_another", kind: sheetDiffers, text: beside + ", which another sheet describes: both count"},
	{code: "pass_lanes", kind: "lanes or direction", text: "{amount} {unit} on route {name}: lanes or direction?"},
	{code: "route_lanes", kind: "lanes or direction",
		text: "{amount} {amount|application|applications} in {other:0} {other|round|rounds} of {name} {other_name}: lanes or direction?"},
	{code: "open_storm", kind: "open storm", text: "{amount} hours so far; its figures may still change"},

	{code: "stuck_air", kind: "stuck", text: unchanged +
		"another station of the zone moves: the sensor counts as stuck, and these temperatures are left out"},
	{code: "stuck_pavement", kind: "stuck",
		text: unchanged + "another pavement of the zone, or the air at this one, moves: the sensor counts as stuck, and these " +
			"temperatures are left out"},
	{code: "unchanged_air", kind: "unchanged, not judged",
		text: unchanged + "no other station of the zone reports, so a stuck sensor and still weather look alike; " +
			"the temperatures are used"},
	{code: "unchanged_pavement", kind: "unchanged, not judged",
		text: unchanged + "no other pavement of the zone reports, and the air beside it tells nothing (near freezing, or not " +
			"reported): look at the sensor; " +
			"the temperatures are used"},
	{code: "jump_left_out", kind: "jump", text: jump + "the reading is left out of every temperature"},
	{code: "jump_stands", kind: "jump", text: jump + "it stands, because a neighbour agrees with it"},
	{code: "clock_ahead", kind: "clock ahead",
		text: "{amount:0} reports lie over 1 h after everything else that was delivered ({from}); the station's clock is wrong, or the " +
			"other deliveries are late"},
	{code: "silent", kind: "silent in a storm", text: "no report for {amount:1} {unit} in the storm {name} while another station of " +
		"the district reports"},
	{code: "lower_hourly_sum", kind: "lower hourly sum", text: "the routine report gives less water than a special of its hour; it adds 0"},
	{code: "freezing_rain_sensor_out", kind: "freezing-rain sensor out", text: sensorOut},
	{code: "present_weather_sensor_out", kind: "present-weather sensor out", text: sensorOut},
	{code: "gauge_out", kind: "gauge out", text: sensorOut},
}

const (
	sheetDiffers = "sheet and positions differ"
	countApart   = "{amount} {unit} between the count of {name} on {to:date} and its book since the count on {from:date}: check " +
		"tickets, deliveries and both counts"
	beside    = "time: sheet: {from:clock} to {to:clock}; positions: {other_from:clock} to {other_to:clock} on route {name}"
	unchanged = "{name} reads {amount:1} {unit} for {other:1} {other_unit}; "
	jump      = "{name} changes by over {other:0} {other_unit}, to {amount:1} {unit}; "
	sensorOut = "{amount:0} {amount|report says|reports say} that the sensor does not work: what it would have told is missing, not " +
		"absent"
)

// words are the entries of the table by their code.
var words = func() map[string]wording {
	byCode := make(map[string]wording, len(table))
	for _, w := range table {
		byCode[w.code] = w
	}
	return byCode
}()
