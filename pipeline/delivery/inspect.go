package delivery

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"io/fs"
	"os"
	"strings"
	"syscall"
)

// Content is what a file holds: its size and the digest of its bytes as delivered.
type Content struct {
	SHA256 string // hex; empty when the bytes could not be read
	Bytes  int64
}

// Inspect reads the file name below root to its end, digests it and, when it is a gzip file, verifies every member's
// check sum and length. A file that cannot be read gives a *FileFault, beside its digest where that is known.
func Inspect(root *os.Root, name string) (Content, error) {
	if KindOf(name) == KindOther {
		return Content{}, fileFault(name, faultKind)
	}
	file, err := openRegular(root, name)
	if err != nil {
		return Content{}, err
	}
	content, err := inspectFile(file, name)
	if closing := file.Close(); err == nil && closing != nil {
		err = fileFault(name, faultReading)
	}
	return content, err
}

func inspectFile(file *os.File, name string) (Content, error) {
	digest := sha256.New()
	from := io.Reader(file)
	if KindOf(name).isPlainText() { // which may be appended to, faster than it is read
		info, err := file.Stat()
		if err != nil {
			return Content{}, fileFault(name, faultReading)
		}
		from = io.LimitReader(file, info.Size())
	}
	counted := &counter{from: io.TeeReader(from, digest)}
	fault := sniff(file, name)
	if KindOf(name).isGzip() {
		fault = verifyGzip(counted, name)
	}
	if err := readToEnd(counted); err != nil {
		return Content{}, fileFault(name, faultReading)
	}
	content := Content{SHA256: hex.EncodeToString(digest.Sum(nil)), Bytes: counted.bytes}
	if content.Bytes == 0 {
		fault = fileFault(name, faultEmpty)
	}
	return content, fault
}

// InspectGrown is Inspect of a CSV file that was appended to since it was inspected as former: the content that its whole lines up to there
// are, for OpenFirst. A file that was changed otherwise, of another kind, or without a whole line, is Changed.
func InspectGrown(root *os.Root, name string, former Content) (content Content, err error) {
	if KindOf(name) != KindCSV {
		return Content{}, Changed(name)
	}
	file, err := openRegular(root, name)
	if err != nil {
		return Content{}, err
	}
	defer func() { err = errors.Join(err, file.Close()) }()
	sum, lines, err := digestLines(io.LimitReader(file, former.Bytes))
	if err == nil && (sum != former.SHA256 || lines == 0) {
		return Content{}, Changed(name)
	}
	if err == nil {
		_, err = file.Seek(0, io.SeekStart)
	}
	if err == nil {
		sum, lines, err = digestLines(io.LimitReader(file, lines))
	}
	if err != nil {
		return Content{}, fileFault(name, faultReading)
	}
	return Content{SHA256: sum, Bytes: lines}, nil
}

// BeginsWith tells whether a file of plain text begins with the whole lines that former was.
func BeginsWith(root *os.Root, name string, former Content) bool {
	if !KindOf(name).isPlainText() {
		return false
	}
	file, err := openRegular(root, name)
	if err != nil {
		return false
	}
	sum, lines, err := digestLines(io.LimitReader(file, former.Bytes))
	return errors.Join(err, file.Close()) == nil && sum == former.SHA256 && lines == former.Bytes
}

// digestLines gives the digest of what is left, and how many of its bytes are whole lines.
func digestLines(from io.Reader) (sum string, lines int64, err error) {
	digest, buffer, read := sha256.New(), make([]byte, readBytes), int64(0)
	for {
		n, err := from.Read(buffer)
		digest.Write(buffer[:n])
		if at := bytes.LastIndexByte(buffer[:n], '\n'); at >= 0 {
			lines = read + int64(at) + 1
		}
		read += int64(n)
		if err == io.EOF {
			return hex.EncodeToString(digest.Sum(nil)), lines, nil
		}
		if err != nil {
			return "", 0, err
		}
	}
}

// readToEnd reads what is left.
func readToEnd(from io.Reader) error {
	buffer := make([]byte, readBytes)
	for {
		if _, err := from.Read(buffer); err == io.EOF {
			return nil
		} else if err != nil {
			return err
		}
	}
}

// sniff refuses other kinds of files under the name of a text file.
func sniff(file *os.File, name string) error {
	if !KindOf(name).isPlainText() {
		return nil
	}
	head := make([]byte, 4)
	n, err := file.ReadAt(head, 0)
	if err != nil && err != io.EOF {
		return fileFault(name, faultReading)
	}
	if bytes.HasPrefix(head[:n], []byte{0x1f, 0x8b}) || bytes.HasPrefix(head[:n], []byte("PAR1")) {
		if KindOf(name).IsReports() {
			return fileFault(name, faultNotReports)
		}
		return fileFault(name, faultNotCSV)
	}
	return nil
}

// verifyGzip expands all members; the library checks each trailer's sum and length.
func verifyGzip(from *counter, name string) error {
	expanded, err := gzip.NewReader(from)
	if err != nil {
		return fileFault(name, faultGzip)
	}
	var total int64
	buffer := make([]byte, readBytes)
	for {
		n, err := expanded.Read(buffer)
		total += int64(n) + rowBytes*int64(bytes.Count(buffer[:n], []byte{'\n'}))
		if isBomb(total, from.bytes) {
			return fileFault(name, faultBomb)
		}
		if errors.Is(err, io.EOF) {
			return nil
		}
		if err != nil {
			return fileFault(name, faultGzip)
		}
	}
}

// counter counts the bytes that pass.
type counter struct {
	from  io.Reader
	bytes int64
}

// Read reads on and counts.
func (c *counter) Read(to []byte) (int, error) {
	n, err := c.from.Read(to)
	c.bytes += int64(n)
	return n, err
}

// openRegular opens a regular file. It never waits for the writer of a pipe, and follows no link, neither in place of the file nor of a
// folder on the way to it: what was opened must be what was looked at.
func openRegular(root *os.Root, name string) (*os.File, error) {
	file, err := openUnlinked(root, name)
	var fault *FileFault
	if errors.As(err, &fault) {
		fault.File = name
		return nil, fault
	}
	if err != nil {
		return nil, OpenFault(name, err)
	}
	return file, nil
}

func openUnlinked(root *os.Root, name string) (file *os.File, err error) {
	first, below, isBelow := strings.Cut(name, "/")
	seen, err := root.Lstat(first)
	var now fs.FileInfo
	switch {
	case err != nil:
		return nil, err
	case seen.Mode()&fs.ModeSymlink != 0:
		return nil, fileFault("", faultLink)
	case isBelow:
		folder, err := root.OpenRoot(first)
		if err != nil {
			return nil, err
		}
		if now, err = folder.Stat("."); err == nil && !os.SameFile(seen, now) {
			err = fileFault("", faultLink)
		}
		if err == nil {
			file, err = openUnlinked(folder, below)
		}
		return file, errors.Join(err, folder.Close())
	case !seen.Mode().IsRegular():
		return nil, fileFault("", faultNotRegular)
	}
	if file, err = root.OpenFile(first, os.O_RDONLY|syscall.O_NONBLOCK|syscall.O_NOFOLLOW, 0); err != nil {
		return nil, err
	}
	if now, err = file.Stat(); err == nil && !os.SameFile(seen, now) {
		err = fileFault("", faultChanged)
	}
	if err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return file, nil
}

// NotRead is the fault of a file of a kind that its folder does not take.
func NotRead(name string) *FileFault { return fileFault(name, faultKind) }

// OpenFault says why a file or folder cannot be opened.
func OpenFault(name string, err error) *FileFault {
	if errors.Is(err, fs.ErrPermission) {
		return fileFault(name, faultPermission)
	}
	return fileFault(name, faultReading)
}

// Changed is the fault of a file whose bytes were others when its rows were read than when it was inspected.
func Changed(name string) *FileFault { return fileFault(name, faultChanged) }

// IsChanged tells whether an error is Changed.
func IsChanged(err error) bool {
	var fault *FileFault
	return errors.As(err, &fault) && fault.Fault == faultChanged
}
