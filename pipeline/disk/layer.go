// Package disk is the one way to the disk: every file that the program writes goes through a Layer, so that a test can make any operation
// fail or end the process at it.
//
// A file is whole or absent: it is written beside its name, flushed with its folder, and renamed.
package disk

import (
	"bufio"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"syscall"
)

// GuardMask sets the process's mask so that others cannot write what it writes, also through a library.
func GuardMask() { syscall.Umask(syscall.Umask(0o022) | 0o022) }

// Modes of the files that the program makes, before the process's mask.
const (
	PublicMode  fs.FileMode = 0o644
	privateMode fs.FileMode = 0o600
)

// ForOthers are the bits of a file's mode that let others read it.
const ForOthers fs.FileMode = 0o044

// Layer is the way to every file that the program itself writes: archive, manifest, log, releases. The zero value
// writes to the disk; a test sets Before to make an operation fail.
type Layer struct {
	// Before is asked ahead of each open, write, fsync, rename, remove, mkdir and link; its error takes the operation's place.
	Before func(operation, path string) error
	// Hide is what others may not do with the files that are made: the bits that the deliveries behind them lack.
	Hide fs.FileMode
	// Space, where set, answers how many bytes are left in place of the disk.
	Space func(path string) (int64, error)
}

func (l Layer) ask(operation, path string) error {
	if l.Before == nil {
		return nil
	}
	if err := l.Before(operation, path); err != nil {
		return &fs.PathError{Op: operation, Path: path, Err: err}
	}
	return nil
}

// LayerFile is a file open for writing.
type LayerFile struct {
	layer Layer
	File  *os.File
}

// Open opens a file with flags and mode as os.OpenFile takes them.
func (l Layer) Open(path string, flags int, mode fs.FileMode) (*LayerFile, error) {
	if err := l.ask("open", path); err != nil {
		return nil, err
	}
	file, err := os.OpenFile(path, flags, mode&^l.Hide)
	if err != nil {
		return nil, err
	}
	return &LayerFile{layer: l, File: file}, nil
}

// Write writes to the file.
func (f *LayerFile) Write(from []byte) (int, error) {
	if err := f.layer.ask("write", f.File.Name()); err != nil {
		return 0, err
	}
	return f.File.Write(from)
}

// Finish makes the file durable and closes it.
func (f *LayerFile) Finish() error {
	err := f.layer.ask("fsync", f.File.Name())
	if err == nil {
		err = f.File.Sync()
	}
	return errors.Join(err, f.File.Close())
}

// Rename renames as os.Rename does; Before is asked about the new path.
func (l Layer) Rename(from, to string) error {
	if err := l.ask("rename", to); err != nil {
		return err
	}
	return os.Rename(from, to)
}

// RemoveAll removes a path and all below it; a path that is not there is no error.
func (l Layer) RemoveAll(path string) error {
	if err := l.ask("remove", path); err != nil {
		return err
	}
	return os.RemoveAll(path)
}

// Link makes path a symbolic link that leads to target.
func (l Layer) Link(target, path string) error {
	if err := l.ask("link", path); err != nil {
		return err
	}
	return os.Symlink(target, path)
}

// Remove removes a file; one that is not there is no error.
func (l Layer) Remove(path string) error {
	if err := l.ask("remove", path); err != nil {
		return err
	}
	if err := os.Remove(path); !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return nil
}

// MakeFolder makes a folder and those above it, and makes the new names durable.
func (l Layer) MakeFolder(path string) error {
	if info, err := os.Stat(path); err == nil && info.IsDir() {
		return nil
	}
	if above := filepath.Dir(path); above != path {
		if err := l.MakeFolder(above); err != nil {
			return err
		}
	}
	if err := l.ask("mkdir", path); err != nil {
		return err
	}
	if err := os.MkdirAll(path, 0o755); err != nil {
		return err
	}
	return l.SyncFolder(filepath.Dir(path))
}

// SyncFolder makes the names in a folder durable; fsync of a file does not do that.
func (l Layer) SyncFolder(path string) error {
	if err := l.ask("fsync", path); err != nil {
		return err
	}
	folder, err := os.Open(path)
	if err != nil {
		return err
	}
	return errors.Join(folder.Sync(), folder.Close())
}

// TemporaryName is where the bytes of path wait until they are whole.
func TemporaryName(path string) string { return path + ".tmp" }

// WriteAtomic gives path the bytes that write produces, durably: killed at any point, path holds its former bytes or the new
// ones, whole. When it fails nothing of the new bytes is left.
func (l Layer) WriteAtomic(path string, write func(io.Writer) error) error {
	if err := l.WriteDurable(TemporaryName(path), write); err != nil {
		return fmt.Errorf("write %q: %w", path, err)
	}
	return l.Settle(path)
}

// WritePrivate is WriteAtomic for bytes that only the file's owner may read.
func (l Layer) WritePrivate(path string, content []byte) error {
	if err := l.RemoveAll(TemporaryName(path)); err != nil { // a killed run's: a file that is there keeps its mode
		return err
	}
	if err := l.writeMode(TemporaryName(path), privateMode, WriteAll(content)); err != nil {
		return fmt.Errorf("write %q: %w", path, err)
	}
	return l.Settle(path)
}

// Settle moves the finished temporary file of path to its place.
func (l Layer) Settle(path string) error {
	err := l.Rename(TemporaryName(path), path)
	if err != nil {
		return fmt.Errorf("write %q: %w", path, errors.Join(err, os.Remove(TemporaryName(path))))
	}
	if err := l.SyncFolder(filepath.Dir(path)); err != nil {
		return fmt.Errorf("write %q: %w", path, err)
	}
	return nil
}

// WriteDurable writes a file and fsyncs it, not its folder. When it fails the file is gone.
func (l Layer) WriteDurable(path string, write func(io.Writer) error) error {
	return l.writeMode(path, PublicMode, write)
}

func (l Layer) writeMode(path string, mode fs.FileMode, write func(io.Writer) error) error {
	file, err := l.Open(path, os.O_WRONLY|os.O_CREATE|os.O_TRUNC, mode)
	if err != nil {
		return err
	}
	buffered := bufio.NewWriterSize(file, 1<<16)
	err = write(buffered)
	if err == nil {
		err = buffered.Flush()
	}
	if err = errors.Join(err, file.Finish()); err != nil {
		return errors.Join(err, os.Remove(path))
	}
	return nil
}

// AppendDurable adds bytes to the end of path, creating it, and fsyncs file and folder.
func (l Layer) AppendDurable(path string, text []byte) error {
	file, err := l.Open(path, os.O_WRONLY|os.O_CREATE|os.O_APPEND, PublicMode)
	if err != nil {
		return err
	}
	_, err = file.Write(text)
	if err = errors.Join(err, file.Finish()); err != nil {
		return fmt.Errorf("append to %q: %w", path, err)
	}
	return l.SyncFolder(filepath.Dir(path))
}

// WriteAll gives what writes text whole.
func WriteAll(text []byte) func(io.Writer) error {
	return func(w io.Writer) error {
		_, err := w.Write(text)
		return err
	}
}

// ReadJSON reads one JSON document; what is wrong with it is told with its path.
func ReadJSON[T any](path string) (*T, error) {
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

// UnclosedFile keeps the Parquet library from closing a file before it is durable.
type UnclosedFile struct{ io.Writer }
