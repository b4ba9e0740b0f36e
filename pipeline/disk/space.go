package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// spaceFactor is how many times the last release and the ledger must fit on the disk before a night begins: one release
// beside the live one, a ledger that grows while a transaction is open, and as much again for the spill folder.
const spaceFactor = 3

// spaceLeft is the bytes that a program without special rights may still write at path.
func (l Layer) spaceLeft(path string) (int64, error) {
	if l.Space != nil {
		return l.Space(path)
	}
	var stat syscall.Statfs_t
	if err := syscall.Statfs(path, &stat); err != nil {
		return 0, &fs.PathError{Op: "statfs", Path: path, Err: err}
	}
	return int64(stat.Bavail) * int64(stat.Bsize), nil //nolint:unconvert // of other sizes on other systems
}

// CheckSpace asks for spaceFactor times the live release and the ledger.
func (l Layer) CheckSpace(dir string) error {
	used, err := BytesBelow(filepath.Join(dir, "current") + string(filepath.Separator))
	if err != nil {
		return err
	}
	ledger, err := BytesBelow(filepath.Join(dir, "ledger.duckdb"))
	if err != nil {
		return err
	}
	left, err := l.spaceLeft(dir)
	if err != nil {
		return err
	}
	if need := spaceFactor * (used + ledger); left < need {
		return fmt.Errorf("%d MB are free and a night wants %d MB (%d times the last release and the ledger); free some space, or "+
			"lower keep_releases: %w",
			left>>20, (need+1<<20-1)>>20, spaceFactor, syscall.ENOSPC)
	}
	return nil
}

// BytesBelow sums the sizes of the files at and below path; an absent path has none.
func BytesBelow(path string) (int64, error) {
	var total int64
	err := filepath.WalkDir(path, func(_ string, entry fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil || !entry.Type().IsRegular() {
			return err
		}
		info, err := entry.Info()
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err == nil {
			total += info.Size()
		}
		return err
	})
	return total, err
}

// WriteNew writes a file of a release under construction. It is not durable before syncTree.
func (l Layer) WriteNew(path string, content []byte) error {
	if err := l.MakeFolder(filepath.Dir(path)); err != nil {
		return err
	}
	file, err := l.Open(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, PublicMode)
	if err != nil {
		return err
	}
	_, err = file.Write(content)
	return errors.Join(err, file.File.Close())
}
