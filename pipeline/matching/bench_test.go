package matching

import (
	"math/rand/v2"
	"syscall"
	"testing"

	"github.com/stretchr/testify/require"
)

// processorSeconds is what this process has used of the processor, so that a busy machine does not blur the figure.
func processorSeconds(b *testing.B) float64 {
	var usage syscall.Rusage
	require.NoError(b, syscall.Getrusage(syscall.RUSAGE_SELF, &usage))
	return float64(usage.Utime.Sec+usage.Stime.Sec) + float64(usage.Utime.Usec+usage.Stime.Usec)/1e6
}

func BenchmarkMatch(b *testing.B) {
	n := testNetwork(b)
	random := rand.New(rand.NewPCG(9, 9))
	var fixes []Fix
	for _, legs := range testDrives(n, 14) {
		one, _ := drive(n, legs, 10, 10, random)
		fixes = append(fixes, one...)
	}
	for i := range fixes {
		fixes[i].AtMS = int64(i) * 10_000
	}
	m := NewMatcher(n, func(int, Place) {})
	b.ReportAllocs()
	b.ResetTimer()
	began := processorSeconds(b)
	for i := range b.N {
		if i%len(fixes) == 0 {
			m.Flush()
		}
		m.Add(fixes[i%len(fixes)])
	}
	b.ReportMetric(float64(b.N)/(processorSeconds(b)-began)/1e6, "Mpoints/core-s")
}
