package table

import (
	"html/template"

	"lanetally/site/words"
)

// Chart is a chart that the page's script draws from JSON. Every chart stands beside a table with the same numbers.
type Chart struct {
	ID      string      // unique on its page
	Title   string      // states what the chart finds
	Label   string      // for readers that cannot see it
	Option  template.JS // escaped: it holds no <, > or &
	Notes   []string
	TableID string // the table with the same numbers
}

// Methods is what only the methods page shows.
type Methods struct {
	Parts    []words.MethodsPart
	Cautions []string
	Sources  []string
}

// Search is what only the search page shows.
type Search struct{ Crews int }

// Page is one page; all its texts are written out already.
type Page struct {
	Title, Lead string
	Nav         string // the entry of the menu it belongs to
	Root        string // leads to the top folder: "" or "../"
	IsSheet     bool   // is made to be printed on one page
	IsPrivate   bool   // for who was given its address: kept out of search machines, its address out of what links tell
	Sections    []Section
	Methods     *Methods // of the methods page only
	Search      *Search  // of the search page only
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
