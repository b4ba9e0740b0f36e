package crumbs

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// Dir is the folder of a store. Before, where set, is asked ahead of each open, write, fsync, rename, remove and mkdir; its error takes the
// operation's place.
type Dir struct {
	Path   string
	Before func(operation, path string) error
}

// unfinished is the ending of what a run that was killed may leave, and Open removes.
const unfinished = ".tmp"

func (d Dir) ask(operation, path string) error {
	if d.Before == nil {
		return nil
	}
	if err := d.Before(operation, path); err != nil {
		return &fs.PathError{Op: operation, Path: path, Err: err}
	}
	return nil
}

func (d Dir) path(name string) string { return filepath.Join(d.Path, filepath.FromSlash(name)) }

// outFile is a file that is being written.
type outFile struct {
	dir  Dir
	name string
	file *os.File
	*bufio.Writer
}

// create opens a file to write under its unfinished name, in a folder that it makes.
func (d Dir) create(name string) (*outFile, error) {
	path := d.path(name) + unfinished
	if err := d.makeFolder(filepath.Dir(path)); err != nil {
		return nil, err
	}
	if err := d.ask("open", path); err != nil {
		return nil, err
	}
	file, err := os.Create(path)
	if err != nil {
		return nil, err
	}
	out := &outFile{dir: d, name: name, file: file}
	out.Writer = bufio.NewWriterSize(asked{out}, 1<<18)
	return out, nil
}

// asked asks ahead of each write.
type asked struct{ out *outFile }

// Write writes to the file.
func (a asked) Write(text []byte) (int, error) {
	if err := a.out.dir.ask("write", a.out.file.Name()); err != nil {
		return 0, err
	}
	return a.out.file.Write(text)
}

// finish makes the file durable, still under its unfinished name.
func (o *outFile) finish() error {
	err := o.Flush()
	if err == nil {
		err = o.dir.ask("fsync", o.file.Name())
	}
	if err == nil {
		err = o.file.Sync()
	}
	return errors.Join(err, o.file.Close())
}

// discard leaves nothing of the file.
func (o *outFile) discard() error { return errors.Join(o.file.Close(), os.Remove(o.file.Name())) }

func (d Dir) makeFolder(path string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil
	}
	if err := d.ask("mkdir", path); err != nil {
		return err
	}
	if err := os.MkdirAll(path, 0o755); err != nil {
		return err
	}
	return d.syncFolders(filepath.Dir(path))
}

// rename gives a finished file its own name.
func (d Dir) rename(name string) error {
	path := d.path(name)
	if err := d.ask("rename", path); err != nil {
		return err
	}
	return os.Rename(path+unfinished, path)
}

// settle gives a finished file its own name, durably.
func (d Dir) settle(name string) error {
	if err := d.rename(name); err != nil {
		return err
	}
	return d.syncFolder(filepath.Dir(d.path(name)))
}

func (d Dir) syncFolder(path string) error {
	if err := d.ask("fsync", path); err != nil {
		return err
	}
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}

// syncFolders makes new folders durable, from path up to the store's own.
func (d Dir) syncFolders(path string) error {
	for {
		if err := d.syncFolder(path); err != nil {
			return err
		}
		if path == filepath.Clean(d.Path) || path == filepath.Dir(path) || !strings.HasPrefix(path, filepath.Clean(d.Path)) {
			return nil
		}
		path = filepath.Dir(path)
	}
}

// remove removes a file, and is no error where there is none.
func (d Dir) remove(name string) error {
	path := d.path(name)
	if err := d.ask("remove", path); err != nil {
		return err
	}
	if err := os.Remove(path); err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// sweep removes what was left unfinished, and nothing that lies outside the folder.
func (d Dir) sweep() error {
	root, err := os.OpenRoot(d.Path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		return err
	}
	err = fs.WalkDir(root.FS(), ".", func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case !entry.IsDir() && strings.HasSuffix(name, unfinished) && isOwn(name):
			return root.Remove(name)
		}
		return nil
	})
	return errors.Join(err, root.Close())
}

// isOwn: beside the seasons' folders, a folder of the store holds files of its own at the top, which all begin with "change" or "arriving".
func isOwn(name string) bool {
	return strings.Contains(name, "/") || strings.HasPrefix(name, "change") || strings.HasPrefix(name, "arriving")
}

// Days lists the days that have a file, in order.
func (d Dir) Days() (days []Day, err error) {
	paths, err := filepath.Glob(filepath.Join(d.Path, "season=*", "month=*", "*.parquet"))
	if err != nil {
		return nil, err
	}
	for _, path := range paths {
		if day, ok := dayOfPath(path); ok {
			days = append(days, day)
		}
	}
	return days, nil
}

// clear removes every season.
func (d Dir) clear() error {
	seasons, err := filepath.Glob(filepath.Join(d.Path, "season=*"))
	if err != nil {
		return err
	}
	for _, path := range seasons {
		if err := d.ask("remove", path); err != nil {
			return err
		}
		if err := os.RemoveAll(path); err != nil {
			return err
		}
	}
	return nil
}

// unclosed keeps the Parquet library from closing a file before it is durable.
type unclosed struct{ io.Writer }
