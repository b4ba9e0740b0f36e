package pipeline

import (
	"os"
	"os/exec"
	"regexp"
	"strconv"
	"testing"

	"github.com/stretchr/testify/require"
)

// fuzzTargets are the package and the name of each target that a torture run fuzzes; their seeds run with all other tests.
var fuzzTargets = [][2]string{
	{"delivery", "FuzzReader"}, {"localtime", "FuzzParse"}, {"localtime", "FuzzFormat"}, {"localtime", "FuzzReadings"},
	{"metar", "FuzzDecode"},
	{"district", "FuzzSettings"}, {"district", "FuzzRouteLines"},
}

// TestFuzzTargets fuzzes each target for two minutes, or for LANETALLY_FUZZ_TIME, and writes how often it ran.
func TestFuzzTargets(t *testing.T) {
	if !isTorture {
		t.Skip("part of make torture")
	}
	duration := os.Getenv("LANETALLY_FUZZ_TIME")
	if duration == "" {
		duration = "2m"
	}
	executions := regexp.MustCompile(`execs: (\d+)`)
	for _, target := range fuzzTargets {
		t.Run(target[1], func(t *testing.T) {
			r := beginResult(t, "fuzzing: "+target[1], "executions without a fault, "+duration)
			output, err := exec.Command("go", "test", "./"+target[0], "-run", "^$", "-fuzz", "^"+target[1]+"$", "-fuzztime", duration,
				"-parallel", "2").CombinedOutput()
			if all := executions.FindAllSubmatch(output, -1); len(all) > 0 {
				r.count, _ = strconv.Atoi(string(all[len(all)-1][1])) // the pattern lets digits alone through
			}
			require.NoError(t, err, string(output))
			require.Positive(t, r.count)
		})
	}
}
