package format

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"golang.org/x/text/unicode/bidi"
)

// Signs that begin and end a stretch of text whose direction leaves the text around it alone (Unicode Annex 9, FSI and PDI).
const (
	isolateBegin = "\u2068"
	isolateEnd   = "\u2069"
)

// Unseen drops from a page what names can hold that no reader sees: signs that turn the text after them (embeddings, overrides,
// forced isolates, marks) and spaces without width. Joiners stay, which some scripts and emoji need. Exports keep every name whole.
var Unseen = strings.NewReplacer("\u202a", "", "\u202b", "", "\u202c", "", "\u202d", "", "\u202e", "", "\u2066", "", "\u2067", "",
	"\u200e", "", "\u200f", "", "\u061c", "", "\u200b", "", "\u2060", "", "\ufeff", "")

// Isolated is a name that can stand in a sentence: one with letters of a script written from the right is set apart.
func Isolated(name string) string {
	name = strings.NewReplacer(isolateBegin, "", isolateEnd, "").Replace(name)
	for _, r := range name {
		properties, _ := bidi.LookupString(string(r))
		if class := properties.Class(); class == bidi.R || class == bidi.AL {
			return isolateBegin + name + isolateEnd
		}
	}
	return name
}

// Named puts the word for what a name is of before it, unless the name begins with it: zone North, Zone 3.
func Named(kind, name string) string {
	if first, _, _ := strings.Cut(name, " "); strings.EqualFold(first, kind) {
		return name
	}
	return kind + " " + name
}

// Shortened cuts a text to so many characters.
func Shortened(text string, most int) string {
	runes := []rune(text)
	if len(runes) <= most {
		return text
	}
	cut := string(runes[:most-1]) + "…"
	if strings.Contains(cut, isolateBegin) {
		cut += isolateEnd
	}
	return cut
}

// AnchorOf is a term's place on the methods page: its part's id and its name in small letters and digits.
func AnchorOf(part, name string) string { return part + "-" + Slug(name) }

// Slug writes a text in small letters and digits, everything else as single hyphens between them.
func Slug(text string) string {
	return strings.Join(strings.FieldsFunc(strings.ToLower(text), func(r rune) bool {
		return (r < 'a' || r > 'z') && (r < '0' || r > '9')
	}), "-")
}

const NoBreak = "\u00a0"

// Capital gives a sentence its capital letter.
func Capital(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	if size == 0 {
		return s
	}
	return string(unicode.ToUpper(first)) + s[size:]
}
