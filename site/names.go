package site

import (
	"strings"

	"golang.org/x/text/unicode/bidi"
)

// Signs that begin and end a stretch of text whose direction leaves the text around it alone (Unicode Annex 9, FSI and PDI).
const (
	isolateBegin = "\u2068"
	isolateEnd   = "\u2069"
)

// unseen drops from a page what names can hold that no reader sees: signs that turn the text after them (embeddings, overrides,
// forced isolates, marks) and spaces without width. Joiners stay, which some scripts and emoji need. Exports keep every name whole.
var unseen = strings.NewReplacer("\u202a", "", "\u202b", "", "\u202c", "", "\u202d", "", "\u202e", "", "\u2066", "", "\u2067", "",
	"\u200e", "", "\u200f", "", "\u061c", "", "\u200b", "", "\u2060", "", "\ufeff", "")

// isolated is a name that can stand in a sentence: one with letters of a script written from the right is set apart.
func isolated(name string) string {
	name = strings.NewReplacer(isolateBegin, "", isolateEnd, "").Replace(name)
	for _, r := range name {
		properties, _ := bidi.LookupString(string(r))
		if class := properties.Class(); class == bidi.R || class == bidi.AL {
			return isolateBegin + name + isolateEnd
		}
	}
	return name
}

// named puts the word for what a name is of before it, unless the name begins with it: zone North, Zone 3.
func named(kind, name string) string {
	if first, _, _ := strings.Cut(name, " "); strings.EqualFold(first, kind) {
		return name
	}
	return kind + " " + name
}

// shortened cuts a text to so many characters.
func shortened(text string, most int) string {
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
