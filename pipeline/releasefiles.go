package pipeline

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"sort"
	"time"
)

// releaseManifestName is the file of a release that lists all its other files.
const releaseManifestName = "manifest.json"

// releaseManifest says what a release is and which bytes it holds. Files stand in the order of their paths.
type releaseManifest struct {
	Version string        `json:"version,omitempty"` // of the program; older releases have none
	Release string        `json:"release"`
	BeganAt time.Time     `json:"began_at"`
	AsOfAt  *time.Time    `json:"as_of_at"`
	Files   []releaseFile `json:"files"`
}

// releaseFile is one file of a release. Path is below the release's folder, with slashes.
type releaseFile struct {
	Path   string `json:"path"`
	Bytes  int64  `json:"bytes"`
	SHA256 string `json:"sha256"`
}

// listRelease digests every file below folder but the manifest itself. A link or a device has no place in a release.
func listRelease(folder string) ([]releaseFile, error) {
	files := []releaseFile{}
	err := filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		relative, err := filepath.Rel(folder, path)
		if err != nil || relative == releaseManifestName {
			return err
		}
		if !entry.Type().IsRegular() {
			return fmt.Errorf("%s: not a regular file; a release holds nothing else", path)
		}
		file, err := digestFile(path)
		file.Path = filepath.ToSlash(relative)
		files = append(files, file)
		return err
	})
	sort.Slice(files, func(i, j int) bool { return files[i].Path < files[j].Path })
	return files, err
}

func digestFile(path string) (releaseFile, error) {
	file, err := os.Open(path)
	if err != nil {
		return releaseFile{}, err
	}
	digest := sha256.New()
	size, err := io.Copy(digest, file)
	return releaseFile{Bytes: size, SHA256: hex.EncodeToString(digest.Sum(nil))}, errors.Join(err, file.Close())
}

// writeReleaseManifest lists what folder holds now.
func (l fileLayer) writeReleaseManifest(folder string, m releaseManifest) (err error) {
	if m.Files, err = listRelease(folder); err != nil {
		return err
	}
	text, err := json.MarshalIndent(m, "", " ")
	if err != nil {
		return err
	}
	return l.writeNew(filepath.Join(folder, releaseManifestName), append(text, '\n'))
}

func readReleaseManifest(folder string) (*releaseManifest, error) {
	return readJSON[releaseManifest](filepath.Join(folder, releaseManifestName))
}

// compareRelease names every file of a release that changed, is missing or is extra, in the order of their paths.
func compareRelease(folder string) (findings []string, err error) {
	m, err := readReleaseManifest(folder)
	if errors.Is(err, fs.ErrNotExist) {
		return []string{releaseManifestName + ": missing"}, nil
	}
	if err != nil {
		return []string{releaseManifestName + ": changed: " + err.Error()}, nil
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
