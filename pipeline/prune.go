package pipeline

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"lanetally/pipeline/delivery"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/release"
	"lanetally/pipeline/rows"
)

type pruneCommand struct {
	Dir    string `arg:"" type:"existingdir" help:"District folder."`
	Before string `required:"" placeholder:"DATE" help:"Delete files last changed before this date (YYYY-MM-DD, local)."`
}

// Run deletes old files of the inbox that the archive holds whole.
func (p pruneCommand) Run(ctx context.Context, c console) error {
	settings, err := district.ReadSettings(filepath.Join(p.Dir, "district.toml"))
	if err != nil {
		return err
	}
	before, err := time.ParseInLocation(time.DateOnly, p.Before, settings.Location)
	if err != nil {
		return usageFault{fmt.Errorf("--before %q is not a date YYYY-MM-DD", p.Before)}
	}
	unlock, err := lockDistrict(p.Dir, c.now)
	if err != nil {
		return err
	}
	pruned, kept, err := pruneInbox(ctx, p.Dir, before, disk.Layer{})
	if err = errors.Join(err, unlock()); err != nil {
		return err
	}
	for _, note := range kept {
		if err := c.say("kept %s: %s", rows.Visible(note.File), note.Text); err != nil {
			return err
		}
	}
	return c.say("deleted %s from inbox/; their rows stay in force from archive/", plural(int64(pruned), "file", "files"))
}

// pruneInbox deletes the files of the inbox that were last changed before an instant and whose every row the archive holds, read
// back and compared byte for byte. It says how many went, and of the others that are as old why they stay.
func pruneInbox(ctx context.Context, dir string, before time.Time, layer disk.Layer) (pruned int, kept []intake.FileNote, err error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return 0, nil, err
	}
	defer func() { err = errors.Join(err, root.Close()) }()
	files, _, err := intake.ScanInbox(root)
	if err != nil {
		return 0, nil, err
	}
	m, err := intake.ReadManifest(dir, layer)
	if err != nil {
		return 0, nil, err
	}
	for _, file := range files {
		info, err := root.Lstat(file.Path)
		if err != nil || !info.Mode().IsRegular() || !info.ModTime().Before(before) {
			continue
		}
		if err := proveArchived(ctx, dir, root, m, file); err != nil {
			if ctx.Err() != nil {
				return pruned, kept, context.Cause(ctx)
			}
			kept = append(kept, intake.FileNote{File: file.Path, Text: err.Error()})
			continue
		}
		path := filepath.Join(dir, filepath.FromSlash(file.Path))
		if err := errors.Join(layer.RemoveAll(path), layer.SyncFolder(filepath.Dir(path))); err != nil {
			return pruned, kept, err
		}
		pruned++
	}
	return pruned, kept, nil
}

// proveArchived reads a file of the inbox and its archived content side by side.
func proveArchived(ctx context.Context, dir string, root *os.Root, m *intake.Manifest, file intake.InboxFile) (err error) {
	content, err := delivery.Inspect(root, file.Path)
	if err != nil {
		return err
	}
	state := m.States[file.FileKey]
	if state.Content == nil || state.Content.SHA256 != content.SHA256 {
		return errors.New("not loaded yet in this form; run lanetally nightly first")
	}
	delivered, err := delivery.Open(root, file.Path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, delivered.Close()) }()
	_, err = release.EachArchived(ctx, dir, intake.ContentKey{Feed: file.Feed, Sha256: content.SHA256}, state.Content.Rows,
		func(archived *intake.ArchiveReader) error {
			if !delivered.Next() {
				return intake.ErrArchiveDamaged
			}
			a, d := archived.Row(), delivered.Row()
			if a.Line != d.Line || a.Rest != d.Rest || !bytes.Equal(a.Raw, d.Raw) || (a.Fault == nil) != (d.Fault == nil) {
				return fmt.Errorf("line %d: %w", d.Line, intake.ErrArchiveDamaged)
			}
			return nil
		})
	if err != nil {
		return err
	}
	if delivered.Next() {
		return intake.ErrArchiveDamaged
	}
	return delivered.Err()
}
