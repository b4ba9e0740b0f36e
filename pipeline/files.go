package pipeline

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
)

// Modes of the files that the program makes, before the process's mask.
const (
	publicMode  fs.FileMode = 0o644
	privateMode fs.FileMode = 0o600
)

// fileLayer is the way to every file that the program itself writes: archive, manifest, log, releases. The zero value
// writes to the disk; a test sets before to make an operation fail.
type fileLayer struct {
	// before is asked ahead of each open, write, fsync, rename, remove, mkdir and link; its error takes the operation's place.
	before func(operation, path string) error
	// space, where set, answers how many bytes are left in place of the disk.
	space func(path string) (int64, error)
}

func (l fileLayer) ask(operation, path string) error {
	if l.before == nil {
		return nil
	}
	if err := l.before(operation, path); err != nil {
		return &fs.PathError{Op: operation, Path: path, Err: err}
	}
	return nil
}

// layerFile is a file open for writing.
type layerFile struct {
	layer fileLayer
	file  *os.File
}

func (l fileLayer) open(path string, flags int, mode fs.FileMode) (*layerFile, error) {
	if err := l.ask("open", path); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(path, flags, mode)
	if err != nil {
		return nil, err
	}
	return &layerFile{layer: l, file: file}, nil
}

// Write writes to the file.
func (f *layerFile) Write(from []byte) (int, error) {
	if err := f.layer.ask("write", f.file.Name()); err != nil {
		return 0, err
	}
	return f.file.Write(from)
}

// finish makes the file durable and closes it.
func (f *layerFile) finish() error {
	err := f.layer.ask("fsync", f.file.Name())
	if err == nil {
		err = f.file.Sync()
	}
	return errors.Join(err, f.file.Close())
}

func (l fileLayer) rename(from, to string) error {
	if err := l.ask("rename", to); err != nil {
		return err
	}
	return os.Rename(from, to)
}

func (l fileLayer) removeAll(path string) error {
	if err := l.ask("remove", path); err != nil {
		return err
	}
	return os.RemoveAll(path)
}

func (l fileLayer) link(target, path string) error {
	if err := l.ask("link", path); err != nil {
		return err
	}
	return os.Symlink(target, path)
}

// makeFolder makes a folder and those above it, and makes the new name durable.
func (l fileLayer) makeFolder(path string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil
	}
	if err := l.ask("mkdir", path); err != nil {
		return err
	}
	if err := os.MkdirAll(path, 0o755); err != nil {
		return err
	}
	return l.syncFolder(filepath.Dir(path))
}

// syncFolder makes the names in a folder durable; fsync of a file does not do that.
func (l fileLayer) syncFolder(path string) error {
	if err := l.ask("fsync", path); err != nil {
		return err
	}
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}

// temporaryName is where the bytes of path wait until they are whole.
func temporaryName(path string) string { return path + ".tmp" }

// writeAtomic gives path the bytes that write produces, durably: killed at any point, path holds its former bytes or the new
// ones, whole. When it fails nothing of the new bytes is left.
func (l fileLayer) writeAtomic(path string, write func(io.Writer) error) error {
	if err := l.writeDurable(temporaryName(path), write); err != nil {
		return fmt.Errorf("write %q: %w", path, err)
	}
	return l.settle(path)
}

// writePrivate is writeAtomic for bytes that only the file's owner may read.
func (l fileLayer) writePrivate(path string, content []byte) error {
	if err := l.removeAll(temporaryName(path)); err != nil { // a killed run's: a file that is there keeps its mode
		return err
	}
	if err := l.writeMode(temporaryName(path), privateMode, writeAll(content)); err != nil {
		return fmt.Errorf("write %q: %w", path, err)
	}
	return l.settle(path)
}

// settle moves the finished temporary file of path to its place.
func (l fileLayer) settle(path string) error {
	err := l.rename(temporaryName(path), path)
	if err != nil {
		return fmt.Errorf("write %q: %w", path, errors.Join(err, os.Remove(temporaryName(path))))
	}
	if err := l.syncFolder(filepath.Dir(path)); err != nil {
		return fmt.Errorf("write %q: %w", path, err)
	}
	return nil
}

// writeDurable writes a file and fsyncs it, not its folder. When it fails the file is gone.
func (l fileLayer) writeDurable(path string, write func(io.Writer) error) error {
	return l.writeMode(path, publicMode, write)
}

func (l fileLayer) writeMode(path string, mode fs.FileMode, write func(io.Writer) error) error {
	file, err := l.open(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, mode)
	if err != nil {
		return err
	}
	buffered := bufio.NewWriterSize(file, 1<<16)
	err = write(buffered)
	if err == nil {
		err = buffered.Flush()
	}
	if err = errors.Join(err, file.finish()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}

// appendDurable adds bytes to the end of path, creating it, and fsyncs file and folder.
func (l fileLayer) appendDurable(path string, text []byte) error {
	file, err := l.open(path, os.O_WRONLY|os.O_CREATE|os.O_APPEND, publicMode)
	if err != nil {
		return err
	}
	_, err = file.Write(text)
	if err = errors.Join(err, file.finish()); err != nil {
		return fmt.Errorf("append to %q: %w", path, err)
	}
	return l.syncFolder(filepath.Dir(path))
}

// writeAll gives what writes text whole.
func writeAll(text []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	}
}

// readJSON reads one JSON document; what is wrong with it is told with its path.
func readJSON[T any](path string) (*T, error) {
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	document := new(T)
	if err := json.Unmarshal(text, document); err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	return document, nil
}
