// Package fleet invents the deliveries of a large winter, for measuring speed and memory: a network of roads, trucks that report
// their position every ten seconds from it, pass sheets of other trucks, and weather stations.
//
// In: sizes and a seed. Out: text by the contracts, written day by day, so that no season ever stands whole on a disk or in memory. The
// same sizes and seed give the same bytes, and a day's bytes do not depend on which days were written before. What the trucks do is
// plausible, not true to any law: the demo district (package scenario) is the one whose truth is known.
package fleet
