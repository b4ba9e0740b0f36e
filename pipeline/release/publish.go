// Package release makes a night's results public: exports, the tables that pages and files of data/ may show, the manifest, and the swap
// of the link current; it also verifies, prunes and brings back releases.
//
// In: tables of the ledger. Out: a folder below releases/, whole before it is live. Killed anywhere, the former release stays live.
package release

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lanetally/pipeline/disk"
)

// PartialPrefix marks a release that is still being built.
const PartialPrefix = ".building-"

// BeginRelease makes an empty folder for a release beside the live one, and removes what killed runs left behind.
func BeginRelease(l disk.Layer, dir, id string) (string, error) {
	releases := filepath.Join(dir, "releases")
	if err := l.MakeFolder(releases); err != nil {
		return "", err
	}
	entries, err := os.ReadDir(releases)
	if err != nil {
		return "", err
	}
	for _, entry := range entries {
		if strings.HasPrefix(entry.Name(), PartialPrefix) {
			if err := l.RemoveAll(filepath.Join(releases, entry.Name())); err != nil {
				return "", err
			}
		}
	}
	building := filepath.Join(releases, PartialPrefix+id)
	for _, folder := range []string{"data", "public/data", baselineFolder} {
		if err := l.MakeFolder(filepath.Join(building, folder)); err != nil {
			return building, err
		}
	}
	return building, nil
}

// PublishRelease makes the finished folder the live release: everything is on the disk before it goes live.
func PublishRelease(l disk.Layer, dir, building, id string) error {
	if err := syncTree(l, building); err != nil {
		return err
	}
	releases := filepath.Join(dir, "releases")
	if err := l.Rename(building, filepath.Join(releases, id)); err != nil {
		return err
	}
	err := l.SyncFolder(releases)
	if err == nil {
		err = MakeLive(l, dir, id)
	}
	if live, liveErr := LiveRelease(dir); err != nil && (liveErr != nil || live != id) {
		return errors.Join(err, os.RemoveAll(filepath.Join(releases, id))) // it never went live
	}
	return err
}

// FreeReleaseID is id, or id with the first of -2, -3, ... that no release has yet.
func FreeReleaseID(dir, id string) (string, error) {
	for n := 1; ; n++ {
		candidate := id
		if n > 1 {
			candidate = fmt.Sprintf("%s-%d", id, n)
		}
		_, err := os.Lstat(filepath.Join(dir, "releases", candidate))
		if errors.Is(err, fs.ErrNotExist) {
			return candidate, nil
		}
		if err != nil {
			return "", err
		}
	}
}

// syncTree writes every file and folder under root through to the disk.
func syncTree(l disk.Layer, root string) error {
	return filepath.WalkDir(root, func(path string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return l.SyncFolder(path)
	})
}
