package contract

import (
	"fmt"
	"strings"
)

// LineFault is a fault in a file that people edit. Text is `what was found; what is wanted`. Line is 0 when the fault
// belongs to the whole file; Column is empty when it belongs to the whole line.
type LineFault struct {
	File   string
	Line   int
	Column string
	Text   string
}

// String gives `FILE:LINE: COLUMN: found; wanted`.
func (f LineFault) String() string {
	place := f.File
	if f.Line > 0 {
		place = fmt.Sprintf("%s:%d", f.File, f.Line)
	}
	if f.Column != "" {
		place += ": " + f.Column
	}
	return place + ": " + f.Text
}

// JoinFaults writes one fault a line, without a newline at the end; "" for none.
func JoinFaults(faults []LineFault) string {
	lines := make([]string, len(faults))
	for i := range faults {
		lines[i] = faults[i].String()
	}
	return strings.Join(lines, "\n")
}
