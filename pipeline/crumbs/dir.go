package crumbs

import (
	"bufio"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"lanetally/pipeline/disk"
)

// Dir is the folder of a store, to which the layer is the way.
type Dir struct {
	disk.Layer
	Path string
}

func (d Dir) path(name string) string { return filepath.Join(d.Path, filepath.FromSlash(name)) }

// unfinished is where a file waits until it is whole; Open removes what a run that was killed left there.
func (d Dir) unfinished(name string) string { return disk.TemporaryName(d.path(name)) }

// outFile is a file that is being written.
type outFile struct {
	*disk.LayerFile
	buffer *bufio.Writer
}

// create opens a file to write under its unfinished name, in a folder that it makes.
func (d Dir) create(name string) (*outFile, error) {
	path := d.unfinished(name)
	if err := d.MakeFolder(filepath.Dir(path)); err != nil {
		return nil, err
	}
	file, err := d.Open(path, os.O_RDWR|os.O_CREATE|os.O_TRUNC, disk.PublicMode)
	if err != nil {
		return nil, err
	}
	return &outFile{file, bufio.NewWriterSize(file, 1<<18)}, nil
}

// Write writes to the file, by way of a buffer.
func (o *outFile) Write(text []byte) (int, error) { return o.buffer.Write(text) }

// finish makes the file durable, still under its unfinished name.
func (o *outFile) finish() error { return errors.Join(o.buffer.Flush(), o.Finish()) }

// discard leaves nothing of the file.
func (o *outFile) discard() error { return errors.Join(o.File.Close(), os.Remove(o.File.Name())) }

// rename gives a finished file its own name.
func (d Dir) rename(name string) error { return d.Rename(d.unfinished(name), d.path(name)) }

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
		case !entry.IsDir() && strings.HasSuffix(name, disk.TemporaryName("")) && isOwn(name):
			return root.Remove(name)
		}
		return nil
	})
	return errors.Join(err, root.Close())
}

// isOwn: beside the seasons' folders, a folder of the store holds files of its own at the top, which all begin with "change", "arriving"
// or the name of the list of digests.
func isOwn(name string) bool {
	return strings.Contains(name, "/") || strings.HasPrefix(name, "change") || strings.HasPrefix(name, "arriving") ||
		strings.HasPrefix(name, DigestsName)
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
	if err := d.Remove(d.path(DigestsName)); err != nil {
		return err
	}
	for _, path := range seasons {
		if err := d.RemoveAll(path); err != nil {
			return err
		}
	}
	return nil
}
