package crumbs

import (
	"slices"
	"sync"
	"sync/atomic"

	"lanetally/pipeline/trace"
)

// Take works on a trace, which is valid until finish has returned. What it gives is called in the order of the traces, one at a time; nil:
// nothing is left to do.
type Take func(Trace) (finish func() error)

// taker hands traces on, each to the next of several goroutines that is free, beside the work on the next trucks. After a fault it hands on
// none.
type taker struct {
	traces  chan waitingTrace
	free    chan Trace // whose slices may be used again
	given   int
	working sync.WaitGroup
	mutex   sync.Mutex
	turned  *sync.Cond
	turn    int // the trace that is to be finished next
	firstFault
}

// firstFault is what first went wrong in a goroutine.
type firstFault struct{ atomic.Pointer[error] }

func (f *firstFault) err() error {
	if fault := f.Load(); fault != nil {
		return *fault
	}
	return nil
}

// waitingTrace is a trace with its place in the order.
type waitingTrace struct {
	Trace
	place int
}

// takerTraces is how many traces may wait.
const takerTraces = 4

func newTaker(takes []Take) *taker {
	t := &taker{traces: make(chan waitingTrace, takerTraces), free: make(chan Trace, takerTraces+len(takes)+1)}
	t.turned = sync.NewCond(&t.mutex)
	for _, take := range takes {
		t.working.Go(func() { t.run(take) })
	}
	return t
}

func (t *taker) run(take Take) {
	for tr := range t.traces {
		var finish func() error
		if t.err() == nil {
			finish = take(tr.Trace)
		}
		t.inTurn(tr.place, finish)
		select {
		case t.free <- tr.Trace:
		default:
		}
	}
}

// inTurn finishes a trace once those before it are.
func (t *taker) inTurn(place int, finish func() error) {
	t.mutex.Lock()
	defer t.mutex.Unlock()
	for t.turn != place {
		t.turned.Wait()
	}
	if finish != nil && t.err() == nil {
		if err := finish(); err != nil {
			t.Store(&err)
		}
	}
	t.turn++
	t.turned.Broadcast()
}

// give copies a trace and lets it wait. An error is of a trace before.
func (t *taker) give(tr Trace) error {
	var room Trace
	select {
	case room = <-t.free:
	default:
	}
	tr.Points = append(slices.Grow[[]trace.Point](room.Points[:0], len(tr.Points)), tr.Points...)
	tr.Origins = append(slices.Grow[[]Origin](room.Origins[:0], len(tr.Origins)), tr.Origins...)
	t.traces <- waitingTrace{tr, t.given}
	t.given++
	return t.err()
}

// end waits until all traces are taken.
func (t *taker) end() error {
	if t.traces != nil {
		close(t.traces)
		t.working.Wait()
		t.traces = nil
	}
	return t.err()
}
