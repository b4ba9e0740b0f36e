package metar

import (
	"testing"

	"github.com/stretchr/testify/require"
)

// wantReportsPerSecond is the decoder's target on one core.
const wantReportsPerSecond = 200_000

var benchmarkLines = []string{
	"2029-01-18T17:51Z METAR XAAA 181751Z 16010KT 3/4SM -SN BKN017 OVC035 M08/M12 A2977 RMK AO2 SNB13 4/001 P0000 T10781117 RVRNO $",
	"2029-01-18T18:20Z SPECI XAAA 181820Z AUTO 21016G24KT 190V260 1 1/2SM R10L/4500VP6000FT -FZRAPL BR BLSN FEW009 BKN013 OVC030 " +
		"M01/M02 A2980 " +
		"RMK AO2 PK WND 21026/1802 FZRAB05PLE09B14 SNINCR 1/7 P0003 60010 70029 I1004 T10111022 11006 21083 53018",
	"2029-01-19T05:51Z METAR XAAA 190551Z 32010KT 10SM CLR M16/M22 A3038 RMK AO2 SLP303 T11611222",
}

func BenchmarkDecode(b *testing.B) {
	b.ReportAllocs()
	for i := range b.N {
		if _, err := Decode(benchmarkLines[i%len(benchmarkLines)], Month{}); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(float64(b.N)/b.Elapsed().Seconds(), "reports/s")
}

// TestDecodeIsFast asks for a tenth of the target, so that a busy machine or the race detector does not fail it; the benchmark shows the
// figure itself.
func TestDecodeIsFast(t *testing.T) {
	result := testing.Benchmark(BenchmarkDecode)
	require.Greater(t, 1e9/float64(result.NsPerOp()), wantReportsPerSecond/10.0)
}
