package release

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"time"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/rows"
)

// ReleaseManifestName is the file of a release that lists all its other files.
const ReleaseManifestName = "manifest.json"

// ReleaseManifest says what a release is and which bytes it holds. Files stand in the order of their paths.
type ReleaseManifest struct {
	Version string         `json:"version,omitempty"` // of the program; older releases have none
	Release string         `json:"release"`
	BeganAt time.Time      `json:"began_at"`
	AsOfAt  *time.Time     `json:"as_of_at"`
	Feeds   []rows.FeedEnd `json:"feeds,omitempty"`
	Silent  []string       `json:"silent,omitempty"`  // what status says of logs that are missing
	Missing []string       `json:"missing,omitempty"` // and of what else is not there
	Files   []releaseFile  `json:"files"`
}

// releaseFile is one file of a release. Path is below the release's folder, with slashes.
type releaseFile struct {
	Path   string `json:"path"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// listRelease digests every file below folder but the manifest itself. A link or a device, which has no place in a release, has no digest.
func listRelease(folder string) ([]releaseFile, error) {
	files := []releaseFile{}
	err := filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		relative, err := filepath.Rel(folder, path)
		if err != nil || relative == ReleaseManifestName {
			return err
		}
		file := releaseFile{Path: filepath.ToSlash(relative)}
		if entry.Type().IsRegular() {
			file.SHA256, file.Bytes, err = disk.DigestFile(path)
		}
		files = append(files, file)
		return err
	})
	sort.Slice(files, func(i, j int) bool { return files[i].Path < files[j].Path })
	return files, err
}

// WriteReleaseManifest lists what folder holds now.
func WriteReleaseManifest(l disk.Layer, folder string, m ReleaseManifest) (err error) {
	if m.Files, err = listRelease(folder); err != nil {
		return err
	}
	for _, file := range m.Files {
		if file.SHA256 == "" {
			return fmt.Errorf("%s: not a regular file; a release holds nothing else", file.Path)
		}
	}
	text, err := json.MarshalIndent(m, "", " ")
	if err != nil {
		return err
	}
	text, _ = disk.Seal("", text)
	return l.WriteNew(filepath.Join(folder, ReleaseManifestName), append(text, '\n'))
}

// ReadReleaseManifest reads the manifest in a release's folder; without one the error is fs.ErrNotExist.
func ReadReleaseManifest(folder string) (*ReleaseManifest, error) {
	path := filepath.Join(folder, ReleaseManifestName)
	text, err := os.ReadFile(path)
	if err != nil {
		return nil, err
	}
	m := &ReleaseManifest{}
	if err := disk.ReadSealed(bytes.TrimSuffix(text, []byte{'\n'}), m); err != nil {
		return nil, fmt.Errorf("%s: changed: %w", path, err)
	}
	return m, nil
}

// CompareRelease names every file of a release that changed, is missing or is extra, in the order of their paths.
func CompareRelease(folder string) ([]string, error) {
	m, err := ReadReleaseManifest(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return []string{ReleaseManifestName + ": missing"}, nil
	}
	if err != nil {
		return []string{ReleaseManifestName + ": changed: " + err.Error()}, nil //nolint:nilerr // what is wrong with it is a finding
	}
	wanted := map[string]string{ReleaseManifestName: ""}
	for _, file := range m.Files {
		wanted[file.Path] = file.SHA256
	}
	return disk.CompareFolder(folder, wanted)
}
