package pipeline

import (
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"strings"
	"time"

	"lanetally/pipeline/delivery"
	"lanetally/pipeline/metar"
)

// rowParserVersion changes when the same cells would be read into other values or faults: contents are then read anew.
const rowParserVersion = "5"

// feedLoader is what turns the rows of one feed into values.
type feedLoader struct {
	contract  *Contract
	mapping   Mapping
	location  *time.Location
	parseHash string // of all that decides how a row is read
}

func newFeedLoaders(s *Settings) (map[string]*feedLoader, error) {
	loaders := map[string]*feedLoader{}
	for _, feed := range loadedFeeds {
		contract, err := LoadContract("feeds", feed)
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

// newParser gives the parser of a content's rows, or why it is rejected whole.
func (f *feedLoader) newParser(content contentKey, header []string) (cellParser, *Fault) {
	if content.isReports() {
		return newReportParser(f.contract), nil
	}
	parser, fault := NewRowParser(f.contract, f.mapping, f.location, header)
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
func (n *loading) loadInbox(ctx context.Context, file inboxFile, content contentKey) (err error) {
	reader, err := delivery.Open(n.root, file.path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	var archive *archiveWriter
	var keeper delivery.Keeper
	if !n.isDry {
		if archive, err = newArchiveWriter(n.layer, n.dir, content); err != nil {
			return err
		}
		keeper = archive
	}
	line := manifestLine{Feed: content.feed, File: file.file, SHA256: content.sha256, Header: string(reader.HeaderRaw()), Event: eventDelivered}
	isArchived := false
	err = n.ledger.InTx(ctx, func() error {
		ahead := delivery.NewAhead(reader, keeper)
		line.Rows, err = n.store(ctx, content, line.Header, reader.Header(), ahead)
		if ahead.Close(); err != nil {
			return err
		}
		if digest, err := reader.SHA256(); err != nil || digest != content.digest() {
			return errors.Join(err, delivery.Changed(file.path))
		}
		if archive != nil {
			isArchived = true
			if err := archive.commit(); err != nil {
				return err
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
	n.known[content] = n.feeds[content.feed].parseHash
	return nil
}

// loadArchived reads a content from the archive into the ledger.
func (n *loading) loadArchived(ctx context.Context, content contentKey) (err error) {
	line := n.manifest.headers[content]
	header := delivery.SplitRecord([]byte(line.Header))
	reader, err := openArchive(ctx, n.dir, content)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	err = n.ledger.InTx(ctx, func() error {
		rows, err := n.store(ctx, content, line.Header, header, reader)
		if err == nil && rows != line.Rows {
			return fmt.Errorf("%s: %d rows where the manifest has %d: %w", reader.path, rows, line.Rows, errArchiveDamaged)
		}
		return err
	})
	if err == nil {
		n.known[content] = n.feeds[content.feed].parseHash
	}
	return err
}

// store fills the raw table with the rows of one content, in place of those it had, and says how many they are.
func (n *loading) store(ctx context.Context, content contentKey, headerRaw string, header []string, from rowSource) (int64, error) {
	feed := n.feeds[content.feed]
	if content.feed == crumbsFeed {
		parser := n.crumbs.newParser(feed, content, header)
		count, err := n.crumbs.read(ctx, content, parser, from)
		if err != nil {
			return 0, err
		}
		return count, n.storeContent(ctx, content, headerRaw, parser.rejected, unknownColumns(parser.parser), count)
	}
	rows := newRawRows(feed.contract, content, from)
	rows.parser, rows.rejected = feed.newParser(content, header)
	table := "raw_" + content.feed
	if err := n.ledger.Exec(ctx, "delete from "+quoteName(table)+" where sha256 = ?", content.sha256); err != nil {
		return 0, err
	}
	err := n.ledger.insertRecords(ctx, table, rows)
	count, early := rows.outcome()
	if early != nil {
		return 0, early // the database's own error only repeats its text
	}
	if err != nil {
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
func (n *loading) storeContent(ctx context.Context, content contentKey, headerRaw string, rejected *Fault, unknown []string, count int64) error {
	n.summary.Contents++
	n.summary.Rows += count
	if err := n.ledger.Exec(ctx, "delete from contents where feed = ? and sha256 = ?", content.feed, content.sha256); err != nil {
		return err
	}
	fault := Fault{}
	if rejected != nil {
		fault = *rejected
	}
	return n.ledger.Exec(ctx, `insert into contents select ?, ?, ?, ?, ?, nullif(?, ''), nullif(?, ''), nullif(?, ''), nullif(?, '')`,
		content.feed, content.sha256, n.feeds[content.feed].parseHash, headerRaw, count, strings.Join(unknown, ", "), fault.Column, fault.Reason, fault.Remedy)
}

// settle lists the files in the ledger and drops the contents that no file holds any longer.
func (n *loading) settle(ctx context.Context) error {
	return n.ledger.InTx(ctx, func() error {
		if err := n.ledger.Exec(ctx, "delete from delivery_files"); err != nil {
			return err
		}
		if err := appendTable(ctx, n.ledger, "delivery_files", deliveryFiles(n.manifest)); err != nil {
			return err
		}
		gone, err := readTable[struct {
			Feed   string `db:"feed"`
			SHA256 string `db:"sha256"`
		}](ctx, n.ledger, "delete from contents where (feed, sha256) not in (select (feed, sha256) from delivery_files where sha256 is not null) returning feed, sha256")
		if err != nil {
			return err
		}
		for _, content := range gone {
			if err := n.ledger.Exec(ctx, "delete from "+quoteName("raw_"+content.Feed)+" where sha256 = ?", content.SHA256); err != nil {
				return err
			}
		}
		return nil
	})
}

// deliveryFile is a row of delivery_files.
type deliveryFile struct {
	Feed             string `db:"feed"`
	File             string `db:"file"`
	SHA256           string `db:"sha256"`
	UnreadableSHA256 string `db:"unreadable_sha256"`
	UnreadableReason string `db:"unreadable_reason"`
	UnreadableRemedy string `db:"unreadable_remedy"`
}

// deliveryFiles lists the files of the manifest with their contents, in force and unreadable.
func deliveryFiles(m *manifest) (rows []deliveryFile) {
	for _, key := range m.files() {
		if !isLoadedFeed(key.feed) {
			continue
		}
		state, row := m.states[key], deliveryFile{Feed: key.feed, File: key.file}
		if state.content != nil {
			row.SHA256 = state.content.SHA256
		}
		if state.unreadable != nil {
			row.UnreadableSHA256, row.UnreadableReason, row.UnreadableRemedy = state.unreadable.SHA256, state.unreadable.Reason, state.unreadable.Remedy
		}
		rows = append(rows, row)
	}
	return rows
}
