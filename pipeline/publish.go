package pipeline

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// partialPrefix marks a release that is still being built.
const partialPrefix = ".building-"

// beginRelease makes an empty folder for a release beside the live one, and removes what killed runs left behind.
func (l fileLayer) beginRelease(dir, id string) (string, error) {
	releases := filepath.Join(dir, "releases")
	if err := l.makeFolder(releases); err != nil {
		return "", err
	}
	entries, err := os.ReadDir(releases)
	if err != nil {
		return "", err
	}
	for _, entry := range entries {
		if strings.HasPrefix(entry.Name(), partialPrefix) {
			if err := l.removeAll(filepath.Join(releases, entry.Name())); err != nil {
				return "", err
			}
		}
	}
	building := filepath.Join(releases, partialPrefix+id)
	for _, folder := range []string{"data", "public/data", baselineFolder} {
		if err := l.makeFolder(filepath.Join(building, folder)); err != nil {
			return building, err
		}
	}
	return building, nil
}

// publishRelease makes the finished folder the live release: everything is on the disk before it goes live.
func (l fileLayer) publishRelease(dir, building, id string) error {
	if err := l.syncTree(building); err != nil {
		return err
	}
	releases := filepath.Join(dir, "releases")
	if err := l.rename(building, filepath.Join(releases, id)); err != nil {
		return err
	}
	err := l.syncFolder(releases)
	if err == nil {
		err = l.makeLive(dir, id)
	}
	if live, liveErr := liveRelease(dir); err != nil && (liveErr != nil || live != id) {
		return errors.Join(err, os.RemoveAll(filepath.Join(releases, id))) // it never went live
	}
	return err
}

// freeReleaseID is id, or id with the first of -2, -3, ... that no release has yet.
func freeReleaseID(dir, id string) (string, error) {
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
func (l fileLayer) syncTree(root string) error {
	return filepath.WalkDir(root, func(path string, _ fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		return l.syncFolder(path)
	})
}

// copyFile copies one file.
func (l fileLayer) copyFile(from, to string) error {
	content, err := os.ReadFile(from)
	if err != nil {
		return err
	}
	return l.writeDurable(to, writeAll(content))
}
