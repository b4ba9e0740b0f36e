package pipeline

import (
	"errors"
	"io/fs"
	"os"
	"syscall"

	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// Exit codes, as sysexits.h has them where it has one.
const (
	exitDone      = 0
	exitFound     = 1  // status, check or verify found something
	exitUsage     = 2  // the command line
	exitReference = 65 // a fault in reference/, or figures that do not go live: the old release stands
	exitBug       = 70 // a fault of the program
	exitFiles     = 74 // reading or writing a file
	exitBusy      = 75 // another run holds the lock
	exitSettings  = 78 // a fault in district.toml
	exitSignal    = 128
)

// Stopped is the cause of a run that a signal ended.
type Stopped struct{ Signal os.Signal }

// Error says which signal it was, and that nothing is lost.
func (s Stopped) Error() string {
	return "stopped by signal: " + s.Signal.String() + "; the last release stands"
}

// Found is the error of a command that did its work and found something that a person should look at.
// Its text is empty where the findings are on standard output already.
type Found struct{ Text string }

// Error gives the text.
func (f Found) Error() string { return f.Text }

// usageFault is an error in how the command was called.
type usageFault struct{ error }

// busyFault says that another run holds the lock.
type busyFault struct{ error }

// Words is what the program says of an error that ended it.
func Words(err error) string { return rows.VisibleLines("lanetally: " + err.Error()) }

// ExitCode is the process exit code for the outcome of Run.
func ExitCode(err error) int {
	var stopped Stopped
	var pathFault *fs.PathError
	var linkFault *os.LinkError
	var errno syscall.Errno
	switch {
	case err == nil:
		return exitDone
	case errors.As(err, &stopped):
		if number, ok := stopped.Signal.(syscall.Signal); ok {
			return exitSignal + int(number)
		}
		return exitSignal
	case errors.As(err, new(Found)):
		return exitFound
	case errors.As(err, new(usageFault)):
		return exitUsage
	case errors.As(err, new(*district.ReferenceFault)), errors.As(err, new(gateFault)):
		return exitReference
	case errors.As(err, new(*district.SettingsFault)):
		return exitSettings
	case errors.As(err, new(busyFault)):
		return exitBusy
	case errors.As(err, &pathFault), errors.As(err, &linkFault), errors.As(err, &errno), ledger.IsLedgerFileFault(err):
		return exitFiles
	}
	return exitBug
}
