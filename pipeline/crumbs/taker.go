package crumbs

import (
	"slices"
	"sync/atomic"

	"lanetally/pipeline/trace"
)

// taker hands traces on in a goroutine of its own, in their order, beside the work on the next trucks. After a fault it hands on none.
type taker struct {
	take   func(Trace) error
	traces chan Trace
	free   chan Trace // whose slices may be used again
	done   chan struct{}
	fault  atomic.Pointer[error] // the first
}

// takerTraces is how many traces may wait.
const takerTraces = 4

func newTaker(take func(Trace) error) *taker {
	t := &taker{take: take, traces: make(chan Trace, takerTraces), free: make(chan Trace, takerTraces+2), done: make(chan struct{})}
	go t.run()
	return t
}

func (t *taker) run() {
	defer close(t.done)
	for tr := range t.traces {
		if t.err() == nil {
			if err := t.take(tr); err != nil {
				t.fault.Store(&err)
			}
		}
		select {
		case t.free <- tr:
		default:
		}
	}
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
	t.traces <- tr
	return t.err()
}

func (t *taker) err() error {
	if fault := t.fault.Load(); fault != nil {
		return *fault
	}
	return nil
}

// end waits until all traces are taken.
func (t *taker) end() error {
	if t.traces != nil {
		close(t.traces)
		<-t.done
		t.traces = nil
	}
	return t.err()
}
