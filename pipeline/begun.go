package pipeline

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"time"
)

// lastRunName is the file in log/ from which status judges the last run.
const lastRunName = "last_run.json"

// hungAfter is when a run that has not ended is something to look at; the service's own limit is the same.
const hungAfter = 2 * time.Hour

// processMark tells one process from every other: the number alone comes again.
type processMark struct {
	ProcessID  int    `json:"process_id"`
	StartTicks string `json:"start_ticks"` // clock ticks from boot to its start, proc(5); empty where the system does not tell
	BootID     string `json:"boot_id"`     // likewise
}

// markOf is the mark of a process; of one that is gone StartTicks is empty.
func markOf(processID int) processMark {
	mark := processMark{ProcessID: processID}
	if boot, err := os.ReadFile("/proc/sys/kernel/random/boot_id"); err == nil {
		mark.BootID = strings.TrimSpace(string(boot))
	}
	if stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", processID)); err == nil {
		// The name in parentheses may hold anything; the state follows it, and the start 19 fields later.
		const start = 19
		if fields := strings.Fields(string(stat[bytes.LastIndexByte(stat, ')')+1:])); len(fields) > start && fields[0] != "Z" {
			mark.StartTicks = fields[start]
		}
	}
	return mark
}

// writeBegun notes that the run has begun, and by which process.
func (n *night) writeBegun() error {
	mark := markOf(os.Getpid())
	n.report.Begun = &mark
	err := n.writeReport()
	n.report.Begun = nil
	return err
}

// judgeBegun tells a last run that did not end, and one that does not.
func (s *districtStatus) judgeBegun() {
	run := s.LastRun
	began := run.BeganAt.Format(time.RFC3339)
	switch now := markOf(run.Begun.ProcessID); {
	case now.BootID != run.Begun.BootID:
		s.find("the run begun %s did not end: the machine went down; a whole release stands: run lanetally nightly again", began)
	case now != *run.Begun:
		s.find("the run begun %s did not end: it was killed, ran out of memory or met a full disk; a whole release stands: look at the "+
			"system's log and the disk, then run lanetally nightly again", began)
	case s.Now.Sub(run.BeganAt) > hungAfter:
		s.find("the run begun %s has not ended after %.1f h: look at process %d; ended, it loses nothing", began,
			s.Now.Sub(run.BeganAt).Hours(), run.Begun.ProcessID)
	}
}
