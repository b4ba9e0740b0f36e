package intake

import (
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"math"
	"strings"
	"time"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/delivery"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/metar"
)

// rowParserVersion changes when the same cells would be read into other values or faults: contents are then read anew.
const rowParserVersion = "5"

// feedLoader is what turns the rows of one feed into values.
type feedLoader struct {
	contract  *contract.Contract
	mapping   contract.Mapping
	location  *time.Location
	parseHash string // of all that decides how a row is read
}

// NewFeedLoaders makes the loader of each of LoadedFeeds, by the feed's name.
func NewFeedLoaders(s *district.Settings) (map[string]*feedLoader, error) {
	loaders := map[string]*feedLoader{}
	for _, feed := range contract.LoadedFeeds {
		contract, err := contract.LoadContract("feeds", feed)
		if err != nil {
			return nil, err
		}
		loader := &feedLoader{contract: contract, mapping: s.Feeds[feed], location: s.Location}
		text, err := json.Marshal([]any{rowParserVersion, delivery.Version, s.TimeZone, loader.mapping, contract})
		if err != nil {
			return nil, err
		}
		sum := sha256.Sum256(text)
		loader.parseHash = hex.EncodeToString(sum[:])
		loaders[feed] = loader
	}
	return loaders, nil
}

// NewParser gives the parser of a content's rows, or why it is rejected whole.
func (f *feedLoader) NewParser(content ContentKey, header []string) (cellParser, *contract.Fault) {
	if content.isReports() {
		return newReportParser(f.contract), nil
	}
	parser, fault := contract.NewRowParser(f.contract, f.mapping, f.location, header)
	if fault != nil {
		return nil, fault
	}
	parser.Wx = func(text string) error {
		_, err := metar.DecodePresentWeather(text)
		return err
	}
	return parser, nil
}

// loadInbox reads a content from the inbox into the archive, the manifest and the ledger.
func (n *loading) loadInbox(ctx context.Context, file InboxFile, content ContentKey) (err error) {
	reader, err := delivery.OpenFirst(n.root, file.Path, cmp.Or(file.firstBytes, math.MaxInt64))
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	info, err := n.root.Lstat(file.Path)
	if err != nil {
		return delivery.OpenFault(file.Path, err)
	}
	line := manifestLine{Feed: content.Feed, File: file.File, SHA256: content.Sha256, Header: string(reader.HeaderRaw()),
		Event: eventDelivered, Hides: disk.ForOthers &^ info.Mode()}
	base := n.baseOf(file, &line)
	var archive *archiveWriter
	var keeper delivery.Keeper
	if !n.isDry {
		layer := n.layer
		layer.Hide = line.Hides
		if archive, err = newArchiveWriter(layer, line.path(n.dir), base.Rows); err != nil {
			return err
		}
		keeper = archive
	}
	isArchived := false
	err = n.ledger.InTx(ctx, func() error {
		ahead := delivery.NewAhead(reader, keeper)
		line.Rows, err = n.store(ctx, content, line.Header, reader.Header(), ahead)
		if ahead.Close(); err != nil {
			return err
		}
		if digest, err := reader.SHA256(); err != nil || digest != content.digest() {
			return errors.Join(err, delivery.Changed(file.Path))
		}
		if archive != nil {
			isArchived = true
			if err := archive.commit(n.manifest.headers[content].Archived); err != nil {
				return err
			}
			line.Archived, line.Base = archive.sha(), base.SHA256
			if archive.isUnsure <= 0 {
				line.Bytes = cmp.Or(file.firstBytes, info.Size())
			}
		}
		return n.manifest.record(line)
	})
	if err != nil {
		if archive != nil && !isArchived {
			err = errors.Join(err, archive.discard())
		}
		return err
	}
	n.loaded(content, line.Rows)
	return nil
}

// loaded notes that the ledger has the rows of a content.
func (n *loading) loaded(content ContentKey, rows int64) {
	n.known[content] = n.feeds[content.Feed].parseHash
	n.summary.Contents++
	n.summary.Rows += rows
}

// baseOf is the content that a new one is an addition to: that which its file had before, if it begins with its lines. The zero line is
// none.
func (n *loading) baseOf(file InboxFile, line *manifestLine) manifestLine {
	known, isNoted := n.manifest.headers[ContentKey{line.Feed, line.SHA256}]
	base := n.manifest.headers[ContentKey{line.Feed, known.Base}]
	if former := n.manifest.States[file.FileKey].Content; !isNoted && former != nil && former.Bytes > 0 &&
		delivery.BeginsWith(n.root, file.Path, delivery.Content{SHA256: former.key().digest(), Bytes: former.Bytes}) {
		base = *former
	}
	if base.Header != line.Header || base.Hides != line.Hides || !n.manifest.isArchived(base.key(), true) {
		return manifestLine{}
	}
	return base
}

// loadArchived reads a content from the archive into the ledger.
func (n *loading) loadArchived(ctx context.Context, content ContentKey) (err error) {
	line := n.manifest.headers[content]
	header := delivery.SplitRecord([]byte(line.Header))
	reader, err := n.manifest.OpenArchive(ctx, content)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	err = n.ledger.InTx(ctx, func() error {
		_, err := n.store(ctx, content, line.Header, header, reader)
		return err
	})
	if err == nil {
		n.loaded(content, line.Rows)
	}
	return err
}

// store fills the raw table with the rows of one content, in place of those it had, and says how many they are.
func (n *loading) store(ctx context.Context, content ContentKey, headerRaw string, header []string, from rowSource) (int64, error) {
	feed := n.feeds[content.Feed]
	if content.Feed == contract.CrumbsFeed {
		parser := n.crumbs.newParser(feed, content, header)
		count, err := n.crumbs.read(ctx, content, parser, from)
		if err != nil {
			return 0, err
		}
		return count, n.storeContent(ctx, content, headerRaw, parser.rejected, unknownColumns(parser.parser), count)
	}
	rows := newRawRows(feed.contract, content, from)
	rows.parser, rows.rejected = feed.NewParser(content, header)
	table := "raw_" + content.Feed
	if err := n.ledger.Exec(ctx, "delete from "+ledger.QuoteName(table)+" where sha256 = ?", content.Sha256); err != nil {
		return 0, err
	}
	err := n.ledger.InsertRecords(ctx, table, rows)
	count, early := rows.outcome()
	if early != nil {
		return 0, early // the database's own error only repeats its text
	}
	if err := errors.Join(err, rows.leftOut.keep(ctx, n.ledger, content)); err != nil {
		return 0, err
	}
	return count, n.storeContent(ctx, content, headerRaw, rows.rejected, unknownColumns(rows.parser), count)
}

// unknownColumns are a content's columns that nothing reads; none of one that is rejected whole, which has no parser.
func unknownColumns(parser cellParser) []string {
	if parser == nil {
		return nil
	}
	return parser.UnknownColumns()
}

// storeContent notes a content: why it is rejected whole, or which of its columns nothing reads.
func (n *loading) storeContent(ctx context.Context, content ContentKey, headerRaw string, rejected *contract.Fault, unknown []string,
	count int64) error {
	if err := n.ledger.Exec(ctx, "delete from contents where feed = ? and sha256 = ?", content.Feed, content.Sha256); err != nil {
		return err
	}
	fault := contract.Fault{}
	if rejected != nil {
		fault = *rejected
	}
	return n.ledger.Exec(ctx, `insert into contents select ?, ?, ?, ?, ?, nullif(?, ''), nullif(?, ''), nullif(?, ''), nullif(?, ''),
			nullif(?, '')`,
		content.Feed, content.Sha256, n.feeds[content.Feed].parseHash, headerRaw, count, strings.Join(unknown, ", "), fault.Column,
		fault.Code, fault.Found, fault.Wanted)
}

// settle lists the files in the ledger and drops the contents that no file holds any longer.
func (n *loading) settle(ctx context.Context, present map[FileKey]bool) error {
	return n.ledger.InTx(ctx, func() error {
		if err := n.ledger.Exec(ctx, "delete from delivery_files"); err != nil {
			return err
		}
		if err := ledger.AppendTable(ctx, n.ledger, "delivery_files", deliveryFiles(n.manifest, present)); err != nil {
			return err
		}
		if err := n.keepGrowing(ctx); err != nil {
			return err
		}
		gone, err := ledger.ReadTable[struct {
			Feed   string `db:"feed"`
			SHA256 string `db:"sha256"`
		}](ctx, n.ledger, "delete from contents where (feed, sha256) not in (select (feed, sha256) from delivery_files where sha256 is "+
			"not null) returning feed, sha256")
		if err != nil {
			return err
		}
		for _, content := range gone {
			none := newLeftOut()
			if err := errors.Join(n.ledger.Exec(ctx, "delete from "+ledger.QuoteName("raw_"+content.Feed)+" where sha256 = ?",
				content.SHA256), none.keep(ctx, n.ledger, ContentKey{content.Feed, content.SHA256})); err != nil {
				return err
			}
		}
		return nil
	})
}

// keepGrowing counts the nights in a row on which a file changed while it was read.
func (n *loading) keepGrowing(ctx context.Context) error {
	type growingFile struct {
		Feed   string `db:"feed"`
		File   string `db:"file"`
		Nights int64  `db:"nights"`
	}
	former, err := ledger.ReadTable[growingFile](ctx, n.ledger, "delete from growing_files returning feed, file, nights")
	if err != nil {
		return err
	}
	nights, growing := map[FileKey]int64{}, []growingFile{}
	for _, row := range former {
		nights[FileKey{row.Feed, row.File}] = row.Nights
	}
	for _, key := range n.growing {
		growing = append(growing, growingFile{key.Feed, key.File, nights[key] + 1})
	}
	return ledger.AppendTable(ctx, n.ledger, "growing_files", growing)
}

// deliveryFile is a row of delivery_files.
type deliveryFile struct {
	Feed             string `db:"feed"`
	File             string `db:"file"`
	SHA256           string `db:"sha256"`
	UnreadableSHA256 string `db:"unreadable_sha256"`
	UnreadableCode   string `db:"unreadable_code"`
	UnreadableFound  string `db:"unreadable_found"`
	UnreadableRows   int64  `db:"unreadable_rows"`
}

// deliveryFiles lists the files of the manifest with their contents, in force and unreadable. Of a file that is gone from the inbox
// nothing is unreadable any longer.
func deliveryFiles(m *Manifest, present map[FileKey]bool) (rows []deliveryFile) {
	for _, key := range m.Files() {
		state, row := m.States[key], deliveryFile{Feed: key.Feed, File: key.File}
		if !present[key] {
			state.unreadable = nil
		}
		if !contract.IsLoadedFeed(key.Feed) || state.Content == nil && state.unreadable == nil {
			continue
		}
		if state.Content != nil {
			row.SHA256 = state.Content.SHA256
		}
		if state.unreadable != nil {
			row.UnreadableSHA256 = state.unreadable.SHA256
			row.UnreadableCode, row.UnreadableFound = state.unreadable.Code, state.unreadable.Found
			row.UnreadableRows = state.unreadable.Rows
		}
		rows = append(rows, row)
	}
	return rows
}
