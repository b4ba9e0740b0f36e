package intake

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"strings"

	"lanetally/pipeline/delivery"
	"lanetally/pipeline/disk"
)

// What a line of the manifest can say happened to a file.
const (
	eventDelivered  = "delivered"  // its content is the one in force
	eventUnreadable = "unreadable" // it cannot be read; its former content, if any, stays in force
)

// manifestLine is one line of archive/manifest.jsonl: what a file of the inbox was found to hold. The last line that a file
// has says what holds.
type manifestLine struct {
	Feed   string `json:"feed"`
	File   string `json:"file"`             // path below the feed's folder
	SHA256 string `json:"sha256"`           // with reportsMark behind it where the bytes are read as reports
	Header string `json:"header,omitempty"` // as delivered, one CSV record
	Rows   int64  `json:"rows"`
	Event  string `json:"event"`
	Code   string `json:"code,omitempty"`  // why it cannot be read
	Found  string `json:"found,omitempty"` // what of it, quoted
}

// FileKey names a delivery.
type FileKey struct{ Feed, File string }

// ContentKey names the bytes of a delivery and how they are read: the digest of bytes that are read as raw reports ends with reportsMark,
// so that a file that was first sent under the name of a table, or the other way round, is another content.
type ContentKey struct{ Feed, Sha256 string }

const reportsMark = ".reports"

// KeyOf names the content of a file of the inbox by its digest.
func KeyOf(file InboxFile, sha256 string) ContentKey {
	if delivery.KindOf(file.Path).IsReports() {
		sha256 += reportsMark
	}
	return ContentKey{file.Feed, sha256}
}

func (c ContentKey) isReports() bool { return strings.HasSuffix(c.Sha256, reportsMark) }

// digest is the digest of the bytes alone.
func (c ContentKey) digest() string { return strings.TrimSuffix(c.Sha256, reportsMark) }

// fileState is what holds of one file: the content in force, and why the bytes now in the inbox cannot be read, if so.
type fileState struct {
	Content    *manifestLine // nil while nothing of that name could be read
	unreadable *manifestLine // nil when the latest bytes could be read
}

// Manifest is the archive's list of files, and the place to append to it.
type Manifest struct {
	path    string
	layer   disk.Layer
	isDry   bool // keep changes in memory alone
	States  map[FileKey]fileState
	headers map[ContentKey]manifestLine
	isTorn  bool // the file ends within a line
}

// ReadManifest reads archive/manifest.jsonl; an absent one is empty. A line that a kill tore is passed over: what it would
// have said is found again in the inbox.
func ReadManifest(dir string, layer disk.Layer) (*Manifest, error) {
	m := &Manifest{
		path:    filepath.Join(dir, "archive", "manifest.jsonl"),
		layer:   layer,
		States:  map[FileKey]fileState{},
		headers: map[ContentKey]manifestLine{},
	}
	text, err := os.ReadFile(m.path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read manifest: %w", err)
	}
	for _, line := range bytes.Split(text, []byte{'\n'}) {
		var item manifestLine
		if json.Unmarshal(line, &item) == nil && item.Feed != "" {
			m.note(item)
		}
	}
	m.isTorn = len(text) > 0 && text[len(text)-1] != '\n'
	return m, nil
}

func (m *Manifest) note(line manifestLine) {
	key := FileKey{line.Feed, line.File}
	state := m.States[key]
	if line.Event == eventUnreadable {
		state.unreadable = &line
	} else {
		state = fileState{Content: &line}
		m.headers[ContentKey{line.Feed, line.SHA256}] = line
	}
	m.States[key] = state
}

// record appends a line, unless the file's state says it already.
func (m *Manifest) record(line manifestLine) error {
	state := m.States[FileKey{line.Feed, line.File}]
	last := state.Content
	if state.unreadable != nil {
		last = state.unreadable
	}
	if last != nil && *last == line {
		return nil
	}
	if !m.isDry {
		if err := m.append(line); err != nil {
			return err
		}
	}
	m.note(line)
	return nil
}

func (m *Manifest) append(line manifestLine) error {
	text, err := json.Marshal(line)
	if err != nil {
		return err
	}
	if m.isTorn {
		text = append([]byte{'\n'}, text...)
	}
	if err := m.layer.MakeFolder(filepath.Dir(m.path)); err != nil {
		return err
	}
	m.isTorn = true // until the append has succeeded whole
	if err := m.layer.AppendDurable(m.path, append(text, '\n')); err != nil {
		return err
	}
	m.isTorn = false
	return nil
}

// Files lists the files in the order of feed and path.
func (m *Manifest) Files() []FileKey {
	keys := make([]FileKey, 0, len(m.States))
	for key := range m.States {
		keys = append(keys, key)
	}
	sort.Slice(keys, func(i, j int) bool {
		if keys[i].Feed != keys[j].Feed {
			return keys[i].Feed < keys[j].Feed
		}
		return keys[i].File < keys[j].File
	})
	return keys
}
