package release

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"syscall"

	"lanetally/pipeline/disk"
)

// The live release is what current leads to: a link to releases/<id>, or, on a disk without links, the release's folder itself.

// LiveRelease is the id of the live release; "" when there is none.
func LiveRelease(dir string) (string, error) {
	current := filepath.Join(dir, "current")
	info, err := os.Stat(current)
	if errors.Is(err, fs.ErrNotExist) {
		return "", nil
	}
	if err != nil {
		return "", err
	}
	if target, err := os.Readlink(current); err == nil {
		return filepath.Base(target), nil
	}
	if !info.IsDir() {
		return "", fmt.Errorf("%s: neither a link nor a folder; move it away", current)
	}
	m, err := ReadReleaseManifest(current)
	if err != nil {
		return "", fmt.Errorf("current is a folder of its own and not a release; move it away: %w", err)
	}
	return m.Release, nil
}

// ReleaseIDs lists the whole releases in releases/, oldest first.
func ReleaseIDs(dir string) ([]string, error) {
	entries, err := os.ReadDir(filepath.Join(dir, "releases"))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	var ids []string
	for _, entry := range entries {
		if entry.IsDir() && !strings.HasPrefix(entry.Name(), PartialPrefix) {
			ids = append(ids, entry.Name())
		}
	}
	slices.Sort(ids)
	return ids, err
}

// MakeLive makes releases/<id> the live release. With links that is one rename: a reader sees the old release or the new one
// and nothing between. Where links are not possible it takes two renames; killed between them there is no live release
// until RepairLive.
func MakeLive(l disk.Layer, dir, id string) error {
	current, next := filepath.Join(dir, "current"), filepath.Join(dir, "current.next")
	if info, err := os.Lstat(current); err == nil && info.IsDir() {
		return makeLiveFolder(l, dir, id)
	}
	if err := os.Remove(next); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	err := l.Link(filepath.Join("releases", id), next)
	if isWithoutLinks(err) {
		return makeLiveFolder(l, dir, id)
	}
	if err != nil {
		return err
	}
	if err := l.Rename(next, current); err != nil {
		return errors.Join(err, os.Remove(next))
	}
	return l.SyncFolder(dir)
}

// isWithoutLinks tells the errors of file systems that know no links.
func isWithoutLinks(err error) bool {
	return errors.Is(err, syscall.EPERM) || errors.Is(err, syscall.ENOTSUP) || errors.Is(err, syscall.EOPNOTSUPP) || errors.Is(err,
		syscall.ENOSYS)
}

func makeLiveFolder(l disk.Layer, dir, id string) error {
	current, releases := filepath.Join(dir, "current"), filepath.Join(dir, "releases")
	live, err := LiveRelease(dir)
	if err != nil {
		return err
	}
	if live != "" {
		if err := l.Rename(current, filepath.Join(releases, live)); err != nil {
			return err
		}
	}
	if err := l.Rename(filepath.Join(releases, id), current); err != nil {
		if live != "" { // the former release back to its place
			err = errors.Join(err, os.Rename(filepath.Join(releases, live), current))
		}
		return err
	}
	return errors.Join(l.SyncFolder(releases), l.SyncFolder(dir))
}

// RepairLive makes the newest whole release live when there is none, and says which; "" when nothing was to mend.
func RepairLive(l disk.Layer, dir string) (string, error) {
	live, err := LiveRelease(dir)
	if err != nil || live != "" {
		return "", err
	}
	ids, err := ReleaseIDs(dir)
	if err != nil {
		return "", err
	}
	for _, id := range slices.Backward(ids) {
		findings, err := CompareRelease(filepath.Join(dir, "releases", id))
		if err != nil {
			return "", err
		}
		if len(findings) == 0 {
			return id, MakeLive(l, dir, id)
		}
	}
	return "", nil
}

// PruneReleases removes all but the newest keep releases and the last one of each month, and never the live one.
func PruneReleases(l disk.Layer, dir string, keep int) error {
	live, err := LiveRelease(dir)
	if err != nil {
		return err
	}
	ids, err := ReleaseIDs(dir)
	if err != nil {
		return err
	}
	if !slices.Contains(ids, live) {
		ids = append(ids, live) // current is the folder itself
		slices.Sort(ids)
	}
	for _, id := range Superfluous(ids, live, keep) {
		if err := l.RemoveAll(filepath.Join(dir, "releases", id)); err != nil {
			return err
		}
	}
	return nil
}

// Superfluous picks what need not stay: not live, not among the newest keep (the live one counted), not the last of its month.
func Superfluous(ids []string, live string, keep int) []string {
	const monthLength = len("200601")
	month := func(id string) string { return id[:min(monthLength, len(id))] }
	var picked []string
	kept := 1 // the live one
	for i, id := range slices.Backward(ids) {
		switch {
		case id == live:
		case kept < keep:
			kept++
		case i+1 == len(ids) || month(ids[i+1]) != month(id):
		default:
			picked = append(picked, id)
		}
	}
	return picked
}
