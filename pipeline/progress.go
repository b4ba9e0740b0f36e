package pipeline

import (
	"fmt"
	"io"
	"os"

	"golang.org/x/term"

	"lanetally/pipeline/intake"
)

// progress shows the step of a run on a terminal, and nothing elsewhere.
type progress struct{ terminal io.Writer }

// progressOn shows progress on w when w is a terminal that takes the codes for overwriting a line, and nobody asked to be spared them.
func progressOn(w io.Writer) progress {
	file, isFile := w.(*os.File)
	if !isFile || !term.IsTerminal(int(file.Fd())) || os.Getenv("TERM") == "dumb" || os.Getenv("NO_COLOR") != "" || os.Getenv("CI") != "" {
		return progress{io.Discard}
	}
	return progress{w}
}

// step overwrites the line with the step that begins. What a terminal does not take is no fault of the run.
func (p progress) step(number, of int, name string) {
	_, _ = fmt.Fprintf(p.terminal, "\r\x1b[K[%d/%d] %s", number, of, name)
}

// clear empties the line.
func (p progress) clear() { _, _ = fmt.Fprint(p.terminal, "\r\x1b[K") }

// crumbProgress is that of a night whose words go to a terminal.
func (n *night) crumbProgress() *intake.CrumbProgress {
	terminal := progressOn(n.Words).terminal
	if terminal == io.Discard || n.Clock == nil {
		return nil
	}
	return &intake.CrumbProgress{Terminal: terminal, Clock: n.Clock, Word: "read", Began: n.Clock()}
}
