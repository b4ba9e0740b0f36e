package intake

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
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
	wanted := map[string]string{"manifest.jsonl": "", "manifest.end": "", "accepted.jsonl": ""}
	if _, err := os.Stat(endPath(dir)); m.isSealed && errors.Is(err, fs.ErrNotExist) {
		findings = append(findings, "archive/manifest.end: missing; the next night writes it")
	}
	files := map[string]string{} // of the inbox, by name in the archive
	for content, line := range m.headers {
		name := line.Feed + "/" + filepath.Base(line.path(dir))
		wanted[name], files[name] = line.Archived, line.File
		if line.Archived != "" {
			continue
		}
		if err := m.EachArchived(ctx, content, nil); errors.Is(err, ErrArchiveDamaged) {
			findings = append(findings, fmt.Sprintf("archive/%s: %v", name, err))
		} else if err != nil {
			return nil, err
		}
	}
	days, err := crumbs.Dir{Path: filepath.Join(dir, "archive", contract.CrumbsFeed)}.Digests()
	if errors.Is(err, crumbs.ErrDamaged) {
		findings, err = append(findings, "archive/"+contract.CrumbsFeed+"/"+err.Error()), nil
	}
	if err != nil {
		return nil, err
	}
	wanted[contract.CrumbsFeed+"/"+crumbs.DigestsName] = ""
	for name, sha := range days {
		wanted[contract.CrumbsFeed+"/"+name] = sha
	}
	compared, err := disk.CompareFolder(filepath.Join(dir, "archive"), wanted)
	for _, finding := range compared {
		name, _, _ := strings.Cut(finding, ":")
		if file := files[name]; file != "" {
			finding += " (rows of " + file + "); restore it from a backup, or deliver that file again"
		}
		findings = append(findings, "archive/"+finding)
	}
	return findings, err
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
		why, err := m.layer.RemoveProved(root, name, func() error {
			if line.Archived == "" {
				return m.EachArchived(ctx, content, nil)
			}
			return line.check(m.dir)
		})
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
