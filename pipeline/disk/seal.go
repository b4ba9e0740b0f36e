package disk

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
)

// sealBegin begins the last member of a sealed line.
const sealBegin = `,"seal":"`

// SealOf is the SHA-256, in hexadecimal, of a text and of the seal before it: "" ahead of the first.
func SealOf(before string, text []byte) string {
	digest := sha256.New()
	digest.Write([]byte(before + "\n"))
	digest.Write(text)
	return hex.EncodeToString(digest.Sum(nil))
}

// Seal adds its seal to a line, a JSON object with members, as its last member: a change of one of its bytes is found by itself; a line
// that is missing or elsewhere, by the line behind it.
func Seal(before string, line []byte) (sealed []byte, seal string) {
	seal = SealOf(before, line)
	return append(bytes.Clone(line[:len(line)-1]), sealBegin+seal+`"}`...), seal
}

// Unseal takes a line and its seal apart; "" where it has none.
func Unseal(sealed []byte) (line []byte, seal string) {
	at := len(sealed) - len(sealBegin) - hex.EncodedLen(sha256.Size) - len(`"}`)
	if at < 1 || !bytes.HasPrefix(sealed[at:], []byte(sealBegin)) || !bytes.HasSuffix(sealed, []byte(`"}`)) {
		return sealed, ""
	}
	return append(bytes.Clone(sealed[:at]), '}'), string(sealed[at+len(sealBegin) : len(sealed)-len(`"}`)])
}

// ReadSealed reads a JSON document that Seal may have sealed, "" before it: any change of its text is an error. One without a seal is of an
// older program.
func ReadSealed(text []byte, document any) error {
	plain, seal := Unseal(text)
	if seal != "" && seal != SealOf("", plain) {
		return errors.New("it does not match its own digest")
	}
	reading := json.NewDecoder(bytes.NewReader(plain))
	reading.DisallowUnknownFields() // as a seal under another name would be
	return reading.Decode(document)
}

// DigestFile gives the SHA-256 of a file, in hexadecimal, and its size in bytes.
func DigestFile(path string) (sha string, size int64, err error) {
	file, err := os.Open(path)
	if err != nil {
		return "", 0, err
	}
	digest := sha256.New()
	size, err = io.Copy(digest, file)
	return hex.EncodeToString(digest.Sum(nil)), size, errors.Join(err, file.Close())
}

// CompareFolder names the files below a folder that changed, are missing or are extra, in order. wanted has their digests by name, "" of
// one that may be anything or absent.
func CompareFolder(folder string, wanted map[string]string) (findings []string, err error) {
	found := map[string]bool{}
	err = filepath.WalkDir(folder, func(path string, entry fs.DirEntry, err error) error {
		if errors.Is(err, fs.ErrNotExist) {
			return nil
		}
		if err != nil || entry.IsDir() {
			return err
		}
		name, err := filepath.Rel(folder, path)
		name = filepath.ToSlash(name)
		sha, isKnown := wanted[name]
		found[name] = true
		now := ""
		if err == nil && sha != "" && entry.Type().IsRegular() {
			now, _, err = DigestFile(path)
		}
		switch {
		case !isKnown:
			findings = append(findings, name+": extra")
		case now != sha || !entry.Type().IsRegular():
			findings = append(findings, name+": changed")
		}
		return err
	})
	for name, sha := range wanted {
		if sha != "" && !found[name] {
			findings = append(findings, name+": missing")
		}
	}
	slices.Sort(findings)
	return findings, err
}
