package book

// LeastWaterIn is the water, in inches, from which a storm is not minor; the same amount keeps a lone report as a storm.
const LeastWaterIn = 0.01

// IsMinor tells a closed storm without any pass in it and under LeastWaterIn of water wherever an amount is known. A storm
// with no amount at all is not minor: nothing says how little it was.
func (b *Book) IsMinor(e Event) bool {
	isKnown := false
	for _, zone := range e.Zones {
		if len(b.PassesByStorm[StormZone{e.ID, zone.ZoneID}]) > 0 || (zone.PrecipIn != nil && *zone.PrecipIn >= LeastWaterIn) {
			return false
		}
		isKnown = isKnown || zone.PrecipIn != nil
	}
	return isKnown && !e.IsOpen && len(b.RowsByStorm[e.ID]) == 0
}

// MinorCount counts the minor storms among events.
func (b *Book) MinorCount(events []Event) int {
	return CountOf(events, b.IsMinor)
}
