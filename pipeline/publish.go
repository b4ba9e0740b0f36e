package pipeline

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
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
	return building, errors.Join(
		l.makeFolder(filepath.Join(building, "data")),
		l.makeFolder(filepath.Join(building, "public", "data")))
}

// publishRelease makes the finished folder the live release: everything is on the disk before the link moves, and the link moves in
// one rename, so that a reader sees the old release or the new one and nothing between.
func (l fileLayer) publishRelease(dir, building, id string) error {
	if err := l.syncTree(building); err != nil {
		return err
	}
	releases := filepath.Join(dir, "releases")
	if err := l.rename(building, filepath.Join(releases, id)); err != nil {
		return err
	}
	if err := l.syncFolder(releases); err != nil {
		return err
	}
	next := filepath.Join(dir, "current.next")
	if err := os.Remove(next); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err := l.link(filepath.Join("releases", id), next); err != nil {
		return err
	}
	if err := l.rename(next, filepath.Join(dir, "current")); err != nil {
		return err
	}
	return l.syncFolder(dir)
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

// pruneReleases removes all but the newest keep releases, and never the live one.
func (l fileLayer) pruneReleases(dir string, keep int) error {
	live, err := os.Readlink(filepath.Join(dir, "current"))
	if err != nil {
		return err
	}
	entries, err := os.ReadDir(filepath.Join(dir, "releases"))
	if err != nil {
		return err
	}
	var names []string
	for _, entry := range entries {
		if entry.IsDir() && !strings.HasPrefix(entry.Name(), partialPrefix) && entry.Name() != filepath.Base(live) {
			names = append(names, entry.Name())
		}
	}
	slices.Sort(names)
	for len(names) > max(keep-1, 0) {
		if err := l.removeAll(filepath.Join(dir, "releases", names[0])); err != nil {
			return err
		}
		names = names[1:]
	}
	return nil
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
	return l.writeDurable(to, func(w io.Writer) error {
		_, err := w.Write(content)
		return err
	})
}

// publishData copies every export to the public folder.
func (l fileLayer) publishData(building string) error {
	for _, name := range ExportNames {
		for _, ending := range []string{".csv", ".parquet"} {
			file := name + ending
			if err := l.copyFile(filepath.Join(building, "data", file), filepath.Join(building, "public", "data", file)); err != nil {
				return err
			}
		}
	}
	return nil
}
