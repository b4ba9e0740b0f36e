package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"time"

	"github.com/gofrs/flock"

	"lanetally/site"
)

// NightlyOptions says over which district folder a night runs, at which instant, and where words for people go.
type NightlyOptions struct {
	Dir   string
	Now   time.Time
	Words io.Writer
}

// night is one run on its way through the steps.
type night struct {
	NightlyOptions
	settings  *Settings
	reference *Reference
	ledger    *Ledger
	files     fileLayer
	log       *slog.Logger
	report    *RunReport
	building  string // folder of the release that is being built
}

// nightSteps is a night, in order. A step reads only what steps before it wrote.
var nightSteps = []struct {
	name string
	run  func(*night, context.Context) error
}{
	{"read the settings", (*night).readSettings},
	{"read the reference tables", (*night).readReference},
	{"open the ledger", (*night).openLedger},
	{"load the deliveries", (*night).load},
	{"tally", (*night).tally},
	{"check the sums", (*night).check},
	{"write the exports", (*night).export},
	{"render the site", (*night).render},
	{"publish", (*night).publish},
}

// Nightly loads what was delivered, tallies everything anew and publishes a release. Killed anywhere, or on an error, the last release stands;
// the next run needs no tidying up. The outcome is in log/, and in log/last_run.json for status.
func Nightly(ctx context.Context, options NightlyOptions) (*RunReport, error) {
	if err := os.MkdirAll(filepath.Join(options.Dir, "log"), 0o755); err != nil {
		return nil, err
	}
	unlock, err := lockDistrict(options.Dir, options.Now)
	if err != nil {
		return nil, err
	}
	n := &night{NightlyOptions: options, report: newRunReport(options.Now)}
	err = n.run(ctx)
	return n.report, errors.Join(err, unlock())
}

// run goes through the steps and writes the log and the report, whatever happens.
func (n *night) run(ctx context.Context) error {
	id, err := freeReleaseID(n.Dir, n.Now.Format("20060102T150405Z"))
	if err != nil {
		return err
	}
	n.report.Release = id
	closeLog, err := n.openLog(id)
	if err != nil {
		return err
	}
	stepErr := n.runSteps(ctx)
	if stepErr != nil {
		n.report.Fault = stepErr.Error()
		n.log.Error("run ended", "fault", stepErr.Error())
	}
	if n.ledger != nil {
		stepErr = errors.Join(stepErr, n.ledger.Close())
	}
	if stepErr != nil && n.building != "" {
		stepErr = errors.Join(stepErr, os.RemoveAll(n.building))
	}
	return errors.Join(stepErr, n.writeReport(), closeLog())
}

// runSteps goes through the steps until one fails or ctx ends.
func (n *night) runSteps(ctx context.Context) error {
	show := progressOn(n.Words)
	defer show.clear()
	for i, step := range nightSteps {
		if err := context.Cause(ctx); err != nil {
			return err
		}
		show.step(i+1, len(nightSteps), step.name)
		if err := step.run(n, ctx); err != nil {
			return fmt.Errorf("%s: %w", step.name, err)
		}
		n.log.Info("step done", "step", step.name)
	}
	return nil
}

// lockDistrict takes the district's lock, or says which run holds it. The system frees the lock of a killed run.
func lockDistrict(dir string, now time.Time) (unlock func() error, err error) {
	path := filepath.Join(dir, "log", "lock")
	lock := flock.New(path, flock.SetFlag(os.O_CREATE|os.O_RDWR))
	taken, err := lock.TryLock()
	if err != nil {
		return nil, err
	}
	if !taken {
		holder, err := os.ReadFile(path)
		return nil, errors.Join(busyFault{fmt.Errorf("another run holds the district: %s; wait for it or end it", holder)}, err)
	}
	holder := fmt.Sprintf("process %d, begun %s", os.Getpid(), now.Format(time.RFC3339))
	if err := os.WriteFile(path, []byte(holder), 0o644); err != nil {
		return nil, errors.Join(err, lock.Unlock())
	}
	return lock.Unlock, nil
}

func (n *night) readSettings(context.Context) (err error) {
	n.settings, err = ReadSettings(filepath.Join(n.Dir, "district.toml"))
	return err
}

func (n *night) readReference(context.Context) (err error) {
	if n.reference, err = ReadReference(n.Dir, n.settings); err != nil {
		return err
	}
	for _, warning := range n.reference.Warnings {
		n.report.Warnings = append(n.report.Warnings, warning.String())
	}
	return nil
}

func (n *night) openLedger(ctx context.Context) (err error) {
	path := filepath.Join(n.Dir, "ledger.duckdb")
	if n.ledger, err = openLedger(ctx, path); err == nil || ctx.Err() != nil {
		return err
	}
	// The deliveries are the truth: a database that does not open is moved aside and built anew.
	n.report.warn("the ledger did not open and was rebuilt; the old one is ledger.duckdb.aside: %v", err)
	if err := n.files.rename(path, path+".aside"); err != nil {
		return err
	}
	n.ledger, err = openLedger(ctx, path)
	return err
}

func (n *night) load(ctx context.Context) (err error) {
	if err := loadRun(ctx, n.ledger, n.settings); err != nil {
		return err
	}
	if err := loadReference(ctx, n.ledger, n.reference); err != nil {
		return err
	}
	n.report.Load, err = loadDeliveries(ctx, n.ledger, n.Dir, n.settings, n.files)
	n.report.Warnings = append(n.report.Warnings, n.report.Load.lines()...)
	return err
}

// tally computes everything from the deliveries in force, whole, in one transaction.
func (n *night) tally(ctx context.Context) error {
	return n.ledger.InTx(ctx, func() error {
		if err := tellRows(ctx, n.ledger); err != nil {
			return err
		}
		if err := n.ledger.runQueries(ctx, "19", "39"); err != nil {
			return err
		}
		if err := fillRounds(ctx, n.ledger); err != nil {
			return err
		}
		if err := n.ledger.runQueries(ctx, "40", "79"); err != nil {
			return err
		}
		if err := tallyLearning(ctx, n.ledger, n.settings); err != nil {
			return err
		}
		if err := tallyComparison(ctx, n.ledger, n.settings); err != nil {
			return err
		}
		if err := tallyStockOutlook(ctx, n.ledger, n.settings); err != nil {
			return err
		}
		return n.ledger.runQueries(ctx, "90", "94")
	})
}

// tellRows says of every delivered row what it is tonight, and decodes the present weather of those in force.
func tellRows(ctx context.Context, l *Ledger) error {
	if err := l.runQueries(ctx, "10", "11"); err != nil {
		return err
	}
	if err := fillReportIncrements(ctx, l); err != nil {
		return err
	}
	if err := l.runQueries(ctx, "12", "18"); err != nil {
		return err
	}
	return fillPresentWxCodes(ctx, l)
}

func (n *night) export(ctx context.Context) (err error) {
	if n.building, err = n.files.beginRelease(n.Dir, n.report.Release); err != nil {
		return err
	}
	return writeExports(ctx, n.ledger, n.files, filepath.Join(n.building, "data"))
}

func (n *night) render(ctx context.Context) error {
	data, err := readSiteData(ctx, n.ledger, n.settings)
	if err != nil {
		return err
	}
	return site.Build(filepath.Join(n.building, "public"), data)
}

func (n *night) publish(context.Context) error {
	if err := n.files.publishData(n.building); err != nil {
		return err
	}
	if err := n.files.publishRelease(n.Dir, n.building, n.report.Release); err != nil {
		return err
	}
	n.building = ""
	n.report.Dashboard = filepath.Join(n.Dir, "current", "public", "index.html")
	n.report.IsPublished = true
	return n.files.pruneReleases(n.Dir, n.settings.KeepReleases)
}
