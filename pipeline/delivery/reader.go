package delivery

import (
	"bytes"
	"compress/gzip"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"hash"
	"io"
	"math"
	"os"
	"slices"
	"strings"
)

// Kind tells how a file is read, by its name.
type Kind int

// The kinds of files. Other files are none that this package reads.
const (
	KindOther Kind = iota
	KindCSV
	KindGzip
	KindParquet
	KindReports     // raw weather reports, one a line
	KindReportsGzip // the same in gzip
)

// IsReports tells whether a file of this kind holds raw weather reports, one a line, and no header.
func (k Kind) IsReports() bool { return k == KindReports || k == KindReportsGzip }

func (k Kind) isGzip() bool { return k == KindGzip || k == KindReportsGzip }

func (k Kind) isPlainText() bool { return k == KindCSV || k == KindReports }

// kindByEnding are the ends of names; no name ends in two of them.
var kindByEnding = map[string]Kind{".csv": KindCSV, ".csv.gz": KindGzip, ".parquet": KindParquet,
	".metar": KindReports, ".txt": KindReports, ".metar.gz": KindReportsGzip, ".txt.gz": KindReportsGzip}

// KindOf tells the kind of a file from the end of its name, in any case of letters.
func KindOf(name string) Kind {
	for ending, kind := range kindByEnding {
		if strings.HasSuffix(strings.ToLower(name), ending) {
			return kind
		}
	}
	return KindOther
}

// source gives the header once, then rows until io.EOF.
type source interface {
	header() (cells []string, raw []byte, fault *Fault, err error)
	next() (Row, error)
}

// Reader reads one delivery from its first row to its last.
type Reader struct {
	name      string
	file      *os.File
	bytes     int64 // of the file that are read
	rows      source
	headings  []string
	headerRaw []byte
	digest    hash.Hash // of the delivered bytes, as far as they were read in order; nil for Parquet
	tee       io.Reader
	faulty    faultyRows
	row       Row
	err       error
}

// Open opens the file name below root and reads its header. A file of which nothing can be used gives a *FileFault; call
// Inspect first, which verifies a gzip file whole.
func Open(root *os.Root, name string) (*Reader, error) { return OpenFirst(root, name, math.MaxInt64) }

// OpenFirst is Open of the first bytes of a file, so many at most.
func OpenFirst(root *os.Root, name string, bytes int64) (*Reader, error) {
	file, err := openRegular(root, name)
	if err != nil {
		return nil, err
	}
	r := &Reader{name: name, file: file, bytes: bytes}
	if err := r.begin(); err != nil {
		return nil, errors.Join(err, file.Close())
	}
	return r, nil
}

func (r *Reader) begin() (err error) {
	if r.rows, err = r.newSource(); err != nil {
		return r.fault(err)
	}
	cells, raw, fault, err := r.rows.header()
	if err != nil {
		return r.fault(err)
	}
	if fault != nil {
		return fileFault(r.name, Fault{Code: "header_" + fault.Code})
	}
	r.headings, r.headerRaw = cells, raw
	r.faulty = newFaultyRows(len(cells))
	return nil
}

func (r *Reader) newSource() (source, error) {
	kind := KindOf(r.name)
	switch {
	case kind == KindParquet:
		return newParquetRows(r.file)
	case kind.isGzip():
		r.startDigest()
		expanded, err := gzip.NewReader(r.tee)
		if err != nil {
			return nil, err
		}
		return newLines(expanded, kind)
	case kind.isPlainText():
		r.startDigest()
		return newLines(r.tee, kind)
	}
	return nil, fileFault(r.name, faultKind)
}

// newLines begins on the text of a CSV file or of a file of reports.
func newLines(from io.Reader, kind Kind) (source, error) {
	rows, err := newTextRows(from)
	if err != nil || !kind.IsReports() {
		return rows, err
	}
	return &reportRows{rows.splitter}, nil
}

func (r *Reader) startDigest() {
	r.digest = sha256.New()
	r.tee = io.TeeReader(io.LimitReader(r.file, r.bytes), r.digest)
}

// fault names the file in an error of its source.
func (r *Reader) fault(err error) error {
	var known *FileFault
	switch {
	case errors.As(err, &known):
		known.File = r.name
		return known
	case errors.Is(err, gzip.ErrHeader), errors.Is(err, gzip.ErrChecksum), errors.Is(err, io.ErrUnexpectedEOF):
		return fileFault(r.name, faultGzip)
	}
	return fileFault(r.name, faultReading)
}

// Header is the header's cells, as delivered; nil for reports, which have none.
func (r *Reader) Header() []string { return r.headings }

// HeaderRaw is the header as one CSV record without its line end.
func (r *Reader) HeaderRaw() []byte { return r.headerRaw }

// Next reads the next row; false at the end, or when Err is not nil.
func (r *Reader) Next() bool {
	for r.err == nil {
		row, err := r.rows.next()
		switch {
		case errors.Is(err, io.EOF):
			isThere := false
			r.row, isThere = r.faulty.rest()
			return isThere
		case err != nil:
			r.err = r.fault(err)
		case r.faulty.isGiven(row.Fault, len(row.Cells), len(row.Raw)):
			r.row = row
			return true
		}
	}
	return false
}

// Row is the row that Next read.
func (r *Reader) Row() Row { return r.row }

// Err is the *FileFault that ended reading early, or nil.
func (r *Reader) Err() error { return r.err }

// SHA256 is the digest of the delivered bytes, in hex. It reads the file to its end: call it after the last row, and compare
// it with the digest that Inspect gave, because a file may change between the two.
func (r *Reader) SHA256() (string, error) {
	if r.digest == nil {
		if _, err := r.file.Seek(0, io.SeekStart); err != nil {
			return "", r.fault(err)
		}
		r.startDigest()
	}
	if err := readToEnd(r.tee); err != nil {
		return "", r.fault(err)
	}
	return hex.EncodeToString(r.digest.Sum(nil)), nil
}

// Close closes the file.
func (r *Reader) Close() error { return r.file.Close() }

// textRows are the records of a CSV stream.
type textRows struct{ splitter *splitter }

func newTextRows(from io.Reader) (*textRows, error) {
	s, err := newSplitter(from)
	if err != nil {
		return nil, err
	}
	if window := s.window(); len(window) > 1 && (window[0] == 0xff && window[1] == 0xfe || window[0] == 0xfe && window[1] == 0xff) {
		return nil, fileFault("", faultUTF16)
	}
	return &textRows{splitter: s}, nil
}

func (t *textRows) header() ([]string, []byte, *Fault, error) {
	if err := t.splitter.refuseCR(""); err != nil {
		return nil, nil, nil, err
	}
	row, err := t.next()
	if errors.Is(err, io.EOF) {
		return nil, nil, nil, fileFault("", faultEmpty)
	}
	if err != nil || row.Fault != nil {
		return nil, nil, row.Fault, err
	}
	t.splitter.columns = len(row.Cells)
	return slices.Clone(row.Cells), bytes.Clone(row.Raw), nil, nil
}

func (t *textRows) next() (Row, error) { return nextRow(t.splitter.next) }

// nextRow passes over empty lines.
func nextRow(next func() (piece, error)) (Row, error) {
	for {
		p, err := next()
		if err != nil || !p.isEmpty {
			return p.Row, err
		}
	}
}
