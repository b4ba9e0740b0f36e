package site

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// methods is what only the methods page shows.
type methods struct {
	Parts    []methodsPart
	Cautions []string
	Sources  []string
}

type methodsPart struct {
	ID, Title string
	Terms     []term
}

// term explains one figure or word. Query is the table that holds it, on the page the file of its query; "" for none.
type term struct{ Name, Text, Source, Query string }

// methodsParts are all parts of the methods page, in its order.
var methodsParts = slices.Concat(methodsText, methodsMore, methodsMaterial, methodsBeside)

// termNames are the names of all terms, by their anchors.
var termNames = func() map[string]string {
	names := map[string]string{}
	for _, part := range methodsParts {
		for _, t := range part.Terms {
			names[part.Anchor(t)] = t.Name
		}
	}
	return names
}()

// Anchor is the place of a part's term on the methods page.
func (p methodsPart) Anchor(t term) string { return anchorOf(p.ID, t.Name) }

// methodsPage explains every figure in plain words, names its source and links to the query text and the files.
func (b *book) methodsPage() page {
	m := &methods{Cautions: cautions, Sources: slices.Concat(sources, sourcesMore, sourcesMaterial)}
	for _, part := range methodsParts {
		part.Terms = slices.Clone(part.Terms)
		for i := range part.Terms {
			part.Terms[i].Query, part.Terms[i].Text = b.queryOf(part.Terms[i].Query), b.classWords(part.Terms[i].Text)
		}
		m.Parts = append(m.Parts, part)
	}
	p := page{Title: "Methods", Nav: "methods", Lead: methodsSentence(len(b.events), b.through()), Methods: m}
	p.Sections = append(p.Sections, Section{ID: "units", Title: "Units", Text: []string{unitsSentence(b.units)}}, b.severitySection(), b.seasonSeveritySection(), b.gapsSection(), b.settingsSection(), versionsSection(b, b.versions), b.queriesSection())
	for _, export := range b.data.Exports {
		p.Sections = append(p.Sections, b.exportSection(export))
	}
	return p
}

// queryOf is the published file that makes a table: its name after the number is the table's. "" where there is none.
func (b *book) queryOf(table string) string { return b.queryFiles[table] }

// filesOfQueries finds each query's file by the table that it makes.
func filesOfQueries(queries []Query) map[string]string {
	files := map[string]string{}
	for _, q := range queries {
		_, name, _ := strings.Cut(q.Name, "_")
		files[strings.TrimSuffix(name, ".sql")] = q.Name
	}
	return files
}

// settingBeside is a setting as district.toml has it, the metric value beside it where the pages are metric and its name ends in a unit of ours.
func (b *book) settingBeside(s Setting) string {
	x, err := strconv.ParseFloat(s.Value, 64)
	if err != nil {
		return s.Value
	}
	for _, unit := range []string{"mph", "lane_mi"} {
		if strings.HasSuffix(s.Name, "_"+unit) {
			return b.beside(unit, &x)
		}
	}
	return s.Value
}

func (b *book) settingsSection() Section {
	table := filled(b, Table{ID: "settings-table", Caption: "Settings in force on these pages (district.toml)",
		Empty: "No setting is given."},
		[]Column[Setting]{words("Setting", func(s Setting) string { return s.Name }), words("Value", func(s Setting) string { return b.settingBeside(s) })},
		sorted(b.data.Settings, func(x, y Setting) int { return cmp.Compare(x.Name, y.Name) }))
	return Section{ID: "settings", Title: "Settings", Tables: []Table{table}}
}

func (b *book) queriesSection() Section {
	s := Section{ID: "queries", Title: "The steps of the tally", Text: []string{"Each step is one query over the tables before it; its text says grain, units and what an empty field means."}}
	for _, q := range sorted(b.data.Queries, func(x, y Query) int { return cmp.Compare(x.Name, y.Name) }) {
		s.Links = append(s.Links, link(q.Name, "queries/"+q.Name))
	}
	if len(s.Links) == 0 {
		s.Text = []string{"The query texts are not published with these pages."}
	}
	return s
}

func (b *book) exportSection(export Export) Section {
	table := filled(b, Table{ID: "columns-" + FileName(export.Name), Caption: "Columns of " + export.Name, Download: export.Name + ".csv",
		Empty: "No column is described."}, []Column[ExportColumn]{
		words("Column", func(c ExportColumn) string { return c.Name }), words("Type", func(c ExportColumn) string { return c.Type }),
		words("Unit", func(c ExportColumn) string { return cmp.Or(c.Unit, missing) }),
		prose("Meaning", func(c ExportColumn) string { return cmp.Or(c.Description, missing) }),
	}, export.Columns)
	s := Section{ID: "file-" + FileName(export.Name), Title: "File " + export.Name, Tables: []Table{table}}
	if text := cmp.Or(export.Description, export.Title); text != "" {
		s.Text = []string{text}
	}
	return s
}
