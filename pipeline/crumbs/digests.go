package crumbs

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"slices"
	"strings"

	"lanetally/pipeline/disk"
)

// digestsName is the list of the days' files with their SHA-256, as sha256sum writes it; its last line has that of the lines before. A
// store of an older program has none until its next change.
const digestsName = "days.sha256"

// digests are the SHA-256 of the days' files, in hexadecimal, by name.
type digests map[string]string

func (d digests) text() []byte {
	text := new(bytes.Buffer)
	for _, name := range slices.Sorted(maps.Keys(d)) {
		fmt.Fprintf(text, "%s  %s\n", d[name], name)
	}
	fmt.Fprintf(text, "# %x\n", sha256.Sum256(text.Bytes()))
	return text.Bytes()
}

// digests reads the list; nil where there is none.
func (d Dir) digests() (digests, error) {
	text, err := os.ReadFile(d.path(digestsName))
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	if err != nil {
		return nil, err
	}
	list := digests{}
	lines := bufio.NewScanner(bytes.NewReader(text))
	for lines.Scan() {
		if sha, name, isDay := strings.Cut(lines.Text(), "  "); isDay {
			list[name] = sha
		}
	}
	if !bytes.Equal(list.text(), text) {
		return nil, fmt.Errorf("%s: %w", digestsName, ErrDamaged)
	}
	return list, nil
}

func (d Dir) digestOf(name string) (string, error) {
	sha, _, err := disk.DigestFile(d.path(name))
	return sha, err
}

// allDigests is the list, or, where there is none, what it would be.
func (d Dir) allDigests() (digests, error) {
	list, err := d.digests()
	if err != nil || list != nil {
		return list, err
	}
	list = digests{}
	days, err := d.Days()
	for _, day := range days {
		sha, fault := d.digestOf(day.path())
		list[day.path()], err = sha, errors.Join(err, fault)
	}
	return list, err
}

// check asks that a day's file, where there is one, is the one that was written; once each.
func (s *Store) check(day Day) (err error) {
	name := day.path()
	if s.checked[name] {
		return nil
	}
	if s.digests == nil {
		if s.digests, err = s.dir.digests(); err != nil || s.digests == nil {
			return err
		}
	}
	sha, err := s.dir.digestOf(name)
	if errors.Is(err, fs.ErrNotExist) {
		sha, err = "", nil
	}
	if err == nil && sha != s.digests[name] {
		err = fmt.Errorf("%s: %w", name, ErrDamaged)
	}
	s.checked[name] = err == nil
	return err
}

// Verify names the days' files that changed or are missing, and lists all that belong to a store.
func (d Dir) Verify() (findings, known []string, err error) {
	list, err := d.digests()
	if errors.Is(err, ErrDamaged) {
		findings, err = append(findings, digestsName+": changed"), nil
	}
	if err != nil {
		return nil, nil, err
	}
	for name, wanted := range list {
		sha, err := d.digestOf(name)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			findings = append(findings, name+": missing")
		case err != nil:
			return nil, nil, err
		case sha != wanted:
			findings = append(findings, name+": changed")
		}
		known = append(known, name)
	}
	if list == nil {
		days, err := d.Days()
		for _, day := range days {
			known = append(known, day.path())
		}
		return findings, append(known, digestsName), err
	}
	return findings, append(known, digestsName), nil
}
