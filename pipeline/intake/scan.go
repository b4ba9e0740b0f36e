package intake

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"slices"
	"sort"
	"strings"
	"unicode/utf8"

	"lanetally/pipeline/contract"
)

// InboxFile is one file of the inbox. Path is below the district folder, file below its feed's folder.
type InboxFile struct {
	FileKey
	Path string
	err  error // why its folder cannot be read

	firstBytes int64 // that are read of a growing file; 0 reads all
}

// ScanInbox lists the deliveries in the order of feed and path, and beside them what is left alone, with the reason.
func ScanInbox(root *os.Root) (files []InboxFile, notRead []FileNote, err error) {
	feeds, err := fs.ReadDir(root.FS(), "inbox")
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil, nil
	}
	if err != nil {
		return nil, nil, fmt.Errorf("list the inbox: %w", err)
	}
	for _, feed := range feeds {
		name := feed.Name()
		switch {
		case strings.HasPrefix(name, "."):
		case feed.Type()&fs.ModeSymlink != 0:
			notRead = append(notRead, FileNote{File: path.Join("inbox", name),
				Text: "link, not a folder; put the folder itself in its place"})
		case !contract.IsLoadedFeed(name):
			notRead = append(notRead, FileNote{File: path.Join("inbox", name),
				Text: "not the folder of a feed; use " + strings.Join(contract.LoadedFeeds, ", ")})
		default:
			found, left := scanFeed(root, name)
			files = append(files, found...)
			notRead = append(notRead, left...)
		}
	}
	sort.Slice(files, func(i, j int) bool {
		if files[i].Feed != files[j].Feed {
			return files[i].Feed < files[j].Feed
		}
		return files[i].File < files[j].File
	})
	return files, notRead, nil
}

// underwayEndings end the last part of the names that files have while something writes or fetches them.
var underwayEndings = []string{"part", "partial", "tmp", "temp", "download", "upload", "incomplete", "unfinished"}

// isUnderway tells a name that a file has until it is whole: hidden, with ~ at its end, or with one of these endings.
func isUnderway(name string) bool {
	ending := strings.ToLower(path.Ext(name))
	return strings.HasPrefix(name, ".") || strings.HasSuffix(name, "~") || ending != "" && slices.ContainsFunc(underwayEndings,
		func(known string) bool { return strings.HasSuffix(ending, known) })
}

// scanFeed walks one feed's folder. Links are never followed here; a link to a file is judged when it is opened.
func scanFeed(root *os.Root, feed string) (files []InboxFile, notRead []FileNote) {
	base := path.Join("inbox", feed)
	add := func(name string, err error) {
		key := FileKey{feed, strings.TrimPrefix(name, base+"/")}
		switch {
		case isUnderway(path.Base(name)):
			notRead = append(notRead, FileNote{File: name, Text: "on its way, by its name; it is read once it is renamed"})
		case !utf8.ValidString(name):
			notRead = append(notRead, FileNote{File: strings.ToValidUTF8(name, "?"), Text: "name is not UTF-8; rename the file"})
		default:
			files = append(files, InboxFile{FileKey: key, Path: name, err: err})
		}
	}
	walk := func(name string, entry fs.DirEntry, err error) error {
		switch {
		case err != nil:
			add(name, err)
			return fs.SkipDir
		case entry.IsDir() && name != base && strings.HasPrefix(entry.Name(), "."):
			return fs.SkipDir
		case !entry.IsDir():
			add(name, nil)
		}
		return nil
	}
	if err := fs.WalkDir(root.FS(), base, walk); err != nil {
		add(base, err)
	}
	return files, notRead
}
