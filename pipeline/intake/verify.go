package intake

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/crumbs"
	"lanetally/pipeline/disk"
)

// VerifyArchive rereads the archive and names what changed, is missing or is extra.
func VerifyArchive(ctx context.Context, dir string) ([]string, error) {
	m, err := ReadManifest(dir, disk.Layer{})
	if err != nil {
		return nil, err
	}
	var findings []string
	for _, fault := range m.Breaks {
		findings = append(findings, fault.File+": "+fault.Text)
	}
	known := map[string]bool{"manifest.jsonl": true, "manifest.end": true, "accepted.jsonl": true}
	if _, err := os.Stat(endPath(dir)); m.isSealed && errors.Is(err, fs.ErrNotExist) {
		findings = append(findings, "archive/manifest.end: missing; the next night writes it")
	}
	for content, line := range m.headers {
		if err := context.Cause(ctx); err != nil {
			return nil, err
		}
		name := line.Feed + "/" + filepath.Base(line.path(dir))
		known[name] = true
		if err := m.checkFile(ctx, content); isArchiveFault(err) {
			findings = append(findings, fmt.Sprintf("archive/%s (%s): %v", name, line.File, err))
		} else if err != nil {
			return nil, err
		}
	}
	positions := crumbs.Dir{Path: filepath.Join(dir, "archive", contract.CrumbsFeed)}
	changed, days, err := positions.Verify()
	if err != nil {
		return nil, err
	}
	for _, finding := range changed {
		findings = append(findings, "archive/"+contract.CrumbsFeed+"/"+finding)
	}
	for _, name := range days {
		known[contract.CrumbsFeed+"/"+name] = true
	}
	extra, err := extraFiles(filepath.Join(dir, "archive"), known)
	findings = append(findings, extra...)
	slices.Sort(findings)
	return findings, err
}

// checkFile holds a content's own file against its digest, or, where it has none, reads the content.
func (m *Manifest) checkFile(ctx context.Context, content ContentKey) error {
	line := m.headers[content]
	if line.Archived == "" {
		return m.EachArchived(ctx, content, nil)
	}
	sha, _, err := disk.DigestFile(line.path(m.dir))
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return errArchiveMissing
	case err == nil && sha != line.Archived:
		return fmt.Errorf("changed: %w", ErrArchiveDamaged)
	}
	return err
}

// Compact reads every content in force whole, drops the others, each after a look at its digest, and begins the list anew. It says how many
// went, and which stay that are not what was written.
func (m *Manifest) Compact(ctx context.Context, root *os.Root) (dropped int, kept []FileNote, err error) {
	needed := map[ContentKey]bool{}
	var bases, lines []manifestLine
	for _, key := range m.Files() {
		state := m.States[key]
		if line := state.Content; line != nil {
			content := ContentKey{line.Feed, line.SHA256}
			if err := m.EachArchived(ctx, content, nil); err != nil {
				return 0, nil, fmt.Errorf("nothing was dropped, because of a content in force: %w", err)
			}
			parts, err := m.parts(content)
			if err != nil {
				return 0, nil, err
			}
			needed[content] = true
			for _, part := range parts[:len(parts)-1] {
				needed[ContentKey{part.Feed, part.SHA256}] = true
				bases = append(bases, part)
			}
			lines = append(lines, *line)
		}
		if state.unreadable != nil {
			lines = append(lines, *state.unreadable)
		}
	}
	for content, line := range m.headers {
		if needed[content] {
			continue
		}
		name := path.Join("archive", line.Feed, filepath.Base(line.path(m.dir)))
		why, err := m.layer.RemoveProved(root, name, func() error { return m.checkFile(ctx, content) })
		switch {
		case err != nil || ctx.Err() != nil:
			return dropped, kept, errors.Join(err, context.Cause(ctx))
		case errors.Is(why, fs.ErrNotExist): // a killed run went as far
		case why != nil:
			kept = append(kept, FileNote{name, why.Error()})
		default:
			dropped++
		}
	}
	if err := m.keepEnd(); err != nil {
		return dropped, kept, err
	}
	m.Breaks = nil
	return dropped, kept, m.rewrite(append(bases, lines...), m.end)
}

// extraFiles names the files below archive that nothing knows.
func extraFiles(archive string, known map[string]bool) (extra []string, err error) {
	err = filepath.WalkDir(archive, func(found string, entry fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(archive, found)
		if name = filepath.ToSlash(name); known[name] && entry.Type().IsRegular() {
			return err
		}
		text := ": extra; the archive does not need it"
		if strings.HasSuffix(name, damagedEnding) {
			text = ": extra; it was damaged and the inbox gave it anew; delete it when it has been looked at"
		}
		extra = append(extra, "archive/"+name+text)
		return err
	})
	return extra, err
}

// EachArchived reads a content of the archive whole, and calls use (where it is not nil) with each row's reader.
func (m *Manifest) EachArchived(ctx context.Context, content ContentKey, use func(*ArchiveReader) error) (err error) {
	reader, err := m.OpenArchive(ctx, content)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, reader.Close()) }()
	for reader.Next() {
		if use != nil {
			if err := use(reader); err != nil {
				return err
			}
		}
	}
	return reader.Err()
}
