package release

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

	"lanetally/pipeline/disk"
)

// ReleaseManifestName is the file of a release that lists all its other files.
const ReleaseManifestName = "manifest.json"

// ReleaseManifest says what a release is and which bytes it holds. Files stand in the order of their paths.
type ReleaseManifest struct {
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
		if err != nil || relative == ReleaseManifestName {
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

// WriteReleaseManifest lists what folder holds now.
func WriteReleaseManifest(l disk.Layer, folder string, m ReleaseManifest) (err error) {
	if m.Files, err = listRelease(folder); err != nil {
		return err
	}
	text, err := json.MarshalIndent(m, "", " ")
	if err != nil {
		return err
	}
	return l.WriteNew(filepath.Join(folder, ReleaseManifestName), append(text, '\n'))
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
	if err != nil {
		return []string{ReleaseManifestName + ": changed: " + err.Error()}, nil //nolint:nilerr // what is wrong with it is a finding
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
