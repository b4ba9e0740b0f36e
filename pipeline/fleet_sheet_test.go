package pipeline

import (
	"fmt"
	"io"
	"time"
)

const sheetHeader = "pass_id,truck_id,crew_id,route_id,began_at,ended_at,from_mi,to_mi,lanes,material_id,rate_set_lb_per_lane_mi," +
	"dispensed_lb,dispensed_gal,plow_down,purpose\n"

// Materials of the district: every third route is an acetate one, every eleventh pass is of liquid.
const (
	acetate = "cma"
	salt    = "salt"
	brine   = "brine"
)

func materialOf(route int) string {
	if route%3 == 0 {
		return acetate
	}
	return salt
}

// WriteSheets writes the pass sheets of a storm day as one CSV file, and says how many rows it has.
func (f *fleet) WriteSheets(to io.Writer, day int) (rows int, err error) {
	text := []byte(sheetHeader)
	random := f.random(100_000+day, 0)
	for i := range f.size.PassesADay {
		truck := f.size.Trucks + i%f.size.SheetTrucks
		turn := i / f.size.SheetTrucks
		turns := (f.size.PassesADay-1)/f.size.SheetTrucks + 1
		began := f.dayBegin(day).Add(time.Duration(turn)*24*time.Hour/time.Duration(turns) + time.Duration(random.IntN(240))*time.Second)
		text = f.appendPass(text, sheetPass{day: day, number: i, truck: truck, route: f.chains[truck][turn%3], began: began,
			draw: random.Uint64()})
	}
	_, err = to.Write(text)
	return f.size.PassesADay, err
}

// sheetPass is one row of a sheet; draw decides what is not said here.
type sheetPass struct {
	day, number, truck, route int
	began                     time.Time
	draw                      uint64
}

func (f *fleet) appendPass(to []byte, p sheetPass) []byte {
	part := f.network.roads[p.route].lengthMi()
	if p.draw%5 == 0 { // a part of the route only
		part = float64(int(part*500)) / 1000
	}
	rate := 150 + float64(p.draw>>8%6)*25
	to = fmt.Appendf(to, "p%04d,t%04d,c%04d,r%04d", p.day*f.size.PassesADay+p.number, p.truck, p.truck%crews, p.route)
	to = appendTime(append(to, ','), p.began.Unix())
	to = appendTime(append(to, ','), p.began.Unix()+int64(part*140))
	to = append(appendFixed(append(to, ",0,"...), part, 3), ",1,"...)
	switch kind := p.draw >> 16 % 11; {
	case kind == 0:
		to = appendFixed(append(to, brine+",,,"...), part*40, 1)
	case kind < 4: // plow only
		to = append(to, ",,,"...)
	case kind == 4: // no count: the rate that was set tells
		to = fmt.Appendf(to, "%s,%.0f,,", materialOf(p.route), rate)
	default:
		to = fmt.Appendf(to, "%s,%.0f,", materialOf(p.route), rate)
		to = append(appendFixed(to, rate*part*(0.9+float64(p.draw>>24%200)/1000), 1), ',')
	}
	purpose := [...]string{"", "storm", "storm", "cleanup", "pretreat", "other"}[p.draw>>40%6]
	return fmt.Appendf(to, ",%t,%s\n", p.draw>>32%4 != 0, purpose)
}

const weatherHeader = "station_id,observed_at,air_f,surface_f,dew_f,wind_mph,visibility_mi,precip_in,present_wx\n"

// WriteWeather writes all observations as one CSV file, hour by hour, and says how many rows it has.
func (f *fleet) WriteWeather(to io.Writer) (rows int, err error) {
	text := append(make([]byte, 0, 1<<20), weatherHeader...)
	for hour := range f.size.WeatherHours {
		random := f.random(200_000, hour)
		for station := range f.size.Stations {
			text = f.appendObservation(text, station, hour, random.Uint64())
			rows++
		}
		if len(text) > 1<<19 || hour == f.size.WeatherHours-1 {
			if _, err := to.Write(text); err != nil {
				return rows, err
			}
			text = text[:0]
		}
	}
	return rows, nil
}

// appendObservation: snow on most hours of the three days of each storm, freezing rain and drift now and then, dry cold else.
func (f *fleet) appendObservation(to []byte, station, hour int, draw uint64) []byte {
	day, ofDay := hour/24, hour%24
	isStorm := day%cycleDays >= 1 && day%cycleDays <= stormDays && day/cycleDays*stormDays < f.size.StormDays
	air := 22 + float64(draw%140)/10 + 6*float64(min(ofDay, 24-ofDay))/12
	to = fmt.Appendf(to, "s%04d", station)
	to = appendTime(append(to, ','), winterBegin.Unix()+int64(hour)*3600+int64(station%20)*60)
	for _, value := range []float64{air, air - 3, air - 6, float64(draw>>8%300) / 10, 5} {
		to = appendFixed(append(to, ','), value, 1)
	}
	wet, kind := draw>>24%4 != 0, draw>>32%40
	switch {
	case isStorm && wet && kind == 0:
		return append(to, ",0.05,FZRA\n"...)
	case isStorm && wet && kind < 6:
		return append(to, ",0.03,RA\n"...)
	case isStorm && wet && kind < 10:
		return append(to, ",T,-PL\n"...)
	case isStorm && wet:
		return append(appendFixed(append(to, ','), float64(draw>>40%9)/100, 2), ",-SN\n"...)
	case draw>>24%400 == 1:
		return append(to, ",,BLSN\n"...)
	}
	return append(to, ",,\n"...)
}
