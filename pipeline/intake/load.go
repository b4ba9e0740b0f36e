// Package intake brings the ledger's raw tables and the archive up to the inbox.
//
// In: the files below inbox/. Out: archive/ by content, raw rows in the ledger, positions in day files and the passes made of them, and
// a summary of what was read and what was left alone. One transaction a file: killed at any point, the next call takes up where this
// one was.
package intake

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/crumbs"
	"lanetally/pipeline/delivery"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
)

// FileNote is what a night has to say of one file. File is a path below the district folder.
type FileNote struct {
	File string `json:"file"`
	Text string `json:"text"`
}

// LoadSummary is what loading did in one night, and what it left alone.
type LoadSummary struct {
	Files      int        `json:"files"`      // deliveries in force, vanished ones included
	Contents   int        `json:"contents"`   // contents read this night, from the inbox or from the archive
	Rows       int64      `json:"rows"`       // rows of those
	Unreadable []FileNote `json:"unreadable"` // files of the inbox that cannot be read: reason; remedy
	Changed    []FileNote `json:"changed"`    // files that changed while they were read: left for the next night
	NotRead    []FileNote `json:"not_read"`   // files and folders that are no deliveries, or of a kind that is not read yet
	Vanished   []FileNote `json:"vanished"`   // files no longer in the inbox; their rows stay in force from the archive
	Rejected   []FileNote `json:"rejected"`   // deliveries in force whose rows are all quarantined: reason; remedy
	Unknown    []FileNote `json:"unknown"`    // deliveries in force with columns that nothing reads
	Damaged    []FileNote `json:"damaged"`    // contents in force that neither archive nor inbox has whole, and breaks of its list

	Hides fs.FileMode `json:"-"` // what others may not do with a delivery in force
}

// loading is one night's loading, or, dry, a look at what it would do.
type loading struct {
	ledger   *ledger.Ledger
	dir      string
	root     *os.Root
	layer    disk.Layer
	isDry    bool
	manifest *Manifest
	feeds    map[string]*feedLoader
	known    map[ContentKey]string // parse hash of the contents in the ledger
	summary  LoadSummary
	crumbs   *crumbLoading
	show     *CrumbProgress
	stamps   *FileStamps
	growing  []FileKey // files that changed while they were read
}

// LoadDeliveries brings the ledger's raw tables up to the inbox and the archive. Each new content is archived, noted in the
// manifest and loaded, in one transaction a file; killed at any point, the next call takes up where this one was.
func LoadDeliveries(ctx context.Context, l *ledger.Ledger, dir string, s *district.Settings, layer disk.Layer,
	show *CrumbProgress) (LoadSummary, error) {
	return runLoading(ctx, &loading{ledger: l, dir: dir, layer: layer, show: show}, s)
}

// CheckDeliveries loads into l, a ledger in memory, what a night would load, and writes nothing to the district folder.
func CheckDeliveries(ctx context.Context, l *ledger.Ledger, dir string, s *district.Settings) (LoadSummary, error) {
	return runLoading(ctx, &loading{ledger: l, dir: dir, isDry: true}, s)
}

func runLoading(ctx context.Context, n *loading, s *district.Settings) (summary LoadSummary, err error) {
	if n.root, err = os.OpenRoot(n.dir); err != nil {
		return summary, fmt.Errorf("open the district folder: %w", err)
	}
	defer func() { err = errors.Join(err, n.root.Close(), n.crumbs.close()) }()
	if err := n.begin(ctx, s); err != nil {
		return summary, err
	}
	if err := n.run(ctx); err != nil {
		return summary, err
	}
	return n.summary, nil
}

func (n *loading) begin(ctx context.Context, s *district.Settings) (err error) {
	if err = ledger.PrepareDeliveryTables(ctx, n.ledger); err != nil {
		return fmt.Errorf("prepare the raw tables: %w", err)
	}
	if !n.isDry {
		if err = sweepArchive(n.dir, n.layer); err != nil {
			return err
		}
	}
	if n.manifest, err = ReadManifest(n.dir, n.layer); err != nil {
		return err
	}
	n.manifest.isDry = n.isDry
	n.summary.Damaged = slices.Clone(n.manifest.Breaks)
	if n.feeds, err = NewFeedLoaders(s); err != nil {
		return err
	}
	if n.known, err = knownContents(ctx, n.ledger); err != nil {
		return err
	}
	if n.stamps, err = readStamps(ctx, n.ledger, n.root); err != nil {
		return err
	}
	n.crumbs = &crumbLoading{ledger: n.ledger, known: n.known, names: crumbs.NewNames(), settings: traceSettings(s),
		matching: matchingSettings(s),
		remove:   func() error { return nil }, show: n.show}
	folder := crumbs.Dir{Path: filepath.Join(n.dir, "archive", contract.CrumbsFeed), Layer: n.layer}
	folder.Hide = disk.ForOthers // where people were, by the minute
	if err := n.crumbs.open(ctx, folder, n.isDry); err != nil {
		return fmt.Errorf("open the positions: %w", err)
	}
	return nil
}

func knownContents(ctx context.Context, l *ledger.Ledger) (map[ContentKey]string, error) {
	type content struct {
		Feed      string `db:"feed"`
		SHA256    string `db:"sha256"`
		ParseHash string `db:"parse_hash"`
	}
	rows, err := ledger.ReadTable[content](ctx, l, "select feed, sha256, parse_hash from contents")
	if err != nil {
		return nil, err
	}
	known := map[ContentKey]string{}
	for _, row := range rows {
		known[ContentKey{row.Feed, row.SHA256}] = row.ParseHash
	}
	return known, nil
}

func (n *loading) run(ctx context.Context) error {
	files, notRead, err := ScanInbox(n.root)
	if err != nil {
		return err
	}
	n.summary.NotRead = notRead
	present := map[FileKey]bool{}
	sizes := n.show.expect(files, func(file InboxFile) int64 { return n.stamps.sizeToRead(file, n.isLoaded) })
	ahead := InspectAhead(n.stamps, files)
	defer ahead.End()
	for i, file := range files {
		present[file.FileKey] = true
		n.show.file(sizes[i])
		if err := n.takeFile(ctx, file, ahead.Next()); err != nil {
			return fmt.Errorf("load %q: %w", file.Path, err)
		}
	}
	for _, key := range n.manifest.Files() {
		if err := n.keepFile(ctx, key, present[key]); err != nil {
			return fmt.Errorf("load %q again: %w", key.Feed+"/"+key.File, err)
		}
	}
	if err := errors.Join(n.manifest.keepEnd(), n.settle(ctx, present), n.stamps.keep(ctx, n.ledger, present)); err != nil {
		return fmt.Errorf("list the deliveries: %w", err)
	}
	if err := n.crumbs.match(ctx); err != nil {
		return fmt.Errorf("match the positions: %w", err)
	}
	return n.summary.describe(ctx, n.ledger)
}

// isLoaded tells whether the ledger has the rows of a content as they would be read now.
func (n *loading) isLoaded(content ContentKey) bool {
	return n.known[content] == n.feeds[content.Feed].parseHash
}

// takeFile brings one file of the inbox into force, or notes why it cannot be read.
func (n *loading) takeFile(ctx context.Context, file InboxFile, found inspection) error {
	content, err := found.Content, found.Err
	if err == nil {
		err = n.bring(ctx, file, KeyOf(file, content.SHA256))
	}
	if delivery.IsChanged(err) {
		return n.takeChanged(ctx, file, content)
	}
	var fault *delivery.FileFault
	if !errors.As(err, &fault) {
		return err
	}
	n.summary.Unreadable = append(n.summary.Unreadable, FileNote{File: file.Path, Text: fault.Text()})
	return n.manifest.record(manifestLine{Feed: file.Feed, File: file.File, SHA256: content.SHA256, Event: eventUnreadable,
		Rows: fault.Rows, Code: fault.Code, Found: fault.Found})
}

// takeChanged brings into force the whole lines that a CSV file had when it was inspected, where it was only appended to since; any other
// file that changes while it is read waits for the next night.
func (n *loading) takeChanged(ctx context.Context, file InboxFile, inspected delivery.Content) error {
	n.growing = append(n.growing, file.FileKey)
	note := FileNote{File: file.Path, Text: "changed while it was read; it is read again the next night"}
	lines, err := delivery.InspectGrown(n.root, file.Path, inspected)
	if err == nil {
		note.Text = "grew while it was read; its whole lines up to there are loaded, the others the next night"
		file.firstBytes = lines.Bytes
		err = n.bring(ctx, file, KeyOf(file, lines.SHA256))
	}
	n.summary.Changed = append(n.summary.Changed, note)
	if errors.As(err, new(*delivery.FileFault)) { // what is the matter is told when the file is at rest
		return nil
	}
	return err
}

// inspectFile inspects a file of a kind that its feed takes: raw reports come as weather alone.
func inspectFile(root *os.Root, file InboxFile) (delivery.Content, error) {
	if file.Feed != contract.ReportsFeed && delivery.KindOf(file.Path).IsReports() {
		return delivery.Content{}, delivery.NotRead(file.Path)
	}
	return delivery.Inspect(root, file.Path)
}

// bring makes sure that a content which lies in the inbox is archived, loaded and noted.
func (n *loading) bring(ctx context.Context, file InboxFile, content ContentKey) error {
	line, isNoted := n.manifest.headers[content]
	isKept := isNoted && (n.isDry || n.manifest.isArchived(content, false))
	if !isKept || !n.isLoaded(content) && (n.isDry || n.loadArchived(ctx, content) != nil) {
		return n.loadInbox(ctx, file, content)
	}
	line.File = file.File
	return n.manifest.record(line)
}

// keepFile makes sure that the content in force of a file is loaded, also when the file has vanished or has become unreadable.
func (n *loading) keepFile(ctx context.Context, key FileKey, isPresent bool) error {
	state := n.manifest.States[key]
	if state.Content == nil || !contract.IsLoadedFeed(key.Feed) {
		return nil
	}
	if !isPresent {
		n.summary.Vanished = append(n.summary.Vanished, FileNote{File: "inbox/" + key.Feed + "/" + key.File,
			Text: "no longer in the inbox; its rows stay in force from the archive"})
	}
	n.summary.Hides |= state.Content.Hides
	content := ContentKey{key.Feed, state.Content.SHA256}
	if n.isLoaded(content) {
		return nil
	}
	err := n.loadArchived(ctx, content)
	if errors.Is(err, ErrArchiveDamaged) {
		n.summary.Damaged = append(n.summary.Damaged, FileNote{File: "inbox/" + key.Feed + "/" + key.File, Text: err.Error()})
		return nil
	}
	return err
}

// sweepArchive removes the unfinished files that a killed run left, those of the positions apart.
func sweepArchive(dir string, layer disk.Layer) error {
	var faults []error
	for _, below := range []string{"*.tmp", "*/*.parquet.tmp"} {
		left, err := fs.Glob(os.DirFS(filepath.Join(dir, "archive")), below)
		faults = append(faults, err)
		for _, name := range left {
			faults = append(faults, layer.Remove(filepath.Join(dir, "archive", name)))
		}
	}
	return errors.Join(faults...)
}

// describe adds what the ledger says of the deliveries in force.
func (s *LoadSummary) describe(ctx context.Context, l *ledger.Ledger) error {
	type described struct {
		Feed    string `db:"feed"`
		File    string `db:"file"`
		Unknown string `db:"unknown_columns"`
		Column  string `db:"fault_column"`
		Code    string `db:"fault_code"`
		Found   string `db:"fault_found"`
		Wanted  string `db:"fault_wanted"`
	}
	rows, err := ledger.ReadTable[described](ctx, l, `select delivery_files.feed, file, unknown_columns, fault_column, fault_code,
			fault_found, fault_wanted
		from delivery_files inner join contents using (feed, sha256) order by delivery_files.feed, file`)
	if err != nil {
		return err
	}
	s.Files = len(rows)
	for _, row := range rows {
		path := strings.Join([]string{"inbox", row.Feed, row.File}, "/")
		if row.Code != "" {
			s.Rejected = append(s.Rejected, FileNote{path, contract.Fault{Column: row.Column, Code: row.Code, Found: row.Found,
				Wanted: row.Wanted}.Text()})
		}
		if row.Unknown != "" {
			s.Unknown = append(s.Unknown, FileNote{path, "columns that nothing reads: " + row.Unknown})
		}
	}
	return nil
}

// Lines gives what a person should read of the loading, a line a file.
func (s *LoadSummary) Lines() []string {
	var lines []string
	for _, notes := range [][]FileNote{s.Damaged, s.Unreadable, s.Changed, s.Rejected, s.Unknown, s.NotRead} {
		for _, note := range notes {
			lines = append(lines, rows.Visible(note.File+": "+note.Text))
		}
	}
	return lines
}
