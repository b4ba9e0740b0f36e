package crumbs

import (
	"bufio"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Dir is a folder of the file system. What is written is durable, file and folder, before Write returns.
type Dir string

// Open opens a file to read.
func (d Dir) Open(name string) (fs.File, error) {
	file, err := os.Open(d.path(name))
	if err != nil {
		return nil, err
	}
	return file, nil
}

func (d Dir) path(name string) string { return filepath.Join(string(d), filepath.FromSlash(name)) }

// Write writes beside the name, then renames.
func (d Dir) Write(name string, write func(io.Writer) error) (err error) {
	path := d.path(name)
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	file, err := os.Create(path + ".tmp")
	if err != nil {
		return err
	}
	defer func() {
		if err != nil {
			err = errors.Join(err, os.Remove(path+".tmp"))
		}
	}()
	buffered := bufio.NewWriterSize(file, 1<<20)
	if err := errors.Join(write(buffered), buffered.Flush(), file.Sync(), file.Close()); err != nil {
		return err
	}
	if err := os.Rename(path+".tmp", path); err != nil {
		return err
	}
	return d.syncFolders(filepath.Dir(path))
}

// syncFolders makes new names durable, from the file's folder up to the store's own.
func (d Dir) syncFolders(path string) error {
	for {
		folder, err := os.Open(path)
		if err != nil {
			return err
		}
		if err := errors.Join(folder.Sync(), folder.Close()); err != nil {
			return err
		}
		if path == filepath.Clean(string(d)) || path == filepath.Dir(path) {
			return nil
		}
		path = filepath.Dir(path)
	}
}

// Remove removes a file, and is no error where there is none.
func (d Dir) Remove(name string) error {
	err := os.Remove(d.path(name))
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	return err
}
