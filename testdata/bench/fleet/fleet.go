package fleet

import (
	"math/rand/v2"
	"time"
)

// Size says how large a winter is.
type Size struct {
	Trucks       int // that report positions
	StormDays    int // local days on which they are out
	PointsADay   int // positions of all trucks on such a day
	SheetTrucks  int // whose crews write pass sheets
	PassesADay   int // rows of the sheets on a storm day
	Stations     int
	WeatherHours int // hours of weather, one row a station and hour, from the begin of the winter
	Seed         uint64
}

// District is a district with a season of positions: 57 nights of 350,000 points and 4,000 pass rows, 20 million points in all.
func District() Size {
	return Size{Trucks: 60, StormDays: 57, PointsADay: 350_000, SheetTrucks: 160, PassesADay: 4000, Stations: 12,
		WeatherHours: winterDays * 24, Seed: 1}
}

// State is a state's: 57 nights of 5.26 million points of 1,000 trucks, 300 million points in all.
func State() Size {
	return Size{Trucks: 1000, StormDays: 57, PointsADay: 5_263_200, SheetTrucks: 160, PassesADay: 4000, Stations: 200,
		WeatherHours: winterDays * 24, Seed: 2}
}

// Sheets is a season of pass sheets: 300,000 passes and 870,000 observations.
func Sheets() Size {
	return Size{StormDays: 60, SheetTrucks: 200, PassesADay: 5000, Stations: 200, WeatherHours: 4350, Seed: 3}
}

// winterDays is the length of a winter.
const winterDays = 182

// winterBegin is the local midnight with which the winter begins; the district's time zone is TimeZone, six hours behind UTC all winter.
var winterBegin = time.Date(2029, time.November, 5, 6, 0, 0, 0, time.UTC)

// TimeZone is the time zone of the invented districts.
const TimeZone = "America/Chicago"

// pointS is the interval of the positions, seconds.
const pointS = 10

// Fleet is an invented winter of a size.
type Fleet struct {
	size    Size
	network *network
	chains  [][]int // routes that each truck drives, one joining the next; trucks with positions first, then those with sheets
}

// New lays out the roads and gives each truck its routes.
func New(size Size) *Fleet {
	f := &Fleet{size: size, network: newNetwork(size.Trucks+size.SheetTrucks, size.Seed)}
	for truck := range size.Trucks + size.SheetTrucks {
		f.chains = append(f.chains, f.network.chain(f.random(1, truck), truck))
	}
	return f
}

// random is a source of its own for each use, so that no draw moves another.
func (f *Fleet) random(use, number int) *rand.Rand {
	return rand.New(rand.NewPCG(f.size.Seed<<8|uint64(use), uint64(number))) // #nosec G404 -- invented data, the same for a seed
}

// A storm lasts stormDays days; the next begins cycleDays after it began.
const (
	stormDays = 3
	cycleDays = 9
)

// dayBegin is the local midnight of a storm day.
func (f *Fleet) dayBegin(day int) time.Time {
	return winterBegin.AddDate(0, 0, day/stormDays*cycleDays+1+day%stormDays)
}

// DayName is the local date of a storm day, YYYY-MM-DD.
func (f *Fleet) DayName(day int) string {
	return f.dayBegin(day).Add(-6 * time.Hour).Format("2006-01-02")
}
