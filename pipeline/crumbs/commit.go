package crumbs

import (
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"

	"lanetally/pipeline/disk"
)

// changeName is the list of files of a change that holds from the moment it stands.
const changeName = "change.json"

// fileChanges is what a change does to files: new ones that wait under their unfinished names, and those that go.
type fileChanges struct {
	New  []string `json:"new"`
	Gone []string `json:"gone"`
}

// commit makes the change good. Killed before the list stands nothing has changed; after it, Open ends what was begun.
func (d Dir) commit(changes fileChanges, list map[string]string) error {
	if len(changes.New) == 0 && len(changes.Gone) == 0 {
		return nil
	}
	var err error
	if len(list) == 0 {
		changes.Gone = append(changes.Gone, DigestsName)
	} else if err = d.writeDigests(list); err == nil {
		changes.New = append(changes.New, DigestsName)
	}
	if err == nil {
		err = d.list(changes)
	}
	if err != nil {
		faults := []error{err}
		for _, name := range changes.New {
			faults = append(faults, os.Remove(d.unfinished(name)))
		}
		return errors.Join(faults...)
	}
	if err := d.SyncFolder(d.Path); err != nil {
		return err
	}
	return d.carryOut(changes)
}

// list writes the list to its place; after an error it is not there.
func (d Dir) list(changes fileChanges) error {
	text, err := json.Marshal(changes)
	if err != nil {
		return err
	}
	if err := d.WriteDurable(d.unfinished(changeName), disk.WriteAll(text)); err != nil {
		return err
	}
	if err := d.rename(changeName); err != nil {
		return errors.Join(err, os.Remove(d.unfinished(changeName)))
	}
	return nil
}

// carryOut renames and removes; what is done already is passed over.
func (d Dir) carryOut(changes fileChanges) error {
	for _, name := range changes.New {
		if _, err := os.Stat(d.unfinished(name)); errors.Is(err, fs.ErrNotExist) {
			continue
		}
		if err := d.rename(name); err != nil {
			return err
		}
		if err := d.SyncFolder(filepath.Dir(d.path(name))); err != nil {
			return err
		}
	}
	for _, name := range changes.Gone {
		if err := d.RemoveAll(d.path(name)); err != nil {
			return err
		}
	}
	// A list that came back after a power failure would remove what was written since.
	return errors.Join(d.RemoveAll(d.path(changeName)), d.SyncFolder(d.Path))
}

// mend ends a change that a killed run had begun, and removes what it left.
func (d Dir) mend() error {
	text, err := os.ReadFile(d.path(changeName))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return err
	}
	if err == nil {
		var changes fileChanges
		if err := json.Unmarshal(text, &changes); err != nil {
			return ErrDamaged
		}
		if err := d.carryOut(changes); err != nil {
			return err
		}
	}
	return d.sweep()
}
