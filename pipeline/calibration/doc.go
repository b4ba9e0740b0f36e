// Package calibration turns catch tests of a spreader into a card for the cab: pounds per mile by gate and speed, pounds per
// lane-mile by lanes, and the gate for a wanted rate.
//
// In come samples caught in a pail and calibrations on record; out comes a Card, and its two printed forms. The package reads
// and writes no file, knows no clock, and holds no setting. A card is help for people at the truck: local policy, the maker's
// manual and the supervisor decide.
package calibration
