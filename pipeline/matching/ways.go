package matching

import "math/bits"

// ways holds the lengths of ways by their two joints, in a table that is asked for several of them a position: a key stands at the place
// that its hash gives, or at the next that was free.
type ways struct {
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
func (w *ways) put(from, to int32, distM float64) {
	if 2*w.count >= len(w.slots) {
		old := w.slots
		w.slots = make([]way, max(64, 2*len(old)))
		w.shift, w.count = 64-bits.TrailingZeros(uint(len(w.slots))), 0
		for _, kept := range old {
			if kept.from != kept.to {
				w.put(kept.from, kept.to, kept.distM)
			}
		}
	}
	slot := w.slot(from, to)
	if slot.from == slot.to {
		w.count++
	}
	*slot = way{from, to, distM}
}

// get finds the way between two different joints.
func (w *ways) get(from, to int32) (distM float64, known bool) {
	if len(w.slots) == 0 {
		return 0, false
	}
	slot := w.slot(from, to)
	return slot.distM, slot.from != slot.to
}

// slot is where a way stands, or would.
func (w *ways) slot(from, to int32) *way {
	key := uint64(uint32(from))<<32 | uint64(uint32(to))
	const odd = 0x9e3779b97f4a7c15 // 2^64 over the golden ratio: multiplied by it, keys near each other fall far apart (Knuth)
	for at := key * odd >> w.shift; ; at++ {
		slot := &w.slots[at&uint64(len(w.slots)-1)]
		if slot.from == slot.to || slot.from == from && slot.to == to {
			return slot
		}
	}
}
