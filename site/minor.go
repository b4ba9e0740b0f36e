package site

// leastWaterIn is the water, in inches, from which a storm is not minor; the same amount keeps a lone report as a storm.
const leastWaterIn = 0.01

// isMinor tells a closed storm without any pass in it and under leastWaterIn of water wherever an amount is known. A storm
// with no amount at all is not minor: nothing says how little it was.
func (b *book) isMinor(e event) bool {
	isKnown := false
	for _, zone := range e.Zones {
		if len(b.passesByStorm[stormZone{e.ID, zone.ZoneID}]) > 0 || (zone.PrecipIn != nil && *zone.PrecipIn >= leastWaterIn) {
			return false
		}
		isKnown = isKnown || zone.PrecipIn != nil
	}
	return isKnown && !e.IsOpen && len(b.rowsByStorm[e.ID]) == 0
}

// minorCount counts the minor storms among events.
func (b *book) minorCount(events []event) int {
	n := 0
	for _, e := range events {
		if b.isMinor(e) {
			n++
		}
	}
	return n
}
