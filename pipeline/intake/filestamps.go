package intake

import (
	"context"
	"os"
	"path/filepath"
	"syscall"
	"time"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/delivery"
	"lanetally/pipeline/ledger"
)

// A season's inbox is gigabytes of positions and thousands of sheets: to read every file each night only to find that it is the same would
// take longer than the night. So the ledger keeps what the file system says of a file whose bytes were read whole; while it says the same
// the bytes are the same.

// StampRest is how long before a night a file must have rested for its stamp to be kept: beyond the grain of the file system's clock, so
// that a change after the reading gives another stamp.
const StampRest = 2 * time.Second

// fileStamp is a row of file_stamps.
type fileStamp struct {
	Feed       string `db:"feed"`
	File       string `db:"file"`
	SHA256     string `db:"sha256"`
	Size       int64  `db:"size"`
	ModifiedNS int64  `db:"modified_ns"`
	ChangedNS  int64  `db:"changed_ns"`
	Inode      int64  `db:"inode"`
}

// FileStamps are the stamps of the files below a district folder.
type FileStamps struct {
	Root    *os.Root
	byFile  map[FileKey]fileStamp
	begunAt time.Time // of the night, as the file system tells; zero outside one
}

func readStamps(ctx context.Context, l *ledger.Ledger, root *os.Root) (*FileStamps, error) {
	s := &FileStamps{Root: root, byFile: map[FileKey]fileStamp{}}
	rows, err := ledger.ReadTable[fileStamp](ctx, l, "select * from file_stamps")
	for _, row := range rows {
		s.byFile[FileKey{row.Feed, row.File}] = row
	}
	if begun, err := root.Stat(filepath.Join("log", "lock")); err == nil {
		s.begunAt = begun.ModTime() // by the clock of the file system, not the machine's
	}
	return s, err
}

// now is what the file system says of a file now; false where it does not tell, for a link, and for a file that has not rested.
func (s *FileStamps) now(file InboxFile) (fileStamp, bool) {
	info, err := s.Root.Lstat(file.Path)
	if err != nil || !info.Mode().IsRegular() {
		return fileStamp{}, false
	}
	system, ok := info.Sys().(*syscall.Stat_t)
	if !ok {
		return fileStamp{}, false
	}
	stamp := fileStamp{Feed: file.Feed, File: file.File, Size: info.Size(), ModifiedNS: info.ModTime().UnixNano(),
		ChangedNS: system.Ctim.Nano(), Inode: int64(system.Ino)}
	return stamp, stamp.ChangedNS < s.begunAt.Add(-StampRest).UnixNano()
}

// since is now with the digest of the last reading, and whether the file is the same since.
func (s *FileStamps) since(file InboxFile) (now fileStamp, isRested, isSame bool) {
	now, isRested = s.now(file)
	known, isKnown := s.byFile[file.FileKey]
	now.SHA256 = known.SHA256
	return now, isRested, isRested && isKnown && now == known
}

// inspect is inspectFile, without reading a file whose stamp says that it is the one that was read before.
func (s *FileStamps) inspect(file InboxFile) (delivery.Content, error) {
	now, isRested, isSame := s.since(file)
	if isSame {
		return delivery.Content{SHA256: now.SHA256}, nil
	}
	delete(s.byFile, file.FileKey)
	content, err := inspectFile(s.Root, file)
	if err == nil && isRested {
		now.SHA256 = content.SHA256
		s.byFile[file.FileKey] = now
	}
	return content, err
}

// sizeToRead is the size of a file of positions that this night will read: one that may have changed, or whose content is not loaded.
func (s *FileStamps) sizeToRead(file InboxFile, isLoaded func(ContentKey) bool) int64 {
	now, _, isSame := s.since(file)
	if file.Feed != contract.CrumbsFeed || isSame && isLoaded(ContentKey{file.Feed, now.SHA256}) {
		return 0
	}
	return now.Size
}

// keep writes the stamps of the files that are in the inbox.
func (s *FileStamps) keep(ctx context.Context, l *ledger.Ledger, present map[FileKey]bool) error {
	var rows []fileStamp
	for key, stamp := range s.byFile {
		if present[key] {
			rows = append(rows, stamp)
		}
	}
	return l.InTx(ctx, func() error {
		if err := l.Exec(ctx, "delete from file_stamps"); err != nil {
			return err
		}
		return ledger.AppendTable(ctx, l, "file_stamps", rows)
	})
}
