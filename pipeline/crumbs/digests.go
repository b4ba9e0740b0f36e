package crumbs

import (
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"lanetally/pipeline/disk"
)

// DigestsName is the sealed list of the days' files with their SHA-256.
const DigestsName = "days.json"

// dayDigests is that list.
type dayDigests struct {
	Days map[string]string `json:"days"` // by name
}

// Digests gives the SHA-256 of the days' files by name. Without a list, as older programs left the store, they are "".
func (d Dir) Digests() (map[string]string, error) {
	list := dayDigests{map[string]string{}}
	text, err := os.ReadFile(d.path(DigestsName))
	if errors.Is(err, fs.ErrNotExist) {
		days, err := d.Days()
		for _, day := range days {
			list.Days[day.path()] = ""
		}
		return list.Days, err
	}
	if err == nil && disk.ReadSealed(text, &list) != nil {
		err = fmt.Errorf("%s: %w", DigestsName, ErrDamaged)
	}
	return list.Days, err
}

// writeDigests writes the list under its unfinished name.
func (d Dir) writeDigests(list map[string]string) error {
	plain, err := json.Marshal(dayDigests{list})
	if err != nil {
		return err
	}
	text, _ := disk.Seal("", plain)
	return d.WriteDurable(d.unfinished(DigestsName), disk.WriteAll(text))
}

// check asks that a day's file, where there is one, is the one that was written; once each.
func (s *Store) check(day Day) (err error) {
	name := day.path()
	if s.checked[name] {
		return nil
	}
	if s.digests == nil {
		list, err := s.dir.Digests()
		if err != nil {
			return err
		}
		s.digests = list
	}
	sha, _, err := disk.DigestFile(s.dir.path(name))
	if errors.Is(err, fs.ErrNotExist) {
		err = nil
	}
	if err == nil && sha != s.digests[name] {
		err = fmt.Errorf("%s: %w", name, ErrDamaged)
	}
	s.checked[name] = err == nil
	return err
}
