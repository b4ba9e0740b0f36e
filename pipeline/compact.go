package pipeline

import (
	"context"
	"errors"
	"fmt"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/intake"
)

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
