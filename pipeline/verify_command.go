package pipeline

import (
	"context"
	"errors"
	"fmt"
	"path/filepath"
	"slices"
	"time"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/release"
)

type verifyCommand struct {
	Dir  string `arg:"" type:"district" help:"District folder."`
	JSON bool   `help:"Print the findings as JSON."`
}

// Run rereads the releases and the archive.
func (v verifyCommand) Run(ctx context.Context, c console) error {
	findings, err := release.VerifyDistrict(ctx, v.Dir)
	if err != nil {
		return err
	}
	if _, err := readAccepted(v.Dir); err != nil {
		findings = append(findings, err.Error())
	}
	if v.JSON {
		err = c.printJSON(append([]string{}, findings...))
	} else {
		for _, finding := range findings {
			if _, err := fmt.Fprintln(c.out, finding); err != nil {
				return err
			}
		}
	}
	if err != nil {
		return err
	}
	if len(findings) > 0 {
		return Found{fmt.Sprintf("%s; run lanetally nightly %s for a new release, or lanetally rollback %s for the one before",
			plural(int64(len(findings)), "finding", "findings"), v.Dir, v.Dir)}
	}
	return c.say("every file of the releases and the archive is as it was written")
}

type rollbackCommand struct {
	Dir string `arg:"" type:"district" help:"District folder."`
	ID  string `arg:"" optional:"" help:"Release to go back to; without it, the one before the live one."`
}

// Run makes a former release live again.
func (r rollbackCommand) Run(c console) error {
	id, err := rollBack(r.Dir, r.ID, c.now, disk.Layer{})
	if err != nil {
		return err
	}
	return c.say("release %s is live again; the next night publishes a new one from the deliveries", id)
}

// rollBack makes release id live again, or the one before the live one. A release that does not stand up to its manifest
// stays where it is.
func rollBack(dir, id string, now time.Time, files disk.Layer) (went string, err error) {
	unlock, err := lockDistrict(dir, now)
	if err != nil {
		return "", err
	}
	defer func() { err = errors.Join(err, unlock()) }()
	live, err := release.LiveRelease(dir)
	if err != nil {
		return "", err
	}
	ids, err := release.ReleaseIDs(dir)
	if err != nil {
		return "", err
	}
	if id, err = pickFormer(ids, live, id); err != nil {
		return "", err
	}
	findings, err := release.CompareRelease(filepath.Join(dir, "releases", id))
	if err != nil {
		return "", err
	}
	if len(findings) > 0 {
		return "", Found{fmt.Sprintf("release %s is damaged and stays where it is: %s; lanetally verify %s lists all", id, findings[0],
			dir)}
	}
	return id, release.MakeLive(files, dir, id)
}

// pickFormer is wanted where it is a kept release, else the newest one older than the live one.
func pickFormer(ids []string, live, wanted string) (string, error) {
	if wanted != "" {
		if wanted == live {
			return "", usageFault{fmt.Errorf("release %q is the live one", wanted)}
		}
		if !slices.Contains(ids, wanted) {
			return "", usageFault{fmt.Errorf("there is no release %q; these are kept: %v", wanted, ids)}
		}
		return wanted, nil
	}
	for _, id := range slices.Backward(ids) {
		if id < live {
			return id, nil
		}
	}
	return "", usageFault{fmt.Errorf("no release before %q is kept; these are: %v", live, ids)}
}
