package pipeline

import (
	"fmt"
	"io"
	"math"
	"math/rand/v2"
	"strconv"
)

// crumbHeader are the columns of the positions, as in the contract of breadcrumbs.
const crumbHeader = "truck_id,at,lat,lon,speed_mph,spreading,rate_lb_per_lane_mi,dispensed_total_lb,material_id,plow_down,lanes,crew_id\n"

// One row in badRows is damaged, and one in doubleRows is delivered twice.
const (
	badRows    = 20_000
	doubleRows = 5_000
)

// What the trucks do: two shifts a storm day; out along their routes and back, spreading outwards and plowing all the way; a stop at the
// yard, where they load, when they are back.
const (
	noiseM       = 6
	loadingS     = 15 * 60 // longer than the stop that ends a trace
	mostLb       = 16_000
	lanesServed  = 1
	slowMS       = 9.0
	fastMS       = 17.0
	firstShiftS  = 2 * 3600
	secondShiftS = 13 * 3600
)

// drive is a truck on its way.
type drive struct {
	fleet    *fleet
	random   *rand.Rand
	text     []byte
	truck    int
	chain    []int
	isBack   bool    // on the way back
	leg      int     // place in the chain
	isUp     bool    // with the miles of the road it is on
	alongM   float64 // of that road
	piece    int
	speedMS  float64
	rate     float64
	totalLb  float64
	restS    int // left at the yard
	rows     int
	town     int
	material string
	name     string // and tail: the begin of its rows and their end
	tail     string
}

// WriteCrumbs writes the positions of all trucks on a storm day, as one CSV file, and says how many rows it has.
func (f *fleet) WriteCrumbs(to io.Writer, day int) (rows int, err error) {
	text := append(make([]byte, 0, 1<<20), crumbHeader...)
	for truck := range f.size.Trucks {
		d := f.newDrive(truck, day)
		d.text = text
		points := f.size.PointsADay*(truck+1)/f.size.Trucks - f.size.PointsADay*truck/f.size.Trucks
		if err := d.run(to, f.dayBegin(day).Unix(), points); err != nil {
			return rows, err
		}
		text, rows = d.text[:0], rows+d.rows
	}
	return rows, nil
}

func (f *fleet) newDrive(truck, day int) *drive {
	d := &drive{fleet: f, random: f.random(2+day, truck), truck: truck, chain: f.chains[truck], material: materialOf(f.chains[truck][0]),
		name: fmt.Sprintf("t%04d,", truck), tail: fmt.Sprintf(",1,c%04d\n", truck%crews)}
	d.town = f.network.roads[d.chain[0]].from
	d.enter(0)
	return d
}

// run drives until it has made so many points.
func (d *drive) run(to io.Writer, midnightS int64, points int) error {
	seconds := int64(firstShiftS + d.truck%60*7)
	for made := range points {
		if made == points/2 {
			d.restS = 0
			seconds = max(seconds+1800, int64(secondShiftS+d.truck%60*7))
		}
		d.report(midnightS + seconds)
		if len(d.text) > 1<<20-400 {
			if _, err := to.Write(d.text); err != nil {
				return fmt.Errorf("positions of truck %d: %w", d.truck, err)
			}
			d.text = d.text[:0]
		}
		d.move()
		seconds += pointS
	}
	_, err := to.Write(d.text)
	return err
}

// enter takes the next road of the chain.
func (d *drive) enter(leg int) {
	d.leg = leg
	r := &d.fleet.network.roads[d.chain[leg]]
	d.isUp = r.from == d.town
	d.town = d.fleet.network.otherEnd(d.chain[leg], d.town)
	d.alongM, d.piece = 0, 0
	if !d.isUp {
		d.alongM, d.piece = r.lengthM(), len(r.alongM)-2
	}
	d.speedMS = slowMS + (fastMS-slowMS)*d.random.Float64()
	d.rate = 150 + 50*float64(d.random.IntN(4))
}

// move drives on for one interval.
func (d *drive) move() {
	if d.restS > 0 {
		d.restS -= pointS
		return
	}
	goM := d.speedMS * (0.9 + 0.2*d.random.Float64()) * pointS
	for {
		length := d.fleet.network.roads[d.chain[d.leg]].lengthM()
		leftM := d.alongM
		if d.isUp {
			leftM = length - d.alongM
		}
		stepM := min(goM, leftM)
		if d.isSpreading() {
			d.totalLb += d.rate * lanesServed * stepM / metresAMile
		}
		if d.isUp {
			d.alongM += stepM
		} else {
			d.alongM -= stepM
		}
		goM -= stepM
		if goM <= 0 {
			return
		}
		if d.turn(); d.restS > 0 {
			return
		}
	}
}

// turn goes on to the next road, turns round at the last, or comes home.
func (d *drive) turn() {
	switch {
	case !d.isBack && d.leg+1 < len(d.chain):
		d.enter(d.leg + 1)
	case !d.isBack:
		d.isBack = true
		d.enter(d.leg)
	case d.leg > 0:
		d.enter(d.leg - 1)
	default:
		d.isBack, d.restS = false, loadingS
		d.enter(0)
		if d.totalLb > mostLb {
			d.totalLb = 0
		}
	}
}

func (d *drive) isSpreading() bool { return !d.isBack && d.restS <= 0 }

// position finds the truck on its road.
func (d *drive) position() (x, y float64) {
	r := &d.fleet.network.roads[d.chain[d.leg]]
	for d.piece+2 < len(r.alongM) && r.alongM[d.piece+1] < d.alongM {
		d.piece++
	}
	for d.piece > 0 && r.alongM[d.piece] > d.alongM {
		d.piece--
	}
	i := d.piece
	share := (d.alongM - r.alongM[i]) / (r.alongM[i+1] - r.alongM[i])
	return r.x[i] + share*(r.x[i+1]-r.x[i]), r.y[i] + share*(r.y[i+1]-r.y[i])
}

// noise is nearly normal, by the sum of four even draws, and cheap.
func (d *drive) noise() float64 {
	bits := d.random.Uint64()
	sum := float64(bits&0xffff) + float64(bits>>16&0xffff) + float64(bits>>32&0xffff) + float64(bits>>48)
	return noiseM * math.Sqrt(3) * (sum/65536 - 2)
}

// report writes one row, now and then a damaged one, or one twice.
func (d *drive) report(atS int64) {
	x, y := d.position()
	lon, lat := degrees(x+d.noise(), y+d.noise())
	speed := d.speedMS * 3600 / metresAMile
	if d.restS > 0 {
		speed = 0
	}
	start := len(d.text)
	d.text = append(appendTime(append(d.text, d.name...), atS), ',')
	if draw := d.random.Uint32(); draw%badRows == 0 {
		d.text = append(d.text, "no fix"...)
	} else {
		d.text = appendFixed(d.text, lat, 6)
	}
	d.text = appendFixed(append(d.text, ','), lon, 6)
	d.text = appendFixed(append(d.text, ','), speed, 1)
	rate, isSpreading := 0.0, d.isSpreading()
	if isSpreading {
		rate = d.rate
	}
	d.text = append(strconv.AppendBool(append(d.text, ','), isSpreading), ',')
	d.text = appendFixed(append(appendFixed(d.text, rate, 0), ','), d.totalLb, 1)
	d.text = append(append(d.text, ','), d.material...)
	d.text = append(strconv.AppendBool(append(d.text, ','), d.restS <= 0), d.tail...)
	d.rows++
	if d.random.Uint32()%doubleRows == 0 {
		d.text = append(d.text, d.text[start:]...)
		d.rows++
	}
}
