package intake

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/crumbs"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/matching"
	"lanetally/pipeline/trace"
)

// Explained is a trace made into passes anew, against today's lines: its positions, where each was found to be, and all its passes.
type Explained struct {
	Network *matching.Network
	Points  []trace.Point
	Places  []matching.Place
	Passes  []trace.Pass
	Counts  trace.Counts
}

// ErrNoPositions says that the store holds no position of a truck at a time.
var ErrNoPositions = errors.New("no positions of the truck are kept at that time")

// ExplainTrace makes the passes of the trace of a truck that a time lies in. It reads reference/ and the archive and changes nothing.
func ExplainTrace(ctx context.Context, dir string, s *district.Settings, truck string, at time.Time) (_ *Explained, err error) {
	reference, err := district.ReadReference(dir, s)
	if err != nil {
		return nil, err
	}
	l, err := ledger.Open(ctx, "")
	if err != nil {
		return nil, err
	}
	defer func() { err = errors.Join(err, l.Close()) }()
	if err := district.LoadReference(ctx, l, reference); err != nil {
		return nil, err
	}
	drawn, err := readDrawnRoutes(ctx, l)
	if err != nil {
		return nil, err
	}
	network, err := newCrumbNetwork(drawn, matchingSettings(s))
	if err != nil {
		return nil, err
	}
	store := crumbs.Look(crumbs.Dir{Path: filepath.Join(dir, "archive", contract.CrumbsFeed)}, crumbs.NewNames(), traceSettings(s))
	points, err := store.Points(truck, at.UnixMilli())
	if err != nil {
		return nil, fmt.Errorf("read the positions: %w", err)
	}
	var found *Explained
	builder := trace.NewBuilder(network.lines, network.lanesPerPass, traceSettings(s))
	splitter := trace.NewSplitter(traceSettings(s), func(points []trace.Point) {
		if points[0].AtMS <= at.UnixMilli() && at.UnixMilli() <= points[len(points)-1].AtMS {
			passes, counts := builder.Build(points)
			found = &Explained{network.lines, append([]trace.Point(nil), points...), builder.Places(), passes, counts}
			builder = trace.NewBuilder(network.lines, network.lanesPerPass, traceSettings(s))
		}
	})
	for _, point := range points {
		splitter.Add(point)
	}
	splitter.Flush()
	if found == nil {
		return nil, ErrNoPositions
	}
	return found, nil
}
