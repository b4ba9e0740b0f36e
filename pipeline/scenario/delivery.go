package scenario

import (
	"bytes"
	"compress/gzip"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
)

// The ends that a delivered row can come to.
const (
	fateAccepted    = "accepted"
	fateDuplicate   = "duplicate"
	fateCorrection  = "correction"
	fateQuarantined = "quarantined"
)

// line is one row of a delivery.
type line struct {
	cells   []string
	raw     string // written instead of the cells, where not empty
	fate    string
	isPlain bool // may be damaged: no other planted fact rests on it
	kind    string
	column  string
}

// delivery is one file of the inbox.
type delivery struct {
	feed, name string
	header     []string
	lines      []line
	hasBOM     bool
	hasCRLF    bool
	isGzip     bool
	isOpenEnd  bool // the last line has an unclosed quote and no line end
	body       []byte
	sameAs     string // identical content under a name that sorts before
}

func (f *delivery) add(isPlain bool, cells ...string) {
	f.lines = append(f.lines, line{cells: cells, fate: fateAccepted, isPlain: isPlain})
}

func (f *delivery) column(name string) int { return slices.Index(f.header, name) }

// as is the line told with another fate, which no damage may change.
func (l line) as(fate string) line {
	l.fate, l.isPlain = fate, false
	return l
}

// bytes is the file's content. A body that was made elsewhere (Parquet) stands as it is.
func (f *delivery) bytes() ([]byte, error) {
	if f.body != nil {
		return f.body, nil
	}
	end := "\n"
	if f.hasCRLF {
		end = "\r\n"
	}
	var text bytes.Buffer
	if f.hasBOM {
		text.WriteString("\ufeff")
	}
	text.WriteString(csvLine(f.header) + end)
	for i, l := range f.lines {
		row := l.raw
		if row == "" {
			row = csvLine(l.cells)
		}
		text.WriteString(row)
		if !f.isOpenEnd || i+1 < len(f.lines) {
			text.WriteString(end)
		}
	}
	if !f.isGzip {
		return text.Bytes(), nil
	}
	var packed bytes.Buffer
	pack := gzip.NewWriter(&packed)
	_, err := pack.Write(text.Bytes())
	err = errors.Join(err, pack.Close())
	return packed.Bytes(), err
}

func (f *delivery) write(dir string) error {
	body, err := f.bytes()
	if err != nil {
		return fmt.Errorf("delivery %q: %w", f.name, err)
	}
	return writeFile(filepath.Join(dir, "inbox", f.feed, f.name), body)
}

func writeFile(path string, body []byte) error {
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		return err
	}
	return os.WriteFile(path, body, 0o644)
}

// csvLine is one RFC 4180 record without its line end.
func csvLine(cells []string) string {
	quoted := make([]string, len(cells))
	for i, c := range cells {
		if strings.ContainsAny(c, ",\"\r\n") {
			c = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
		}
		quoted[i] = c
	}
	return strings.Join(quoted, ",")
}

// text writes a number in full, and 0 as it is.
func text(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// textOrEmpty writes 0 as an empty cell.
func textOrEmpty(x float64) string {
	if x == 0 {
		return ""
	}
	return text(x)
}
