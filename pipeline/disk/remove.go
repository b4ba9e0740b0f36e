package disk

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"strings"
	"syscall"
)

// goingEnding ends the hidden name under which a file waits that is about to go.
const goingEnding = ".going"

var errReplaced = errors.New("it changed while it was read and stays; look again later")

// RemoveProved removes the file name below root, and no other than the one that prove read: it is renamed to a hidden name, looked at again
// there, and goes or is put back. A file that stays says why.
func (l Layer) RemoveProved(root *os.Root, name string, prove func() error) (why, err error) {
	held, err := root.OpenFile(name, os.O_RDONLY|syscall.O_NONBLOCK, 0) // until the end: no other file gets its inode
	if err != nil {
		return err, nil
	}
	defer func() { err = errors.Join(err, held.Close()) }()
	proved, err := held.Stat()
	if err != nil {
		return nil, err
	}
	if why = prove(); why != nil {
		return why, nil
	}
	now, err := root.Lstat(name)
	if err != nil || !isSame(now, proved) || changedAt(now) != changedAt(proved) {
		return errReplaced, nil
	}
	hidden := path.Join(path.Dir(name), "."+path.Base(name)+goingEnding)
	if err := l.ask("rename", hidden); err != nil {
		return nil, err
	}
	if err := root.Rename(name, hidden); err != nil {
		return nil, err
	}
	// To rename a file is itself a change of it to the file system's clock: the time of its bytes stands for that here.
	if now, err = root.Lstat(hidden); err == nil && !isSame(now, proved) {
		return errReplaced, putBack(root, hidden)
	}
	if err == nil {
		err = l.ask("remove", name)
	}
	if err != nil {
		return nil, errors.Join(err, putBack(root, hidden))
	}
	return nil, errors.Join(root.Remove(hidden), l.SyncFolder(path.Join(root.Name(), path.Dir(name))))
}

func isSame(now, proved fs.FileInfo) bool {
	return os.SameFile(now, proved) && now.Size() == proved.Size() && now.ModTime().Equal(proved.ModTime())
}

// changedAt is when the file system last saw a change of the file, in nanoseconds.
func changedAt(info fs.FileInfo) int64 { return info.Sys().(*syscall.Stat_t).Ctim.Nano() }

// PutBack gives the files below a folder of root that a killed RemoveProved left hidden their names again.
func PutBack(root *os.Root, folder string) error {
	return fs.WalkDir(root.FS(), folder, func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return nil //nolint:nilerr // no folder, or one that cannot be read: told elsewhere
		case strings.HasPrefix(entry.Name(), ".") && strings.HasSuffix(name, goingEnding) && entry.Type().IsRegular():
			return putBack(root, name)
		}
		return nil
	})
}

// putBack gives a hidden file its name again, unless another has come by that name meanwhile.
func putBack(root *os.Root, hidden string) error {
	name := path.Join(path.Dir(hidden), strings.TrimSuffix(strings.TrimPrefix(path.Base(hidden), "."), goingEnding))
	if err := root.Link(hidden, name); err != nil {
		return fmt.Errorf("%s waits under this name: %w; give it the name %s again", hidden, err, name)
	}
	return root.Remove(hidden)
}
