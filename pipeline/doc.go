// Package pipeline is the nightly run: deliveries -> storms -> passes in storms -> tally -> site.
//
// What comes in: a district folder (district.toml, reference/*.csv, inbox/<feed>/*). What goes out: archive/, ledger.duckdb,
// log/ and a new release under releases/, to which the link current points. Killed anywhere, the link still
// points to the last whole release, and the next run begins again from the deliveries.
//
// # Nomenclature
//
// One word per idea:
//
//   - A delivery is a file in inbox/<feed>/. Each of its rows ends as accepted, duplicate, correction or quarantined.
//   - An observation is one report of one weather station. It is wintry or not.
//   - A run is a sequence of wintry observations of one district without a gap over storm_gap_h. A kept run is a storm,
//     with one interval per zone.
//   - A pass is one truck travelling a stretch once. A treating pass puts material down; a plow-only pass does not.
//   - An application is material put on a stretch of lane once; a round is the passes that together cover a route about once.
//   - A lane-mile is one mile of one lane. A pass is placed when its lane-miles are known and measured when its pounds are.
//
// Passes nest in rounds, rounds in a storm and route, storms in a season (1 July to 30 June, local date).
package pipeline
