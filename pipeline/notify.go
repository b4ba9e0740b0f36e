package pipeline

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"time"

	"lanetally/pipeline/district"
)

// notifyLimit is how long the notifying program may take.
const notifyLimit = time.Minute

// notifyProgram prepares [notify] command, nil where there is none. It is started as it is named, without a shell, and in a process
// group of its own: what ends the run does not end it. A fault elsewhere in district.toml does not hide it.
func notifyProgram(ctx context.Context, dir string) *exec.Cmd {
	words := district.NotifyCommand(filepath.Join(dir, "district.toml"))
	if len(words) == 0 {
		return nil
	}
	command := exec.CommandContext(ctx, words[0],
		words[1:]...) // #nosec G204 -- the words of district.toml, no shell, nothing delivered among them
	command.SysProcAttr = &syscall.SysProcAttr{Setpgid: true}
	command.WaitDelay = time.Second
	return command
}

// tell runs [notify] command with text on standard input, for at most limit; isTold is false where none is named.
func tell(ctx context.Context, dir, text string, limit time.Duration) (isTold bool, err error) {
	limited, stop := context.WithTimeout(ctx, limit)
	defer stop()
	command := notifyProgram(limited, dir)
	if command == nil {
		return false, nil
	}
	command.Stdin = strings.NewReader(text)
	if output, err := command.CombinedOutput(); err != nil {
		return true, fmt.Errorf("[notify] command %q: %w: %.200s", command.Args, errors.Join(context.Cause(limited), err), output)
	}
	return true, nil
}

// tellFault tells of a run that failed. That nobody could be told is part of its report.
func (n *night) tellFault(ctx context.Context, fault error) error {
	if n.Silent {
		return fault
	}
	n.report.Fault = fault.Error()
	_, err := tell(ctx, n.Dir, n.report.readable(), cmp.Or(n.notifyLimit, notifyLimit))
	if err == nil {
		return fault
	}
	fault = errors.Join(fault, err)
	n.report.Fault = fault.Error()
	return errors.Join(fault, n.writeReport())
}

// tellWhenStopped tells of a run that something ends from outside, at once: tidying up may take longer than the run is given. A
// person who interrupts a run knows. What it gives is called at the run's end, and says whether the run was stopped.
func (n *night) tellWhenStopped(ctx context.Context) (hasEnded func() bool) {
	told := make(chan struct{})
	stopped := RunReport{Release: "of " + n.Dir, BeganAt: n.Now, Begun: &processMark{}}
	cancel := context.AfterFunc(ctx, func() {
		defer close(told)
		cause := context.Cause(ctx)
		if n.Silent || errors.Is(cause, Stopped{os.Interrupt}) {
			return
		}
		stopped.Fault = cause.Error()
		if err := startTelling(n.Dir, stopped.readable()); err != nil && n.Words != nil {
			fmt.Fprintln(n.Words, "lanetally:", err)
		}
	})
	return func() bool {
		if cancel() {
			return false
		}
		<-told
		return true
	}
}

// startTelling starts [notify] command and gives it a text; it goes on by itself.
func startTelling(dir, text string) error {
	command := notifyProgram(context.Background(), dir)
	if command == nil {
		return nil
	}
	input, err := command.StdinPipe()
	if err != nil {
		return err
	}
	if err := command.Start(); err != nil {
		return errors.Join(err, input.Close())
	}
	_, err = io.WriteString(input, text) // the pipe holds it, whether it is read or not
	return errors.Join(err, input.Close(), command.Process.Release())
}

type notifyCommand struct {
	Dir string `arg:"" type:"district" help:"District folder."`
}

// Run tells what status says, and the last run's report, whatever they are: how a failed night is told by a unit of its own, and how the
// command is tried.
func (n notifyCommand) Run(ctx context.Context, c console) error {
	text := new(strings.Builder)
	if status, err := readStatus(n.Dir, c.now); err != nil {
		fmt.Fprintln(text, err)
	} else {
		err = status.print(text)
		if err == nil && status.LastRun != nil {
			fmt.Fprint(text, "\n", status.LastRun.readable())
		}
	}
	isTold, err := tell(ctx, n.Dir, text.String(), notifyLimit)
	switch {
	case err != nil:
		return Found{err.Error()}
	case !isTold:
		return c.say("[notify] command in district.toml names no program: nobody is told")
	}
	return nil
}
