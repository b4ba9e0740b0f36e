package pipeline

import (
	"math/rand/v2"
	"strconv"
	"time"
)

// fleetSize says how large a winter is.
type fleetSize struct {
	Trucks       int // that report positions
	StormDays    int // local days on which they are out
	PointsADay   int // positions of all trucks on such a day
	SheetTrucks  int // whose crews write pass sheets
	PassesADay   int // rows of the sheets on a storm day
	Stations     int
	WeatherHours int // hours of weather, one row a station and hour, from the begin of the winter
	Seed         uint64
}

// districtFleet is a district with a season of positions: 57 nights of 350,000 points and 4,000 pass rows, 20 million points in all.
func districtFleet() fleetSize {
	return fleetSize{Trucks: 60, StormDays: 57, PointsADay: 350_000, SheetTrucks: 160, PassesADay: 4000, Stations: 12,
		WeatherHours: winterDays * 24, Seed: 1}
}

// stateFleet is a state's: 57 nights of 5.26 million points of 1,000 trucks, 300 million points in all.
func stateFleet() fleetSize {
	return fleetSize{Trucks: 1000, StormDays: 57, PointsADay: 5_263_200, SheetTrucks: 160, PassesADay: 4000, Stations: 200,
		WeatherHours: winterDays * 24, Seed: 2}
}

// sheetFleet is a season of pass sheets: 300,000 passes and 870,000 observations.
func sheetFleet() fleetSize {
	return fleetSize{StormDays: 60, SheetTrucks: 200, PassesADay: 5000, Stations: 200, WeatherHours: 4350, Seed: 3}
}

// winterDays is the length of a winter.
const winterDays = 182

// winterBegin is the local midnight with which the winter begins; the district's time zone is fleetTimeZone, 6 h behind UTC all winter.
var winterBegin = time.Date(2029, time.November, 5, 6, 0, 0, 0, time.UTC)

// fleetTimeZone is the time zone of the invented districts.
const fleetTimeZone = "America/Chicago"

// pointS is the interval of the positions, seconds.
const pointS = 10

// fleet is an invented winter of a size, for measuring speed and memory: a network of roads, trucks that report their position every ten
// seconds from it, pass sheets of other trucks, and weather stations. It writes text by the contracts, day by day, so that no season ever
// stands whole on a disk or in memory. The same size gives the same bytes, and a day's bytes do not depend on which days were written
// before. What the trucks do is plausible, not true to any law: the demo district (package scenario) is the one whose truth is known.
type fleet struct {
	size    fleetSize
	network *network
	chains  [][]int // routes that each truck drives, one joining the next; trucks with positions first, then those with sheets
}

// newFleet lays out the roads and gives each truck its routes.
func newFleet(size fleetSize) *fleet {
	f := &fleet{size: size, network: newNetwork(size.Trucks+size.SheetTrucks, size.Seed)}
	for truck := range size.Trucks + size.SheetTrucks {
		f.chains = append(f.chains, f.network.chain(f.random(1, truck), truck))
	}
	return f
}

// random is a source of its own for each use, so that no draw moves another.
func (f *fleet) random(use, number int) *rand.Rand {
	return rand.New(rand.NewPCG(f.size.Seed<<8|uint64(use), uint64(number))) // #nosec G404 -- invented data, the same for a seed
}

// A storm lasts stormDays days; the next begins cycleDays after it began.
const (
	stormDays = 3
	cycleDays = 9
)

// dayBegin is the local midnight of a storm day.
func (f *fleet) dayBegin(day int) time.Time {
	return winterBegin.AddDate(0, 0, day/stormDays*cycleDays+1+day%stormDays)
}

// DayName is the local date of a storm day, YYYY-MM-DD.
func (f *fleet) DayName(day int) string {
	return f.dayBegin(day).Add(-6 * time.Hour).Format("2006-01-02")
}

// appendFixed appends a number with so many digits behind the point.
func appendFixed(to []byte, number float64, digits int) []byte {
	return strconv.AppendFloat(to, number, 'f', digits, 64)
}

// appendTime appends a time, RFC 3339 in UTC.
func appendTime(to []byte, atS int64) []byte {
	return time.Unix(atS, 0).UTC().AppendFormat(to, "2006-01-02T15:04:05Z")
}
