package words

import (
	_ "embed" // the texts of the methods page
	"fmt"
	"strings"

	"lanetally/site/format"
)

// methodsText holds the words of the methods page: `# id: heading` begins a part, `## name` a term, whose text follows, then the table that
// holds its figures and its source. Where a figure has an outside source the term names it; `Common practice` marks a fact of the trade
// without a published source, `own rule` what this program decided.
//
//go:embed methods.txt
var methodsText string

//go:embed cautions.txt
var cautionsText string

//go:embed sources.txt
var sourcesText string

// Cautions are shown whole on the methods page; Sources names the published works that its terms lean on.
var (
	Cautions = strings.Split(strings.TrimSpace(cautionsText), "\n")
	Sources  = strings.Split(strings.TrimSpace(sourcesText), "\n")
)

// MethodsPart is a part of the methods page: its anchor, its heading and what it explains.
type MethodsPart struct {
	ID, Title string
	Terms     []term
}

// term explains one figure or word. Query is the table that holds it, on the page the file of its query; "" for none.
type term struct{ Name, Text, Source, Query string }

// Anchor is the place of a part's term on the methods page.
func (p MethodsPart) Anchor(t term) string { return format.AnchorOf(p.ID, t.Name) }

// MethodsParts are all parts of the methods page, in order.
var MethodsParts = readMethods(methodsText)

// readMethods reads the parts of a text. It panics on a line that belongs to no term: the text is part of the program.
func readMethods(text string) (parts []MethodsPart) {
	for number, line := range strings.Split(text, "\n") {
		mark, rest, _ := strings.Cut(line, " ")
		if mark == "#" {
			id, title, _ := strings.Cut(rest, ": ")
			parts = append(parts, MethodsPart{ID: id, Title: title})
			continue
		}
		if line == "" {
			continue
		}
		if len(parts) == 0 || mark != "##" && len(parts[len(parts)-1].Terms) == 0 {
			panic(fmt.Sprintf("methods.txt:%d: a line of no term", number+1))
		}
		terms := &parts[len(parts)-1].Terms
		if mark == "##" {
			*terms = append(*terms, term{Name: rest})
			continue
		}
		switch last := &(*terms)[len(*terms)-1]; mark {
		case "query:":
			last.Query = rest
		case "source:":
			last.Source = rest
		default:
			last.Text = strings.TrimSpace(last.Text + " " + line)
		}
	}
	return parts
}
