// Package matching tells on which route, and at which mile of it, a truck was at each of its reported positions.
//
// In: the routes as lines drawn in the direction of increasing miles (Network), then a truck's positions in time order (Matcher).
// Out: one Place for each position: a route and the distance along it, or off the network, or unusable (a jump, a frozen receiver).
//
// The matcher is a hidden Markov model after Newson and Krumm, "Hidden Markov Map Matching Through Noise and Sparseness" (ACM SIGSPATIAL
// GIS, 2009): a position lies near the road it was taken on (emission), and the way along the roads between two positions is about as
// long as the straight line between them (transition). Added here: a state off the network, so that trucks may leave the routes; the
// direction of travel against the direction of the road; a heavier tail than the normal one, since a single bad position must not decide.
// The most likely sequence is found as positions come (Viterbi), and is told as soon as all surviving sequences agree on it, at the
// latest after MaxLag positions. So memory does not grow with the length of a trace.
//
// Lengths are metres on the WGS 84 ellipsoid: each segment of a line is measured with the radii of curvature of the meridian and of the
// prime vertical at its middle latitude. The sphere of paulmach/orb has the equatorial radius, 6,378,137 m, which is 0.11 % more than
// the earth's mean radius, 6,371,009 m; its lengths are not used.
//
// Nothing here reads a file or a clock. A Network does not change and may be shared; a Matcher belongs to one goroutine. The same
// positions give the same places.
package matching
