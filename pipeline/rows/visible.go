package rows

import (
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"
)

// Visible is a name or a cell as one line can show it: what would steer a terminal, end the line or turn the text after it stands as \u and
// four hexadecimal digits, which JSON reads back; bytes that are no UTF-8 as the sign for that. Other text stays as it is.
func Visible(text string) string { return visible(text, "") }

// VisibleLines is Visible for text of several lines, whose line ends and tabs stay.
func VisibleLines(text string) string { return visible(text, "\n\t") }

func visible(text, kept string) string {
	isHidden := func(r rune) bool {
		isTurning := r >= '\u202a' && r <= '\u202e' || r == '\u2066' || r == '\u2067' // embeddings, overrides, forced isolates
		return (unicode.IsControl(r) || isTurning) && !strings.ContainsRune(kept, r)
	}
	if utf8.ValidString(text) && !strings.ContainsFunc(text, isHidden) {
		return text
	}
	var shown strings.Builder
	for _, r := range text {
		if isHidden(r) {
			fmt.Fprintf(&shown, `\u%04x`, r)
		} else {
			shown.WriteRune(r)
		}
	}
	return shown.String()
}
