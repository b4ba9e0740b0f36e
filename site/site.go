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
const policy = "default-src 'none'; script-src 'self'; style-src 'self'; style-src-attr 'unsafe-inline'; img-src 'self' data:; font-src 'self'; base-uri 'none'; form-action 'none'"

// page is one page; all its texts are written out already.
type page struct {
	Title, Lead string
	Nav         string // the entry of the menu it belongs to
	Root        string // leads to the top folder: "" or "../"
	IsSheet     bool   // is made to be printed on one page
	IsPrivate   bool   // for who was given its address: kept out of search machines, its address out of what links tell
	Sections    []Section
	Methods     *methods // of the methods page only
	Search      *search  // of the search page only
}

// Section is a part of a page, in the order in which its fields are written.
type Section struct {
	ID, Title string
	Tone      string // "warn" sets it off
	Text      []string
	List      []string // points, numbered
	HasMarks  bool     // explains the marks of the material classes
	Minor     int      // minor storms among what the section shows
	Chart     *Chart
	Picture   string // the catalogue's name of the figures
	Figures   []Figure
	Tables    []Table
	Links     []Cell
}

// Figure is a picture drawn at build. Wide ones scroll sideways on narrow screens.
type Figure struct {
	Title, Caption  string
	Drawing         template.HTML
	IsWide, IsSmall bool
}

// frame is what the layout gets: the page and what all pages share.
type frame struct {
	page
	District, TimeZone, Through, Policy, Caution, NotTheRoad, Basis string
	Menu                                                            []menuEntry
}

// rootedSection knows the way to the top folder.
type rootedSection struct {
	Section
	Root string
}

type menuEntry struct{ Name, Text, Href string }

var menu = []menuEntry{{"season", "Season", "index.html"}, {"learning", "Learning", "learning.html"},
	{"comparison", "Comparison", "comparison.html"}, {"storms", "Storms", "storms.html"}, {"routes", "Routes", "routes.html"},
	{"crews", "Crews", "crews.html"}, {"material", "Material", "material.html"}, {"stock", "Stock", "stock.html"},
	{"cost", "Cost and water", "cost.html"}, {"data", "Data", "data.html"}, {"methods", "Methods", "methods.html"}, {"search", "Search", "search.html"}}

// builder writes pages into a folder.
type builder struct {
	assets    fs.FS
	writeFile func(name string, content []byte) error
	book      *book
	pages     *template.Template
}

// Write hands all pages, with their styles and scripts, to write, each once, under its path below public/ with slashes.
// The first error of write ends it.
func Write(data *Data, write func(name string, content []byte) error) error {
	return writeWith(assets, data, write)
}

// writeWith is Write with these assets.
func writeWith(assets fs.FS, data *Data, write func(name string, content []byte) error) error {
	w, err := newBuilder(assets, data, write)
	if err != nil {
		return fmt.Errorf("site: %w", err)
	}
	return w.writeAll()
}

func newBuilder(assets fs.FS, data *Data, write func(name string, content []byte) error) (*builder, error) {
	b, err := newBook(data)
	if err != nil {
		return nil, err
	}
	w := &builder{assets: assets, writeFile: write, book: b}
	w.pages, err = template.New("layout.gohtml").Funcs(template.FuncMap{
		"unitWords": b.unitWords, "classSigns": b.classSigns, "rowHTML": func(heads []head, r Row) template.HTML { return b.rowHTML(heads, r) }, "hasChart": w.hasChart, "hasCharts": w.hasCharts, "hasSigns": hasSigns, "hasTools": b.hasTools, "whyOf": b.whyOf, "showTable": b.showTable,
		"percents":      func(text string) string { return strings.ReplaceAll(text, " %", noBreak+"%") }, // a number and its sign stay on one line
		"minorSentence": func(n int) string { return minorSentence(b.units, n) },
		"rootedSection": func(f frame, s Section) rootedSection { return rootedSection{s, f.Root} },
	}).ParseFS(templates, "templates/*.gohtml")
	if err != nil {
		return nil, fmt.Errorf("templates: %w", err)
	}
	return w, nil
}

func (w *builder) writeAll() error {
	for _, step := range []func() error{w.writeAssets, w.writeQueries, w.writeSeasons, w.writeStorms, w.writeRoutes, w.writeCrews, w.writeRest, w.writeSearch} {
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
func (w *builder) hasChart(sections []Section) bool {
	return w.hasCharts() && slices.ContainsFunc(sections, func(s Section) bool { return s.Chart != nil })
}

// hasSigns tells whether a table of the page marks material classes.
func hasSigns(sections []Section) bool {
	for _, s := range sections {
		for _, t := range s.Tables {
			if slices.ContainsFunc(t.Rows, func(r Row) bool { return slices.ContainsFunc(r.Cells, func(c Cell) bool { return c.Class != "" }) }) {
				return true
			}
		}
	}
	return false
}

func (w *builder) writePage(name string, p page) error {
	f := frame{page: p, District: w.book.data.District, TimeZone: w.book.data.TimeZone, Through: w.book.through(),
		Policy: policy, Caution: caution, NotTheRoad: notTheRoad, Basis: basisSentence(w.book.units, w.book.hasCorrected), Menu: w.book.menuEntries()}
	var out bytes.Buffer
	if err := w.pages.Execute(&out, f); err != nil {
		return fmt.Errorf("page %q: %w", name, err)
	}
	return w.writeFile(name, []byte(unseen.Replace(out.String())))
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
	for _, query := range w.book.data.Queries {
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
	latest := w.book.latestSeason()
	for _, season := range w.book.seasons {
		root := "../"
		if season == latest {
			root = ""
		}
		p, err := w.book.seasonPage(season, root)
		if err != nil {
			return err
		}
		if err := w.writePage(w.book.seasonFile(season), p); err != nil {
			return err
		}
	}
	if latest != "" {
		return nil
	}
	p, err := w.book.seasonPage("", "")
	if err != nil {
		return err
	}
	p.Title = "Season"
	return w.writePage("index.html", p)
}

func (w *builder) writeStorms() error {
	for _, e := range w.book.events {
		if err := w.writePage("storms/"+FileName(e.ID)+".html", w.book.stormPage(e)); err != nil {
			return err
		}
		if err := w.writePage(stormSheetFile(e.ID), w.book.stormSheet(e)); err != nil {
			return err
		}
		if !e.isWide() {
			continue
		}
		for _, zone := range e.Zones {
			if err := w.writePage(stormZoneFile(zone), w.book.stormZonePage(zone)); err != nil {
				return err
			}
		}
	}
	return w.writePage("storms.html", w.book.stormsPage())
}

func (w *builder) writeRoutes() error {
	for _, route := range w.book.routeList {
		p, err := w.book.routePage(route)
		if err != nil {
			return err
		}
		if err := w.writePage("routes/"+FileName(route.RouteID)+".html", p); err != nil {
			return err
		}
	}
	return w.writePage("routes.html", w.book.routesPage())
}

func (w *builder) writeRest() error {
	b := w.book
	for _, rest := range []struct {
		name string
		page func() page
	}{{"learning.html", b.learningPage}, {"comparison.html", b.comparisonPage}, {"material.html", b.materialPage}, {"stock.html", b.stockPage},
		{"cost.html", b.costPage}, {"data.html", b.dataPage}, {"methods.html", b.methodsPage}} {
		if err := w.writePage(rest.name, rest.page()); err != nil {
			return err
		}
	}
	return nil
}
