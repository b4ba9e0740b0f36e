package pipeline

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
func (l fileLayer) spaceLeft(path string) (int64, error) {
	if l.space != nil {
		return l.space(path)
	}
	var stat syscall.Statfs_t
	if err := syscall.Statfs(path, &stat); err != nil {
		return 0, &fs.PathError{Op: "statfs", Path: path, Err: err}
	}
	return int64(stat.Bavail) * int64(stat.Bsize), nil
}

// checkSpace asks for spaceFactor times the live release and the ledger.
func (l fileLayer) checkSpace(dir string) error {
	used, err := bytesBelow(filepath.Join(dir, "current") + string(filepath.Separator))
	if err != nil {
		return err
	}
	ledger, err := bytesBelow(filepath.Join(dir, "ledger.duckdb"))
	if err != nil {
		return err
	}
	left, err := l.spaceLeft(dir)
	if err != nil {
		return err
	}
	if need := spaceFactor * (used + ledger); left < need {
		return fmt.Errorf("%d MB are free and a night wants %d MB (%d times the last release and the ledger); free some space, or lower keep_releases: %w",
			left>>20, (need+1<<20-1)>>20, spaceFactor, syscall.ENOSPC)
	}
	return nil
}

// bytesBelow sums the sizes of the files at and below path; an absent path has none.
func bytesBelow(path string) (int64, error) {
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

// writeNew writes a file of a release under construction. It is not durable before syncTree.
func (l fileLayer) writeNew(path string, content []byte) error {
	if err := l.makeFolder(filepath.Dir(path)); err != nil {
		return err
	}
	file, err := l.open(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, publicMode)
	if err != nil {
		return err
	}
	_, err = file.Write(content)
	return errors.Join(err, file.file.Close())
}
