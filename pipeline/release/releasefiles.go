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
	Silent  []string       `json:"silent,omitempty"` // what status says of logs that are missing
	Files   []releaseFile  `json:"files"`
	Seal    string         `json:"seal,omitempty"` // of all the rest; older releases have none
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
	text, err := m.text(true)
	if err != nil {
		return err
	}
	return l.WriteNew(filepath.Join(folder, ReleaseManifestName), text)
}

// text is the manifest as it is written, sealed or as it is.
func (m ReleaseManifest) text(seal bool) ([]byte, error) {
	if seal {
		m.Seal = ""
		text, err := m.text(false)
		if err != nil {
			return nil, err
		}
		m.Seal = disk.SealOf("", text)
	}
	text, err := json.MarshalIndent(m, "", " ")
	return append(text, '\n'), err
}

// check finds any change in the text of a release's manifest.
func (m ReleaseManifest) check(folder string) error {
	found, err := os.ReadFile(filepath.Join(folder, ReleaseManifestName))
	if err != nil {
		return err
	}
	wanted, err := m.text(m.Seal != "")
	if err == nil && !bytes.Equal(found, wanted) {
		err = errors.New("it does not match its own digest")
	}
	return err
}

// ReadReleaseManifest reads the manifest in a release's folder; without one the error is fs.ErrNotExist.
func ReadReleaseManifest(folder string) (*ReleaseManifest, error) {
	return disk.ReadJSON[ReleaseManifest](filepath.Join(folder, ReleaseManifestName))
}

// CompareRelease names every file of a release that changed, is missing or is extra, in the order of their paths.
func CompareRelease(folder string) (findings []string, err error) {
	m, err := ReadReleaseManifest(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return []string{ReleaseManifestName + ": missing"}, nil
	}
	if err == nil {
		err = m.check(folder)
	}
	if err != nil {
		findings = append(findings, ReleaseManifestName+": changed: "+err.Error())
	}
	if m == nil {
		return findings, nil
	}
	found, err := listRelease(folder)
	if err != nil {
		return nil, err
	}
	have := map[string]releaseFile{}
	for _, file := range found {
		have[file.Path] = file
	}
	for _, wanted := range m.Files {
		file, isThere := have[wanted.Path]
		switch {
		case !isThere:
			findings = append(findings, wanted.Path+": missing")
		case file != wanted:
			findings = append(findings, wanted.Path+": changed")
		}
		delete(have, wanted.Path)
	}
	for path := range have {
		findings = append(findings, path+": extra")
	}
	sort.Strings(findings)
	return findings, nil
}
