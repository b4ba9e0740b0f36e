// Package trace makes passes from the positions of trucks: which stretch of which route a truck worked, when, with what, and how many
// pounds went out.
//
// In: the positions of one truck. Order puts them in time order and keeps of each time the row in force; a Splitter cuts them into
// traces, between stops longer than PassGapMin; a Builder matches a trace to the route lines and cuts it into passes. A trace is worked
// out by itself: what a position becomes depends on nothing outside its trace, so a late position changes the traces it falls into and
// no other. The work is one walk over each trace as it comes; memory is that of the longest trace.
//
// What a report says (spreading, material, rate, lanes, plow, crew) holds from its time to that of the next one. A pass ends where the
// truck leaves the route or turns round, and where material, crew or work change; spreading that stops for no longer than SpreadGapS goes
// on. Between two positions the truck is taken to drive evenly: so a pass reaches to the junction, the turn or the end of the route
// between the last position on it and the next.
//
// Pounds are whole micro-pounds: those of all passes and those without one (Counts.UnplacedULb) are together exactly what the counter
// counted in the trace.
package trace
