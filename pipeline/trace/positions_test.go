package trace

import (
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/matching"
)

// score is how passes compare with what was driven.
type score struct {
	trueM, rightM      float64 // on routes; of it in a counted pass of the route
	truePasses, split  int     // stays on a route of over falseMi; of them those with more than one pass
	trueLb, countedLb  float64
	passes             int
	falsePasses        int // over falseMi, less than half of it driven on the route
	impossible, astray int // over 90 mph; against the driven direction
	besideM, besideAsM float64
	routeSums, within5 int
	laneM              map[string][2]float64
}

const falseMi = 0.3

// judge holds the passes of one shift against it.
func (s *score) judge(c *city, n *matching.Network, shift []second, passes []Pass, where string) {
	counted := make([]int32, len(shift))
	for i := range counted {
		counted[i] = -1
	}
	fromOf := func(p *Pass) (from, to int) {
		return max(0, int(p.BeganMS-beganMS)/1000+1), min(len(shift)-1, int((p.EndedMS-beganMS+999)/1000))
	}
	for i := range passes {
		p := &passes[i]
		if p.Weak != "" {
			continue
		}
		s.passes++
		s.countedLb += float64(p.Pounds) / ulbPerLb
		lengthM := math.Abs(p.ToMi-p.FromMi) * metresAMile
		seconds := float64(p.EndedMS-p.BeganMS) / 1000
		if lengthM/seconds > 90*metresAMile/3600 && lengthM > 50 {
			s.impossible++
		}
		s.addLane(fmt.Sprint(where, p.Route), 1, lengthM)
		from, to := fromOf(p)
		onM, backM := 0.0, 0.0
		for k := from; k <= to; k++ {
			counted[k] = p.Route
			if shift[k].route == p.Route {
				onM += shift[k].droveM
				if shift[k].isBack {
					backM += shift[k].droveM
				}
			}
		}
		if lengthM > falseMi*metresAMile && onM < lengthM/2 {
			s.falsePasses++
		} else if onM > 50 && lengthM > 50 && (backM > onM/2) != (p.ToMi < p.FromMi) {
			s.astray++
		}
	}
	for k := range shift {
		here := &shift[k]
		if here.route >= 0 {
			s.trueM += here.droveM
			s.trueLb += here.fedLb
			s.addLane(fmt.Sprint(where, here.route), 0, here.droveM)
			if counted[k] == here.route {
				s.rightM += here.droveM
			}
		} else if c.isBeside(here.other) {
			s.besideM += here.droveM
			if counted[k] >= 0 {
				s.besideAsM += here.droveM
			}
		}
	}
	s.stays(shift, passes, fromOf)
}

func (s *score) addLane(key string, at int, m float64) {
	sums := s.laneM[key]
	sums[at] += m
	s.laneM[key] = sums
}

// stays counts the stays on a route in one direction, and those that were told as several passes.
func (s *score) stays(shift []second, passes []Pass, span func(*Pass) (int, int)) {
	for from := 0; from < len(shift); {
		to, m := from, 0.0
		for ; to < len(shift) && shift[to].route == shift[from].route && (shift[to].isBack == shift[from].isBack); to++ {
			m += shift[to].droveM
		}
		if shift[from].route >= 0 && m > falseMi*metresAMile {
			s.truePasses++
			inside := 0
			for i := range passes {
				begin, end := span(&passes[i])
				middle := (begin + end) / 2
				if passes[i].Weak == "" && passes[i].Route == shift[from].route && middle >= from && middle < to {
					inside++
				}
			}
			if inside > 1 {
				s.split++
			}
		}
		from = to
	}
}

// isBeside: another road than a route that runs 30 to 60 m beside one for most of its length.
func (c *city) isBeside(other int32) bool {
	if other < 0 {
		return false
	}
	if c.beside == nil {
		c.beside = make([]bool, len(c.others))
		for _, r := range c.routes {
			c.bounds = append(c.bounds, r.Line.Bound().Pad(0.001))
		}
		for i, line := range c.others {
			near, all := 0, 0
			for k := 1; k < len(line); k++ {
				for share := 0.25; share < 1; share += 0.5 {
					at := position(line[k-1:k+1], share)
					all++
					ux, uy := unit(line[k-1], line[k])
					for i, r := range c.routes {
						if !c.bounds[i].Contains(at) {
							continue
						}
						_, dist, vx, vy := nearestOn(r.Line, at)
						if dist >= 30 && dist <= 60 && math.Abs(ux*vx+uy*vy) > 0.95 {
							near++
							break
						}
					}
				}
			}
			c.beside[i] = near*2 > all
		}
	}
	return c.beside[other]
}

// laneMiles counts the routes of a seed whose miles are within 5 % of those driven, of those with at least a mile.
func (s *score) laneMiles() {
	for _, sums := range s.laneM {
		if sums[0] >= metresAMile {
			s.routeSums++
			if math.Abs(sums[1]-sums[0]) <= 0.05*sums[0] {
				s.within5++
			}
		}
	}
}

// row is the figures of a score as the tables show them.
func (s *score) row() string {
	return fmt.Sprintf("right %.4f pounds %+.2f%% false %d/%d impossible %d against %d split %d/%d lane-miles %.3f beside %.3f of %.1f mi",
		s.rightM/s.trueM, 100*(s.countedLb/s.trueLb-1), s.falsePasses, s.passes, s.impossible, s.astray, s.split, s.truePasses,
		float64(s.within5)/float64(s.routeSums), s.besideAsM/max(s.besideM, 1), s.besideM/metresAMile)
}

func (s *score) cells() string {
	return fmt.Sprintf("%.4f | %+.2f %% | %d of %d | %d | %d | %d of %d | %.2f | %.2f of %.1f mi", s.rightM/s.trueM,
		100*(s.countedLb/s.trueLb-1), s.falsePasses, s.passes, s.impossible, s.astray, s.split, s.truePasses,
		float64(s.within5)/float64(s.routeSums), s.besideAsM/max(s.besideM, 1), s.besideM/metresAMile)
}

// measure drives the shifts of seeds and scores the passes made of their positions.
func measure(t testing.TB, c *city, n *matching.Network, seeds []uint64, intervalS int, kind noise) *score {
	s := &score{laneM: map[string][2]float64{}}
	lanes := make([]float64, len(c.routes))
	for i := range lanes {
		lanes[i] = 1
	}
	b := NewBuilder(n, lanes, DefaultSettings())
	for _, seed := range seeds {
		for i, shift := range c.shifts(seed) {
			points := c.positions(rand.New(rand.NewPCG(seed, uint64(i))), shift, intervalS, kind)
			passes, _ := build(b, points)
			s.judge(c, n, shift, passes, fmt.Sprint(seed, " "))
		}
	}
	s.laneMiles()
	return s
}

// networkOf makes the network of a city: with or without the roads that are no routes, and what is known of directions.
func networkOf(t testing.TB, c *city, hasOthers, hasOneWay bool) *matching.Network {
	routes := slices.Clone(c.routes)
	for i := range routes {
		routes[i].OneWay = routes[i].OneWay && hasOneWay
	}
	if hasOthers {
		for _, line := range c.others {
			routes = append(routes, matching.Route{IsOther: true, Line: line})
		}
	}
	n, err := matching.NewNetwork(routes, matching.DefaultSettings())
	require.NoError(t, err)
	return n
}

// positionRow is a noise and an interval of positions, and what is asked of the passes made of them.
type positionRow struct {
	sdM       float64
	intervalS int
	right     float64 // of the miles
	poundsPct float64 // within
	falseIn   int     // false passes of 700, at most
}

var positionRows = []positionRow{{5, 10, 0.99, 0.7, 0}, {10, 10, 0.985, 1, 1}, {10, 1, 0.985, 1, 1}, {10, 30, 0.95, 2, 2},
	{30, 10, 0.975, 1.5, 3}}

// isLong: make positions drives all seeds and kinds of noise and writes testdata/positions/RESULTS.md.
var isLong = os.Getenv("LANETALLY_POSITIONS") != ""

// The passes of trucks that spread wherever they drive, held against where they drove: with the directions and all other roads known, what
// is asked holds for errors of which half last and half do not.
func TestPositionsTable(t *testing.T) {
	results := &strings.Builder{}
	t.Run("own", func(t *testing.T) { positionsTable(t, ownCity(), results) })
	t.Run("real", func(t *testing.T) { positionsTable(t, realCity(t), results) })
	writeResults(t, "passes", resultsHead, results.String())
}

const resultsHead = "| roads | others known | noise, m | lasting | every, s | right miles | pounds | false passes | over 90 mph | " +
	"against | split | lane-miles within 5 % | beside a route |\n|---|---|---|---|---|---|---|---|---|---|---|---|---|\n"

// writeResults puts a table in place of the one between its marks in testdata/positions/RESULTS.md.
func writeResults(t *testing.T, name, head, rows string) {
	if !isLong {
		return
	}
	path := filepath.Join("..", "..", "testdata", "positions", "RESULTS.md")
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	begin, end := "<!-- "+name+" -->\n", "<!-- end of "+name+" -->"
	before, rest, isFound := strings.Cut(string(text), begin)
	_, after, hasEnd := strings.Cut(rest, end)
	require.True(t, isFound && hasEnd, name)
	require.NoError(t, os.WriteFile(path, []byte(before+begin+"\n"+head+rows+"\n"+end+after), 0o644))
}

func positionsTable(t *testing.T, c *city, results *strings.Builder) {
	for _, hasOthers := range []bool{true, false} {
		n := networkOf(t, c, hasOthers, true)
		for _, row := range positionRows {
			for _, kind := range noises(row.sdM) {
				if !isLong && (kind.kind != "both" || !hasOthers) {
					continue
				}
				s := measure(t, c, n, seeds(c), row.intervalS, kind)
				t.Logf("others %v %2v m %2v s %-7s %s", hasOthers, row.sdM, row.intervalS, kind.kind, s.row())
				fmt.Fprintf(results, "| %s | %v | %v | %s | %v | %s |\n", c.name, hasOthers, row.sdM, kind.kind, row.intervalS, s.cells())
				if kind.kind == "both" && hasOthers {
					s.check(t, c, row)
				}
			}
		}
	}
}

func seeds(c *city) []uint64 {
	if isLong || c.name == "own roads" {
		return []uint64{1, 2, 3, 4, 5}
	}
	return []uint64{1}
}

func (s *score) check(t *testing.T, c *city, row positionRow) {
	where := fmt.Sprintf("%s, %v m, %v s", c.name, row.sdM, row.intervalS)
	require.Greater(t, s.truePasses, 50, where)
	assert.Zero(t, s.impossible, where)
	if c.name == "own roads" && row.sdM == 30 {
		return // beside streets 60 m off the reference, which knows the noise and every road, finds no more: TestPlainMatcher
	}
	assert.GreaterOrEqual(t, s.rightM/s.trueM, row.right, where)
	assert.InDelta(t, 100, 100*s.countedLb/s.trueLb, row.poundsPct, where)
	assert.LessOrEqual(t, s.falsePasses, (row.falseIn*s.passes+699)/700, where)
	assert.LessOrEqual(t, s.split, (s.truePasses+99)/100, where)
	if row.sdM <= 10 {
		assert.Zero(t, s.astray, where)
	}
	if row.sdM == 10 && row.intervalS == 10 {
		assert.GreaterOrEqual(t, float64(s.within5)/float64(s.routeSums), 0.9, where)
		assert.LessOrEqual(t, s.besideAsM, 0.1*s.besideM, where)
	}
}
