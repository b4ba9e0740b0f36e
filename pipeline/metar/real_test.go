package metar

import (
	"bufio"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// dataFolder is where the real reports are: the folder that LANETALLY_DATA names, ../shared/data beside the project by default.
func dataFolder() string {
	if folder := os.Getenv("LANETALLY_DATA"); folder != "" {
		return folder
	}
	return filepath.Join("..", "..", "..", "shared", "data")
}

// realLines reads a file of real reports; the test is skipped, by name, where it is absent.
func realLines(t testing.TB, name string) []string {
	file, err := os.Open(filepath.Join(dataFolder(), name))
	if os.IsNotExist(err) {
		t.Skipf("%s: %s is not in the data folder (LANETALLY_DATA)", t.Name(), name)
	}
	require.NoError(t, err)
	defer file.Close()
	var lines []string
	scanner := bufio.NewScanner(file)
	for scanner.Scan() {
		lines = append(lines, scanner.Text())
	}
	require.NoError(t, scanner.Err())
	return lines
}

// airportReports decodes the airport's month; its one exception is left out.
func airportReports(t testing.TB) []Report {
	var reports []Report
	for _, line := range realLines(t, "airport-2014-01.metar") {
		if r, err := Decode(line, Month{}); err == nil {
			reports = append(reports, r)
		}
	}
	return reports
}

// undecodable are the real reports that do not decode: the beginning of the line, the group, the reason.
var undecodable = []struct{ line, group, reason string }{
	{"2014-01-15T16:59Z ", "KT", "cut off: a wind group without its figures"},
}

// undecodableReason is why a real report does not decode; empty where it should.
func undecodableReason(line string) string {
	for _, exception := range undecodable {
		if strings.HasPrefix(line, exception.line) {
			return exception.reason
		}
	}
	return ""
}

func TestRealReportsDecode(t *testing.T) {
	for _, file := range []struct {
		name  string
		lines int
	}{{"airport-2014-01.metar", 1131}, {"winter-reports.metar", 282}} {
		lines := realLines(t, file.name)
		require.Len(t, lines, file.lines)
		for _, line := range lines {
			_, err := Decode(line, Month{2014, time.January})
			want := ""
			for _, exception := range undecodable {
				if strings.HasPrefix(line, exception.line) {
					want = exception.group
				}
			}
			if want == "" {
				assert.NoError(t, err, line)
				continue
			}
			var fault *GroupError
			if assert.ErrorAs(t, err, &fault, line) {
				assert.Equal(t, want, fault.Group)
			}
		}
	}
}
