package format

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"regexp"
	"strings"
)

// longestName is the greatest length of a file name without its ending, so that folder and name fit every file system.
const longestName = 80

// deviceNames cannot be file names on Windows, with or without an ending.
var deviceNames = regexp.MustCompile(`^(con|prn|aux|nul|com[0-9]|lpt[0-9])$`)

// FileName turns any id into a file name without ending that is safe on every system: lower-case letters, digits, `-`,
// `_` and `=` only. Different ids give different names also where a file system ignores case. A lower-case letter, digit
// or hyphen stands for itself, an upper-case letter is written small with `_` after it, every other byte as `=` and two
// hexadecimal digits; a long name ends in `==` and a digest.
func FileName(id string) string {
	var b strings.Builder
	for _, c := range []byte(id) {
		switch {
		case c >= 'a' && c <= 'z', c >= '0' && c <= '9', c == '-':
			b.WriteByte(c)
		case c >= 'A' && c <= 'Z':
			b.WriteByte(c + 'a' - 'A')
			b.WriteByte('_')
		default:
			fmt.Fprintf(&b, "=%02x", c)
		}
	}
	name := b.String()
	switch {
	case name == "" || deviceNames.MatchString(name):
		return name + "="
	case len(name) > longestName:
		digest := sha256.Sum256([]byte(id))
		return name[:longestName-34] + "==" + hex.EncodeToString(digest[:16])
	}
	return name
}
