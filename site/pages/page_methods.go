package pages

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// TermNames are the names of all terms, by their anchors.
var TermNames = func() map[string]string {
	names := map[string]string{}
	for _, part := range words.MethodsParts {
		for _, t := range part.Terms {
			names[part.Anchor(t)] = t.Name
		}
	}
	return names
}()

// MethodsPage explains every figure in plain words, names its source and links to the query text and the files.
func MethodsPage(b *book.Book) table.Page {
	m := &table.Methods{Cautions: words.Cautions, Sources: words.Sources}
	for _, part := range words.MethodsParts {
		part.Terms = slices.Clone(part.Terms)
		for i := range part.Terms {
			part.Terms[i].Query, part.Terms[i].Text = QueryOf(b, part.Terms[i].Query), b.ClassWords(part.Terms[i].Text)
		}
		m.Parts = append(m.Parts, part)
	}
	p := table.Page{Title: "Methods", Nav: "methods", Lead: words.Say(b.Units, "methods", len(b.Events), b.Through()), Methods: m}
	p.Sections = append(p.Sections, table.Section{ID: "units", Title: "Units", Text: []string{words.Say(b.Units, "units", b.IsMetric)}},
		severitySection(b), seasonSeveritySection(b), gapsSection(b), settingsSection(b), VersionsSection(b, b.Versions), queriesSection(b))
	for _, export := range b.Data.Exports {
		p.Sections = append(p.Sections, exportSection(b, export))
	}
	return p
}

// QueryOf is the published file that makes a table: its name after the number is the table's. "" where there is none.
func QueryOf(b *book.Book, table string) string { return b.QueryFiles[table] }

// settingBeside is a setting as district.toml has it, the metric value beside it where the pages are metric and its name ends in a unit of
// ours.
func settingBeside(b *book.Book, s book.Setting) string {
	x, err := strconv.ParseFloat(s.Value, 64)
	if err != nil {
		return s.Value
	}
	for _, unit := range []string{"mph", "lane_mi"} {
		if strings.HasSuffix(s.Name, "_"+unit) {
			return b.Beside(unit, &x)
		}
	}
	return s.Value
}

func settingsSection(b *book.Book) table.Section {
	shown := table.Filled(b, table.Place{ID: "settings-table"}, b.Data.Settings, table.Own[book.Setting]{
		"value": func(s book.Setting) any { return settingBeside(b, s) }})
	return table.Section{ID: "settings", Title: "Settings", Tables: []table.Table{shown}}
}

func queriesSection(b *book.Book) table.Section {
	s := table.Section{ID: "queries", Title: "The steps of the tally",
		Text: []string{"Each step is one query over the tables before it; its text says grain, units and what an empty field means."}}
	for _, q := range book.Sorted(b.Data.Queries, func(x, y book.Query) int { return cmp.Compare(x.Name, y.Name) }) {
		s.Links = append(s.Links, table.Link(q.Name, "queries/"+q.Name))
	}
	if len(s.Links) == 0 {
		s.Text = []string{"The query texts are not published with these pages."}
	}
	return s
}

func exportSection(b *book.Book, export book.Export) table.Section {
	shown := table.Filled[book.ExportColumn](b, table.Place{ID: "columns-" + format.FileName(export.Name), Names: []any{export.Name}},
		export.Columns, nil)
	shown.Download = export.Name + ".csv"
	s := table.Section{ID: "file-" + format.FileName(export.Name), Title: "File " + export.Name, Tables: []table.Table{shown}}
	if text := cmp.Or(export.Description, export.Title); text != "" {
		s.Text = []string{text}
	}
	return s
}

// VersionsSection lists which definitions changed with which version, and what that did to the demo's seasons.
func VersionsSection(b *book.Book, rows []book.VersionRow) table.Section {
	shown := table.Filled(b, table.Place{ID: "versions-table"}, rows, table.Own[book.VersionRow]{
		"change": func(r book.VersionRow) any { return cmp.Or(r.Definition, "none; the list begins here") }})
	return table.Section{ID: "versions", Title: "Definitions that changed", Text: []string{words.VersionsSentence(b.Units, rows)},
		Tables: []table.Table{shown}}
}
