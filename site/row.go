package site

import (
	"html/template"
	"strings"

	"lanetally/site/format"
	"lanetally/site/table"
)

// rowHTML is a row of a table. It is written here, not in a template, because a large site has millions of cells and a
// template takes several times as long over each. Every text goes through HTMLEscapeString; a link's address is made of
// file names (FileName) and fragments.
func rowHTML(c format.Classes, heads []head, r table.Row) template.HTML {
	var b strings.Builder
	b.WriteString("<tr")
	attribute(&b, "class", r.Mark)
	if r.IsMinor {
		b.WriteString(" data-minor")
	}
	b.WriteString(">")
	for i, cell := range r.Cells {
		if cell.Class != "" {
			cell.Class = c.Sign(cell.Class)
		}
		writeCell(&b, heads[i], cell, i == 0)
	}
	b.WriteString("</tr>")
	return template.HTML(b.String()) // #nosec G203 -- see above
}

// attribute writes an attribute with its value; nothing where there is none.
func attribute(b *strings.Builder, name, value string) {
	if value != "" {
		b.WriteString(" " + name + `="` + template.HTMLEscapeString(value) + `"`)
	}
}

// writeCell writes a cell, whose class is that of its sign; the first of a row heads it.
func writeCell(b *strings.Builder, h head, cell table.Cell, isFirst bool) {
	tag := "td"
	class := ""
	switch {
	case isFirst:
		tag = "th"
		if isShort(cell.Text) {
			class = "short"
			if len(cell.Text) <= longestBrief {
				class = "short brief"
			}
		}
	case h.IsNumber:
		class = "number"
	case h.IsProse && !isShort(cell.Text):
		class = "prose"
	}
	b.WriteString("<" + tag)
	if isFirst {
		b.WriteString(` scope="row"`)
	}
	attribute(b, "class", class)
	if h.Sorts {
		attribute(b, "data-key", string(cell.Key))
	}
	b.WriteString(">")
	if cell.Class != "" {
		b.WriteString(`<svg class="inline" aria-hidden="true"><use href="#sign-` + cell.Class + `"/></svg> `)
	}
	if h.IsNumber && !isFirst {
		cell.Text = together(cell.Text)
	}
	writeText(b, cell)
	b.WriteString("</" + tag + ">")
}

// together keeps the words of a number's cell on one line, such as "no reports"; only before a bracket may it break.
func together(text string) string {
	if !strings.Contains(text, " ") {
		return text
	}
	return strings.ReplaceAll(strings.ReplaceAll(text, " ", format.NoBreak), format.NoBreak+"(", " (")
}

// writeText writes a cell's text, with its link, set apart from the text around it unless it is plain.
func writeText(b *strings.Builder, cell table.Cell) {
	if cell.Href != "" {
		b.WriteString(`<a href="` + template.HTMLEscapeString(cell.Href) + `">`)
		defer b.WriteString("</a>")
	}
	text := template.HTMLEscapeString(cell.Text)
	if isPlain(cell.Text) {
		b.WriteString(text)
		return
	}
	b.WriteString("<bdi>" + text + "</bdi>")
}
