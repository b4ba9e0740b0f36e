package matching

import (
	"container/heap"
	"math"
	"math/bits"
)

// maxWays bounds the memory of the ways that one matcher remembers; when it is reached they are found anew.
const maxWays = 1 << 20

// leastReachM: ways from a joint are looked for up to this length, or to twice, four times ... of it, metres.
const leastReachM = 1250

// ways finds the ways between joints along the roads and remembers them. What it gives does not depend on what it was asked before.
type ways struct {
	network *Network
	lengths lengths
	reachM  []float64 // of each joint: up to which length the ways from it are known
	distM   []float64 // of the search, by joint
}

func newWays(n *Network) ways {
	w := ways{network: n, reachM: make([]float64, len(n.joints.edges)), distM: make([]float64, len(n.joints.edges))}
	for i := range w.distM {
		w.distM[i] = math.Inf(1)
	}
	return w
}

// betweenM is the length of the way from one joint to another, where it is at most limitM and JunctionMaxM.
func (w *ways) betweenM(from, to int32, limitM float64) (distM float64, known bool) {
	if from == to {
		return 0, true
	}
	limitM = min(limitM, w.network.settings.JunctionMaxM)
	if w.reachM[from] < limitM {
		w.spread(from, limitM)
	}
	distM, known = w.lengths.get(from, to)
	return distM, known && distM <= limitM
}

// spread finds all ways from a joint (Dijkstra 1959), at least up to limitM.
func (w *ways) spread(from int32, limitM float64) {
	if w.lengths.count > maxWays {
		w.lengths = lengths{}
		clear(w.reachM)
	}
	reachM := float64(leastReachM)
	for reachM < limitM {
		reachM *= 2
	}
	w.reachM[from] = reachM
	queue := &edgeHeap{{from, 0}}
	w.distM[from] = 0
	reached := []int32{from}
	for queue.Len() > 0 {
		at := heap.Pop(queue).(edge)
		if at.distM > w.distM[at.to] {
			continue
		}
		for _, e := range w.network.joints.edges[at.to] {
			d := at.distM + e.distM
			if d > reachM || d >= w.distM[e.to] {
				continue
			}
			if math.IsInf(w.distM[e.to], 1) {
				reached = append(reached, e.to)
			}
			w.distM[e.to] = d
			heap.Push(queue, edge{e.to, d})
		}
	}
	for _, to := range reached {
		if to != from {
			w.lengths.put(from, to, w.distM[to])
		}
		w.distM[to] = math.Inf(1)
	}
}

// wayM is the length of the shortest way along the roads between two places, through the joints on either side of each, where it is at
// most limitM.
func (w *ways) wayM(fromRoad int32, fromM float64, toRoad int32, toM, limitM float64) (distM float64, ok bool) {
	distM = math.Inf(1)
	for _, exit := range w.network.joints.around(fromRoad, fromM) {
		onFrom := math.Abs(exit.alongM - fromM)
		if onFrom > limitM || w.network.isBehind(fromRoad, fromM, exit.alongM) {
			continue
		}
		for _, entry := range w.network.joints.around(toRoad, toM) {
			onTo := math.Abs(entry.alongM - toM)
			if onFrom+onTo >= min(distM, limitM) || w.network.isBehind(toRoad, entry.alongM, toM) {
				continue
			}
			if between, known := w.betweenM(exit.joint, entry.joint, limitM); known {
				distM = min(distM, onFrom+between+onTo)
			}
		}
	}
	return distM, distM <= limitM
}

// isBehind: a road that is driven one way alone does not lead from one place to another, which lies behind it by more than the noise.
func (n *Network) isBehind(road int32, fromM, toM float64) bool {
	return n.routes[road].oneWay && fromM-toM > 4*n.settings.NoiseM
}

// through is wayM with the places where it leaves the first road for good and joins the second.
func (w *ways) through(fromRoad int32, fromM float64, toRoad int32, toM, limitM float64) (distM, exitM, entryM float64, ok bool) {
	distM, ok = w.wayM(fromRoad, fromM, toRoad, toM, limitM)
	if !ok {
		return 0, 0, 0, false
	}
	exitM, entryM = fromM, toM
	for _, exit := range w.network.joints.ports[fromRoad] {
		onFrom := math.Abs(exit.alongM - fromM)
		if onFrom > distM+1e-6 {
			continue
		}
		for _, entry := range w.network.joints.ports[toRoad] {
			onTo := math.Abs(entry.alongM - toM)
			if onFrom+onTo > distM+1e-6 || onFrom+onTo < math.Abs(exitM-fromM)+math.Abs(entryM-toM) {
				continue
			}
			between, known := w.betweenM(exit.joint, entry.joint, limitM)
			if known && math.Abs(onFrom+between+onTo-distM) < 1e-6 {
				exitM, entryM = exit.alongM, entry.alongM
			}
		}
	}
	return distM, exitM, entryM, true
}

// lengths holds the lengths of ways by their two joints, in a table that is asked for several of them a position: a key stands at the place
// that its hash gives, or at the next that was free.
type lengths struct {
	slots []way
	count int
	shift int // of the hash, so that what is left is a place
}

// way is a slot; both ends the same mean that it is free.
type way struct {
	from, to int32
	distM    float64
}

// put notes the way between two different joints.
func (l *lengths) put(from, to int32, distM float64) {
	if 2*l.count >= len(l.slots) {
		old := l.slots
		l.slots = make([]way, max(64, 2*len(old)))
		l.shift, l.count = 64-bits.TrailingZeros(uint(len(l.slots))), 0
		for _, kept := range old {
			if kept.from != kept.to {
				l.put(kept.from, kept.to, kept.distM)
			}
		}
	}
	slot := l.slot(from, to)
	if slot.from == slot.to {
		l.count++
	}
	*slot = way{from, to, distM}
}

// get finds the way between two different joints.
func (l *lengths) get(from, to int32) (distM float64, known bool) {
	if len(l.slots) == 0 {
		return 0, false
	}
	slot := l.slot(from, to)
	return slot.distM, slot.from != slot.to
}

// slot is where a way stands, or would.
func (l *lengths) slot(from, to int32) *way {
	key := uint64(uint32(from))<<32 | uint64(uint32(to))
	const odd = 0x9e3779b97f4a7c15 // 2^64 over the golden ratio: multiplied by it, keys near each other fall far apart (Knuth)
	for at := key * odd >> l.shift; ; at++ {
		slot := &l.slots[at&uint64(len(l.slots)-1)]
		if slot.from == slot.to || slot.from == from && slot.to == to {
			return slot
		}
	}
}
