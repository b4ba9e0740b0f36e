package disk

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"io"
	"os"
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
