package matching

import "math"

// cellM is the side of a cell, metres.
const cellM = 100

// maxCells bounds the memory of the cells of one matcher; when it is reached they are found anew.
const maxCells = 1 << 19

// cells remember which segments may lie within RadiusM of any place in a square of cellM, so that the tree is asked once a square.
type cells struct {
	network        *Network
	lonDeg, latDeg float64 // size
	spans          map[uint64]cellSpan
	list           []int32
	lastKey        uint64
	last           cellSpan
	hasLast        bool
}

type cellSpan struct{ start, after int32 }

func newCells(n *Network) cells {
	c := cells{network: n, spans: map[uint64]cellSpan{}}
	middle := 0.0
	if len(n.segments) > 0 {
		middle = (n.bound.Min[1] + n.bound.Max[1]) / 2
	}
	eastM, northM := metresPerDegree(middle)
	c.lonDeg, c.latDeg = cellM/max(eastM, 1), cellM/northM
	return c
}

// around lists segments that include all within RadiusM of the place.
func (c *cells) around(lon, lat float64) []int32 {
	x, y := math.Floor(lon/c.lonDeg), math.Floor(lat/c.latDeg)
	key := uint64(uint32(int32(x)))<<32 | uint64(uint32(int32(y)))
	if !c.hasLast || key != c.lastKey {
		span, known := c.spans[key]
		if !known {
			span = c.find(key, (x+0.5)*c.lonDeg, (y+0.5)*c.latDeg)
		}
		c.lastKey, c.last, c.hasLast = key, span, true
	}
	return c.list[c.last.start:c.last.after]
}

func (c *cells) find(key uint64, lon, lat float64) cellSpan {
	if len(c.spans) >= maxCells {
		clear(c.spans)
		c.list = c.list[:0]
	}
	eastM, northM := metresPerDegree(lat)
	halfM := math.Hypot(c.lonDeg*eastM, c.latDeg*northM) / 2
	start := int32(len(c.list))
	c.list = c.network.near(c.list, lon, lat, (c.network.settings.RadiusM+halfM)*1.001)
	span := cellSpan{start, int32(len(c.list))}
	c.spans[key] = span
	return span
}
