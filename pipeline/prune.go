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
	"lanetally/pipeline/rows"
)

type pruneCommand struct {
	Dir    string `arg:"" type:"district" help:"District folder."`
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
	root, m, err := openArchive(dir, layer)
	if err != nil {
		return 0, nil, err
	}
	defer func() { err = errors.Join(err, root.Close()) }()
	files, _, err := intake.ScanInbox(root)
	if err != nil {
		return 0, nil, err
	}
	for _, file := range files {
		info, err := root.Lstat(file.Path)
		if err != nil || !info.Mode().IsRegular() || !info.ModTime().Before(before) {
			continue
		}
		why, err := layer.RemoveProved(root, file.Path, func() error { return proveArchived(ctx, root, m, file) })
		switch {
		case ctx.Err() != nil:
			return pruned, kept, context.Cause(ctx)
		case err != nil:
			return pruned, kept, err
		case why != nil:
			kept = append(kept, intake.FileNote{File: file.Path, Text: why.Error()})
		default:
			pruned++
		}
	}
	return pruned, kept, nil
}

// openArchive opens a district folder and the archive's list, with what a killed run left hidden in its place again.
func openArchive(dir string, layer disk.Layer) (*os.Root, *intake.Manifest, error) {
	if err := putBackHidden(dir); err != nil {
		return nil, nil, err
	}
	m, err := intake.ReadManifest(dir, layer)
	if err != nil {
		return nil, nil, err
	}
	root, err := os.OpenRoot(dir)
	return root, m, err
}

// putBackHidden gives files their names again that a killed run was about to delete.
func putBackHidden(dir string) error {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return err
	}
	return errors.Join(disk.PutBack(root, "inbox"), disk.PutBack(root, "archive"), root.Close())
}

// proveArchived reads a file of the inbox and its archived content side by side.
func proveArchived(ctx context.Context, root *os.Root, m *intake.Manifest, file intake.InboxFile) (err error) {
	content, err := delivery.Inspect(root, file.Path)
	if err != nil {
		return err
	}
	state, key := m.States[file.FileKey], intake.KeyOf(file, content.SHA256)
	if state.Content == nil || state.Content.SHA256 != key.Sha256 {
		return errors.New("not loaded yet in this form; run lanetally nightly first")
	}
	delivered, err := delivery.Open(root, file.Path)
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, delivered.Close()) }()
	err = m.EachArchived(ctx, key, func(archived *intake.ArchiveReader) error {
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

type compactCommand struct {
	Dir string `arg:"" type:"district" help:"District folder."`
}

// Run drops contents that nothing in force needs.
func (p compactCommand) Run(ctx context.Context, c console) (err error) {
	unlock, err := lockDistrict(p.Dir, c.now)
	if err != nil {
		return err
	}
	dropped, kept, err := compactArchive(ctx, p.Dir, disk.Layer{})
	if err = errors.Join(err, unlock()); err != nil {
		return err
	}
	for _, note := range kept {
		if err := c.say("kept %s: %s", note.File, note.Text); err != nil {
			return err
		}
	}
	return c.say("dropped %s from archive/ that nothing in force needs", plural(int64(dropped), "content", "contents"))
}

// compactArchive reads every content in force back, drops the others and begins the archive's list anew. A break of the list that no person
// has let pass stops it: another content may be in force than the list says.
func compactArchive(ctx context.Context, dir string, layer disk.Layer) (dropped int, kept []intake.FileNote, err error) {
	root, m, err := openArchive(dir, layer)
	if err != nil {
		return 0, nil, err
	}
	defer func() { err = errors.Join(err, root.Close()) }()
	accepted, err := readAccepted(dir)
	if err != nil {
		return 0, nil, err
	}
	if !isAccepted(accepted, damageCauses(m.Breaks)) {
		return 0, nil, Found{fmt.Sprintf("%s: %s; nothing was dropped; restore archive/ from a backup, or let it pass with "+
			"lanetally nightly %s --accept REASON first", m.Breaks[0].File, m.Breaks[0].Text, dir)}
	}
	return m.Compact(ctx, root)
}
