// Package site turns the night's tables into static pages.
//
// In: Data, plain rows. Out: a folder of pages that works from the file system, without a server or a network. Nothing
// is read but Data and what is embedded here, so the same Data gives the same bytes. Killed on the way, the folder is
// half written: the caller builds beside the published one and swaps.
package site

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"path/filepath"
	"slices"
	"strings"
	_ "time/tzdata" // the district's zone must be known on every machine
	"unicode"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/pages"
	"lanetally/site/table"
	"lanetally/site/words"
)

// The chart library in assets/vendor is made by vendor.sh (make setup). A program built without it has sentences in place of charts.
//
//go:embed assets
var assets embed.FS

// chartScript is the chart library below the pages' folder.
const chartScript = "assets/vendor/echarts.min.js"

// HasCharts tells whether the program was built with the chart library.
func HasCharts() bool { return isThere(assets, chartScript) }

func isThere(files fs.FS, name string) bool {
	_, err := fs.Stat(files, name)
	return err == nil
}

//go:embed templates/*.gohtml
var templates embed.FS

// policy is the content-security policy of every page: nothing from outside the folder, no script in a page.
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; img-src 'self' data:; " +
	"font-src 'self'; base-uri 'none'; form-action 'none'"

// frame is what the layout gets: the page and what all pages share.
type frame struct {
	table.Page
	District, TimeZone, Through, Policy, Caution, NotTheRoad, Basis string
	Menu                                                            []menuEntry
}

// rootedSection knows the way to the top folder.
type rootedSection struct {
	table.Section
	Root string
}

type menuEntry struct{ Name, Text, Href string }

var menu = []menuEntry{{"season", "Season", "index.html"}, {"learning", "Learning", "learning.html"},
	{"comparison", "Comparison", "comparison.html"}, {"storms", "Storms", "storms.html"}, {"routes", "Routes", "routes.html"},
	{"crews", "Crews", "crews.html"}, {"material", "Material", "material.html"}, {"stock", "Stock", "stock.html"},
	{"cost", "Cost and water", "cost.html"}, {"data", "Data", "data.html"}, {"methods", "Methods", "methods.html"},
	{"search", "Search", "search.html"}}

// builder writes pages into a folder.
type builder struct {
	assets    fs.FS
	writeFile func(name string, content []byte) error
	book      *book.Book
	pages     *template.Template
}

// Write hands all pages, with their styles and scripts, to write, each once, under its path below public/ with slashes.
// The first error of write ends it.
func Write(data *book.Data, write func(name string, content []byte) error) error {
	return writeWith(assets, data, write)
}

// writeWith is Write with these assets.
func writeWith(assets fs.FS, data *book.Data, write func(name string, content []byte) error) error {
	w, err := newBuilder(assets, data, write)
	if err != nil {
		return fmt.Errorf("site: %w", err)
	}
	return w.writeAll()
}

func newBuilder(assets fs.FS, data *book.Data, write func(name string, content []byte) error) (*builder, error) {
	b, err := book.NewBook(data)
	if err != nil {
		return nil, err
	}
	w := &builder{assets: assets, writeFile: write, book: b}
	w.pages, err = template.New("layout.gohtml").Funcs(template.FuncMap{
		"unitWords": b.UnitWords, "classSigns": b.ClassSigns, "hasChart": w.hasChart, "hasCharts": w.hasCharts, "hasSigns": hasSigns,
		"rowHTML":   func(heads []head, r table.Row) template.HTML { return rowHTML(b.Units.Classes, heads, r) },
		"hasTools":  func(sections []table.Section) bool { return hasTools(b, sections) },
		"whyOf":     func(root, name, download string) why { return whyOf(b, root, name, download) },
		"showTable": func(root string, t table.Table) shownTable { return showTable(b, root, t) },
		// a number and its sign stay on one line
		"percents":      func(text string) string { return strings.ReplaceAll(text, " %", format.NoBreak+"%") },
		"minorSentence": func(n int) string { return words.Say(b.Units, "minor", n) },
		"rootedSection": func(f frame, s table.Section) rootedSection { return rootedSection{s, f.Root} },
	}).ParseFS(templates, "templates/*.gohtml")
	if err != nil {
		return nil, fmt.Errorf("templates: %w", err)
	}
	return w, nil
}

func (w *builder) writeAll() error {
	for _, step := range []func() error{w.writeAssets, w.writeQueries, w.writeSeasons, w.writeStorms, w.writeRoutes, w.writeCrews,
		w.writeRest, w.writeSearch} {
		if err := step(); err != nil {
			return fmt.Errorf("site: %w", err)
		}
	}
	return nil
}

// longestHead is the number of characters of a row's head that stay on one line.
const longestHead = 26

// longestBrief is the same on a phone, in bytes.
const longestBrief = 18

func isShort(text string) bool { return len([]rune(text)) <= longestHead }

// isPlain tells a text that reads from left to right whatever stands around it.
func isPlain(text string) bool {
	return !strings.ContainsFunc(text, func(r rune) bool {
		return r > unicode.MaxASCII && r != '–' && r != '−' && r != '°' && r != '\u00a0'
	})
}

// hasCharts tells whether there is a chart library to draw with.
func (w *builder) hasCharts() bool { return isThere(w.assets, chartScript) }

// hasChart tells whether a page needs the chart library.
func (w *builder) hasChart(sections []table.Section) bool {
	return w.hasCharts() && slices.ContainsFunc(sections, func(s table.Section) bool { return s.Chart != nil })
}

// hasSigns tells whether a table of the page marks material classes.
func hasSigns(sections []table.Section) bool {
	for _, s := range sections {
		for _, t := range s.Tables {
			if slices.ContainsFunc(t.Rows, func(r table.Row) bool {
				return slices.ContainsFunc(r.Cells, func(c table.Cell) bool { return c.Class != "" })
			}) {
				return true
			}
		}
	}
	return false
}

func (w *builder) writePage(name string, p table.Page) error {
	f := frame{Page: p, District: w.book.Data.District, TimeZone: w.book.Data.TimeZone, Through: w.book.Through(),
		Policy: policy, Caution: words.Say(w.book.Units, "caution"), NotTheRoad: words.Say(w.book.Units, "not the road"),
		Basis: words.Say(w.book.Units, "basis", w.book.HasCorrected), Menu: menuEntries(w.book)}
	var out bytes.Buffer
	if err := w.pages.Execute(&out, f); err != nil {
		return fmt.Errorf("page %q: %w", name, err)
	}
	return w.writeFile(name, []byte(rows.VisibleLines(format.Unseen.Replace(out.String()))))
}

func (w *builder) writeAssets() error {
	return fs.WalkDir(w.assets, "assets", func(name string, entry fs.DirEntry, err error) error {
		if err != nil || entry.IsDir() {
			return err
		}
		content, err := fs.ReadFile(w.assets, name)
		if err != nil {
			return err
		}
		return w.writeFile(name, content)
	})
}

func (w *builder) writeQueries() error {
	for _, query := range w.book.Data.Queries {
		if query.Name != filepath.Base(query.Name) || !strings.HasSuffix(query.Name, ".sql") {
			return fmt.Errorf("query %q: not a plain name that ends in .sql", query.Name)
		}
		if err := w.writeFile("queries/"+query.Name, []byte(query.Text)); err != nil {
			return err
		}
	}
	return nil
}

func (w *builder) writeSeasons() error {
	latest := w.book.LatestSeason()
	for _, season := range w.book.Seasons {
		root := "../"
		if season == latest {
			root = ""
		}
		p, err := pages.SeasonPage(w.book, season, root)
		if err != nil {
			return err
		}
		if err := w.writePage(w.book.SeasonFile(season), p); err != nil {
			return err
		}
	}
	if latest != "" {
		return nil
	}
	p, err := pages.SeasonPage(w.book, "", "")
	if err != nil {
		return err
	}
	p.Title = "Season"
	return w.writePage("index.html", p)
}

func (w *builder) writeStorms() error {
	for _, e := range w.book.Events {
		if err := w.writePage("storms/"+format.FileName(e.ID)+".html", pages.StormPage(w.book, e)); err != nil {
			return err
		}
		if err := w.writePage(pages.StormSheetFile(e.ID), pages.StormSheet(w.book, e)); err != nil {
			return err
		}
		if !e.IsWide() {
			continue
		}
		for _, zone := range e.Zones {
			if err := w.writePage(pages.StormZoneFile(zone), pages.StormZonePage(w.book, zone)); err != nil {
				return err
			}
		}
	}
	return w.writePage("storms.html", pages.StormsPage(w.book))
}

func (w *builder) writeRoutes() error {
	for _, route := range w.book.RouteList {
		p, err := pages.RoutePage(w.book, route)
		if err != nil {
			return err
		}
		if err := w.writePage("routes/"+format.FileName(route.RouteID)+".html", p); err != nil {
			return err
		}
	}
	return w.writePage("routes.html", pages.RoutesPage(w.book))
}

func (w *builder) writeRest() error {
	b := w.book
	for _, rest := range []struct {
		name string
		page func() table.Page
	}{{"learning.html", func() table.Page { return pages.LearningPage(b) }},
		{"comparison.html", func() table.Page { return pages.ComparisonPage(b) }},
		{"material.html", func() table.Page { return pages.MaterialPage(b) }},
		{"stock.html", func() table.Page { return pages.StockPage(b) }},
		{"cost.html", func() table.Page { return pages.CostPage(b) }}, {"data.html", func() table.Page { return pages.DataPage(b) }},
		{"methods.html", func() table.Page { return pages.MethodsPage(b) }}} {
		if err := w.writePage(rest.name, rest.page()); err != nil {
			return err
		}
	}
	return nil
}
