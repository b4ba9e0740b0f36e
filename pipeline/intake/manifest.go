package intake

import (
	"bytes"
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lanetally/pipeline/delivery"
	"lanetally/pipeline/disk"
)

// What a line of the manifest can say happened to a file.
const (
	eventDelivered  = "delivered"  // its content is the one in force
	eventUnreadable = "unreadable" // it cannot be read; its former content, if any, stays in force
	eventCompacted  = "compacted"  // no file: the list was begun anew, and the former one's last seal is in sha256
)

// manifestLine is one line of archive/manifest.jsonl: what a file of the inbox was found to hold. The last line that a file
// has says what holds. Each line is sealed, with the seal of the line before; those of program versions that did not seal stand ahead of
// the first that is.
type manifestLine struct {
	Feed   string `json:"feed"`
	File   string `json:"file"`             // path below the feed's folder
	SHA256 string `json:"sha256"`           // with reportsMark behind it where the bytes are read as reports
	Header string `json:"header,omitempty"` // as delivered, one CSV record; the base's where there is one
	Rows   int64  `json:"rows"`
	Event  string `json:"event"`
	Code   string `json:"code,omitempty"`  // why it cannot be read
	Found  string `json:"found,omitempty"` // what of it, quoted

	Archived string      `json:"archived,omitempty"` // SHA-256 of the file in the archive; lines of older programs have none
	Base     string      `json:"base,omitempty"`     // content whose rows come first: the file in the archive has only those behind them
	Bytes    int64       `json:"bytes,omitempty"`    // of the delivery, where more lines behind it would change none of its rows
	Hides    fs.FileMode `json:"hides,omitempty"`    // what others may not do with the delivery that they may with most
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
	dir     string
	path    string
	layer   disk.Layer
	isDry   bool // keep changes in memory alone
	States  map[FileKey]fileState
	headers map[ContentKey]manifestLine
	lines   []manifestLine

	Breaks   []FileNote      // what is wrong with the list itself
	seals    map[string]bool // of its lines, and of the list before it
	former   string          // that of the list before it, where it was begun anew
	end      string          // the last of them; "" after a line that has none
	isSealed bool            // a line is
	isTorn   bool            // the file ends within a line
}

func manifestPath(dir string) string { return filepath.Join(dir, "archive", "manifest.jsonl") }

// endPath is the file with the last seal that a night saw, so that the loss of the list's last lines is found.
func endPath(dir string) string { return filepath.Join(dir, "archive", "manifest.end") }

// ReadManifest reads archive/manifest.jsonl; an absent one is empty. A line that a kill tore is passed over: what it would
// have said is found again in the inbox.
func ReadManifest(dir string, layer disk.Layer) (*Manifest, error) {
	m := &Manifest{dir: dir, path: manifestPath(dir), layer: layer}
	m.clear()
	text, err := os.ReadFile(m.path)
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read manifest: %w", err)
	}
	lines := bytes.Split(text, []byte{'\n'})
	for i, line := range lines {
		if len(line) > 0 {
			m.read(line, i+1, i == len(lines)-1)
		}
	}
	end, err := os.ReadFile(endPath(dir))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, fmt.Errorf("read manifest: %w", err)
	}
	if last, isWhole := strings.CutSuffix(string(end), "\n"); err == nil && !(isWhole && m.seals[last]) {
		m.Breaks = append(m.Breaks, FileNote{"archive/manifest.jsonl", fmt.Sprintf("lines at its end are missing, or archive/manifest.end "+
			"changed (%.12q)", last)})
	}
	return m, nil
}

func (m *Manifest) clear() {
	m.States, m.headers, m.lines, m.seals = map[FileKey]fileState{}, map[ContentKey]manifestLine{}, nil, map[string]bool{}
}

// read takes one line of the file; the last one has no line end.
func (m *Manifest) read(text []byte, number int, isLast bool) {
	var line manifestLine
	plain, seal := disk.Unseal(text)
	isRead := json.Unmarshal(plain, &line) == nil && (line.Feed != "" || line.Event == eventCompacted)
	before := m.end
	if line.Event == eventCompacted && !m.isSealed {
		before, m.former = line.SHA256, line.SHA256
		m.seals[before] = true
	}
	isWhole := isRead && seal == "" && !m.isSealed || seal != "" && seal == disk.SealOf(before, plain)
	if isLast {
		if m.isTorn = true; !isWhole {
			return
		}
	}
	isUnchecked := m.isSealed && m.end == "" && isRead // behind a line that lost its seal none can be checked
	if !isWhole && (seal != "" || m.isSealed) && !isUnchecked {
		m.Breaks = append(m.Breaks, FileNote{fmt.Sprintf("archive/manifest.jsonl:%d", number),
			"the line changed, or one before it is missing or has moved (" + disk.SealOf("", text)[:12] + ")"})
	}
	if isRead {
		m.note(line)
	}
	if m.end = seal; seal != "" {
		m.isSealed, m.seals[seal] = true, true
	}
}

func (m *Manifest) note(line manifestLine) {
	key := FileKey{line.Feed, line.File}
	state := m.States[key]
	switch line.Event {
	case eventCompacted:
		return
	case eventUnreadable:
		state.unreadable = &line
	default:
		if line.Base != "" {
			line.Header = m.headers[ContentKey{line.Feed, line.Base}].Header
		}
		state = fileState{Content: &line}
		m.headers[ContentKey{line.Feed, line.SHA256}] = line
	}
	m.States[key] = state
	m.lines = append(m.lines, line)
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
		if err := m.layer.MakeFolder(filepath.Dir(m.path)); err != nil {
			return err
		}
		if (m.isTorn || !m.isSealed) && len(m.lines) > 0 && len(m.Breaks) == 0 {
			if err := m.rewrite(m.lines, m.former); err != nil {
				return err
			}
		}
		if line.Archived == "" {
			line.Archived = m.headers[ContentKey{line.Feed, line.SHA256}].Archived // as rewriting found it
		}
		if err := m.append(line); err != nil {
			return err
		}
	}
	m.note(line)
	return nil
}

func (m *Manifest) append(line manifestLine) error {
	text, seal, err := sealed(m.end, line)
	if err != nil {
		return err
	}
	if m.isTorn {
		text = append([]byte{'\n'}, text...)
	}
	m.isTorn = true // until the append has succeeded whole
	if err := m.layer.AppendDurable(m.path, text); err != nil {
		return err
	}
	m.isTorn, m.isSealed, m.end, m.seals[seal] = false, true, seal, true
	return nil
}

// sealed is a line as it is written, its line end with it.
func sealed(before string, line manifestLine) (text []byte, seal string, err error) {
	if line.Base != "" {
		line.Header = ""
	}
	if text, err = json.Marshal(line); err != nil {
		return nil, "", err
	}
	text, seal = disk.Seal(before, text)
	return append(text, '\n'), seal, nil
}

// rewrite gives the file these lines, sealed, and contents without a digest that of their file in the archive; behind the seal of a former
// list, where there is one.
func (m *Manifest) rewrite(lines []manifestLine, former string) error {
	all, text := slices.Clone(lines), []byte{}
	if former != "" {
		all = append([]manifestLine{{SHA256: former, Event: eventCompacted}}, all...)
	}
	end := former
	for i := range all {
		line := &all[i]
		if line.Event == eventDelivered && line.Archived == "" {
			sha, _, err := disk.DigestFile(archivePath(m.dir, ContentKey{line.Feed, line.SHA256}))
			if err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			line.Archived = sha
		}
		one, seal, err := sealed(end, *line)
		if err != nil {
			return err
		}
		text, end = append(text, one...), seal
	}
	if err := m.layer.WriteAtomic(m.path, disk.WriteAll(text)); err != nil {
		return err
	}
	m.clear()
	for _, line := range all {
		m.note(line)
	}
	m.isTorn, m.isSealed, m.end, m.former = false, end != "", end, former
	return m.keepEnd()
}

// keepEnd writes down which line is the last, unless something is wrong with the list: that must be found again.
func (m *Manifest) keepEnd() error {
	text, err := os.ReadFile(endPath(m.dir))
	if m.isDry || len(m.Breaks) > 0 || !m.isSealed || string(text) == m.end+"\n" {
		return nil
	}
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	return m.layer.WriteAtomic(endPath(m.dir), disk.WriteAll([]byte(m.end+"\n")))
}

// parts are the contents whose rows, one behind the other, are those of a content.
func (m *Manifest) parts(content ContentKey) ([]manifestLine, error) {
	var parts []manifestLine
	for {
		line, isNoted := m.headers[content]
		if !isNoted || len(parts) > len(m.headers) {
			return nil, fmt.Errorf("%s: the manifest does not list it: %w", archivePath(m.dir, content), ErrArchiveDamaged)
		}
		parts = append(parts, line)
		if line.Base == "" {
			slices.Reverse(parts)
			return parts, nil
		}
		content.Sha256 = line.Base
	}
}

// Files lists the files in the order of feed and path.
func (m *Manifest) Files() []FileKey {
	return slices.SortedFunc(maps.Keys(m.States), func(a, b FileKey) int {
		return cmp.Or(strings.Compare(a.Feed, b.Feed), strings.Compare(a.File, b.File))
	})
}
