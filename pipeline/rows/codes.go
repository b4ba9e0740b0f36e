package rows

import (
	_ "embed" // the table of codes
	"regexp"
	"strings"
)

// The findings that the code acts on.
const (
	ServiceSlowerFinding = "service_slower"
	StockLowFinding      = "stock_low"
	ShrinkageFinding     = "shrinkage"
)

// Causes that hold a release up whatever the release before said.
const (
	NoWeatherCause = "gate_no_weather"
	ArchiveCause   = "gate_archive_damaged"
)

//go:embed codes.txt
var codesText string

// wording is what stands for a code: the kind or reason that people sort by, its words, and what to do where they do not say it.
type wording struct{ code, kind, text, remedy string }

// table holds the words of every code, in the order of codes.txt.
var table = func() (list []wording) {
	for line := range strings.Lines(codesText) {
		if line = strings.TrimSpace(line); line == "" || line[0] == '#' {
			continue
		}
		cells := append(strings.Split(line, " | "), "", "")
		list = append(list, wording{cells[0], cells[1], cells[2], cells[3]})
	}
	return list
}()

// words are the entries of the table by their code.
var words = func() map[string]wording {
	byCode := make(map[string]wording, len(table))
	for _, w := range table {
		byCode[w.code] = w
	}
	return byCode
}()

// CodeWords is a row of code_words: reason and remedy of what is set aside, with places for a Fault's column, found and wanted, and both as
// they are published where delivered values are not.
type CodeWords struct {
	Code         string `db:"code"`
	Reason       string `db:"reason"`
	Remedy       string `db:"remedy"`
	PublicReason string `db:"public_reason"`
	PublicRemedy string `db:"public_remedy"`
}

// AllCodeWords are the words of every code.
func AllCodeWords() []CodeWords {
	list := make([]CodeWords, len(table))
	for i, w := range table {
		list[i] = CodeWords{w.code, shown(w.kind), shown(w.text), published(w.kind), published(w.text)}
	}
	return list
}

// leftOut is a place of a delivered value, and what stands there where it is not published.
var leftOut = regexp.MustCompile(`\{(found|wanted):([^{}]*)\}`)

func shown(text string) string { return leftOut.ReplaceAllString(text, "{$1}") }

func published(text string) string { return leftOut.ReplaceAllString(text, "$2") }

// Fault says why a row or a whole file is set aside: a stable code, and what the places in its words hold.
type Fault struct {
	Column string // at fault; "" for the whole row or file
	Code   string
	Found  string // what was delivered, quoted
	Wanted string // by a contract, a table or a setting
}

// Reason is the code's reason, fit for sorting and counting.
func (f Fault) Reason() string { return f.fill(words[f.Code].kind) }

// Remedy says what was found and what a person can do.
func (f Fault) Remedy() string { return f.fill(words[f.Code].text) }

// Text is reason and remedy.
func (f Fault) Text() string { return f.Reason() + "; " + f.Remedy() }

func (f Fault) fill(text string) string {
	return strings.NewReplacer("{column}", f.Column, "{wanted}", f.Wanted, "{found}", f.Found).Replace(shown(text))
}
