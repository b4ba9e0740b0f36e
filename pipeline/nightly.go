package pipeline

import (
	"context"
	"errors"
	"fmt"
	"io"
	"log/slog"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/gofrs/flock"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/release"
	"lanetally/site"
)

// NightlyOptions says over which district folder a night runs, at which instant, and where words for people go.
// Accept, where not empty, is why a person publishes figures that would not go live by themselves.
type NightlyOptions struct {
	Dir    string
	Now    time.Time
	Words  io.Writer
	Accept string
	Silent bool             // tell nobody of a failure: someone else does
	Clock  func() time.Time // for the time left on a terminal; nil shows none

	files       disk.Layer
	notifyLimit time.Duration     // 0 is notifyLimit
	reached     func(step string) // told each step before it begins; of tests
}

// night is one run on its way through the steps.
type night struct {
	NightlyOptions
	settings  *district.Settings
	reference *district.Reference
	ledger    *ledger.Ledger
	log       *slog.Logger
	logFile   *logFile
	report    *RunReport
	building  string // folder of the release that is being built
}

// openLedgerStep is where a night begins again when its ledger turns out damaged.
const openLedgerStep = "open the ledger"

// nightSteps is a night, in order. A step reads only what steps before it wrote.
var nightSteps = []nightStep{
	{"read the settings", (*night).readSettings},
	{"read the reference tables", (*night).readReference},
	{"look at the disk", (*night).lookAtDisk},
	{openLedgerStep, (*night).openLedger},
	{"load the deliveries", (*night).load},
	{"tally", (*night).tally},
	{"check the sums", (*night).check},
	{"write the exports", (*night).export},
	{"compare with last night", (*night).judgeGate},
	{"render the site", (*night).render},
	{"verify the release", (*night).verify},
	{"publish", (*night).publish},
}

// nightStep is one step of a night and its name, which errors and logs use.
type nightStep struct {
	name string
	run  func(*night, context.Context) error
}

// Nightly loads what was delivered, tallies everything anew and publishes a release. Killed anywhere, or on an error, the last release
// stands; the next run needs no tidying up. The outcome is in log/, and in log/last_run.json for status.
func Nightly(ctx context.Context, options NightlyOptions) (*RunReport, error) {
	if err := options.files.MakeFolder(filepath.Join(options.Dir, "log")); err != nil {
		return nil, err
	}
	unlock, err := lockDistrict(options.Dir, options.Now)
	if err != nil {
		return nil, err
	}
	n := &night{NightlyOptions: options, report: newRunReport(options.Now)}
	hasEnded := n.tellWhenStopped(ctx)
	err = n.run(ctx)
	if wasStopped := hasEnded(); err != nil && !wasStopped {
		err = n.tellFault(ctx, err)
	}
	return n.report, errors.Join(err, unlock())
}

// run goes through the steps and writes the log and the report, whatever happens.
func (n *night) run(ctx context.Context) error {
	id, err := release.FreeReleaseID(n.Dir, n.Now.Format("20060102T150405Z"))
	if err != nil {
		return err
	}
	n.report.Release = id
	if err := n.writeBegun(); err != nil {
		return err
	}
	if err := n.openLog(id); err != nil {
		return err
	}
	stepErr := n.runSteps(ctx)
	if n.ledger != nil {
		stepErr = errors.Join(stepErr, n.ledger.Close())
	}
	if stepErr != nil {
		n.report.Fault = stepErr.Error()
		n.log.Error("run ended", "fault", stepErr.Error())
	}
	if stepErr != nil && n.building != "" {
		stepErr = errors.Join(stepErr, os.RemoveAll(n.building))
	}
	return errors.Join(stepErr, n.logFile.close(), n.writeReport(), n.pruneLogs())
}

// runSteps goes through the steps until one fails or ctx ends. A ledger that turns out damaged on the way is built anew, once.
func (n *night) runSteps(ctx context.Context) error {
	show := progressOn(n.Words)
	defer show.clear()
	hasBegunAnew := false
	for i := 0; i < len(nightSteps); i++ {
		step := nightSteps[i]
		if err := context.Cause(ctx); err != nil {
			return err
		}
		if n.reached != nil {
			n.reached(step.name)
		}
		show.step(i+1, len(nightSteps), step.name)
		err := errors.Join(step.run(n, ctx), n.logFile.err)
		if ledger.IsLedgerDamage(err) && !hasBegunAnew && ctx.Err() == nil {
			hasBegunAnew = true
			if err := n.startLedgerAnew(ctx, fmt.Sprintf("the ledger is damaged (%v)", err)); err != nil {
				return fmt.Errorf("%s: %w", step.name, err)
			}
			i = slices.IndexFunc(nightSteps, func(s nightStep) bool { return s.name == openLedgerStep })
			continue
		}
		if err != nil {
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
		return nil, errors.Join(busyFault{fmt.Errorf(
			"another run holds the district: %s; wait for it, or end that process: nothing is lost", holder)}, err)
	}
	holder := fmt.Sprintf("process %d, begun %s", os.Getpid(), now.Format(time.RFC3339))
	_ = os.WriteFile(path, []byte(holder), 0o644) // for who finds it held; a full disk stops the run itself
	return lock.Unlock, nil
}

func (n *night) readSettings(context.Context) (err error) {
	if n.settings, err = district.ReadSettings(filepath.Join(n.Dir, "district.toml")); err != nil {
		return err
	}
	_, _, err = district.ReadCrewFile(n.Dir) // a fault in it shows before the work, not after
	return err
}

func (n *night) readReference(context.Context) (err error) {
	if n.reference, err = district.ReadReference(n.Dir, n.settings); err != nil {
		return err
	}
	for _, warning := range n.reference.Warnings {
		n.report.Warnings = append(n.report.Warnings, warning.String())
	}
	return nil
}

// lookAtDisk mends what a killed run left, and asks for room before anything is written.
func (n *night) lookAtDisk(context.Context) error {
	if err := putBackHidden(n.Dir); err != nil {
		return err
	}
	mended, err := release.RepairLive(n.files, n.Dir)
	if err != nil {
		return err
	}
	if mended != "" {
		n.report.warn("there was no live release; %s, the newest whole one, is live again", mended)
	}
	return n.files.CheckSpace(n.Dir)
}

func (n *night) load(ctx context.Context) (err error) {
	if err := district.LoadRun(ctx, n.ledger, n.settings); err != nil {
		return err
	}
	if err := district.LoadReference(ctx, n.ledger, n.reference); err != nil {
		return err
	}
	n.report.Load, err = intake.LoadDeliveries(ctx, n.ledger, n.Dir, n.settings, n.files, n.crumbProgress())
	n.report.Warnings = append(n.report.Warnings, n.report.Load.Lines()...)
	return err
}

// tally computes everything from the deliveries in force, whole, in one transaction.
func (n *night) tally(ctx context.Context) error {
	return n.ledger.InTx(ctx, func() error { return walk(ctx, n.ledger, n.settings, stretchTell, stretchMoney) })
}

func (n *night) export(ctx context.Context) (err error) {
	if n.building, err = release.BeginRelease(n.files, n.Dir, n.report.Release); err != nil {
		return err
	}
	return release.WriteExports(ctx, n.ledger, n.hidden(), filepath.Join(n.building, "data"))
}

// hidden is the file layer for what holds delivered rows: others may not read it where they may not read a delivery.
func (n *night) hidden() disk.Layer {
	files := n.files
	files.Hide = n.report.Load.Hides
	return files
}

func (n *night) render(ctx context.Context) error {
	public, err := release.ReadPublicView(ctx, n.ledger, n.files, n.Dir, n.settings.Publish)
	if err != nil {
		return err
	}
	if !site.HasCharts() {
		n.report.warn("the program was built without the chart script: a sentence stands in place of each chart; " +
			"run make setup, build again")
	}
	data, err := release.ReadSiteData(ctx, n.ledger, n.settings, public)
	if err != nil {
		return err
	}
	if err := release.PublishData(ctx, n.files, n.ledger, n.building, public); err != nil {
		return err
	}
	err = site.Write(data, func(name string, content []byte) error {
		return errors.Join(context.Cause(ctx), n.files.WriteNew(filepath.Join(n.building, "public", filepath.FromSlash(name)), content))
	})
	if err != nil {
		return err
	}
	return release.WriteReleaseManifest(n.files, n.building,
		release.ReleaseManifest{Version: version, Release: n.report.Release, BeganAt: n.Now, AsOfAt: n.report.AsOfAt,
			Feeds: n.report.Feeds, Silent: n.report.Silent, Missing: n.report.Missing})
}

// verify rereads the release from the disk before anyone else sees it.
func (n *night) verify(ctx context.Context) error {
	findings, err := release.VerifyRelease(ctx, n.building)
	if err != nil {
		return err
	}
	if len(findings) > 0 {
		return fmt.Errorf("the release does not read back as written: %s; look at the disk", strings.Join(findings, "; "))
	}
	return release.CheckExportSums(ctx, n.ledger, filepath.Join(n.building, "data"))
}

func (n *night) publish(context.Context) error {
	if err := release.PublishRelease(n.files, n.Dir, n.building, n.report.Release); err != nil {
		live, _ := release.LiveRelease(n.Dir) // a fault after the swap leaves the new release live
		n.report.IsPublished = live == n.report.Release
		return err
	}
	n.building = ""
	n.report.Dashboard = filepath.Join(n.Dir, "current", "public", "index.html")
	n.report.IsPublished = true
	return release.PruneReleases(n.files, n.Dir, n.settings.KeepReleases)
}
