package table

import (
	_ "embed" // the catalogue
	"fmt"
	"strings"

	"github.com/BurntSushi/toml"
)

// Entry is what the catalogue says of a table or a picture. The head of catalogue.toml explains its fields.
type Entry struct {
	Terms, Exports, Queries []string
	Given                   string
	IsFixed                 bool `toml:"fixed"`
	OfCrew                  bool `toml:"crew"`

	Caption, File, Empty, Note string
	Order, Parted, Open        string
	PartedAt                   string `toml:"parted_at"`
	Columns                    string
	columns                    []column
}

//go:embed catalogue.toml
var catalogueText string

//go:embed columns.toml
var columnsText string

var (
	// Catalogue has the entries by name.
	Catalogue = readCatalogue()

	// groups and commonColumns are what tables share: columns that come together, and what follows the name of a column in many tables.
	groups, commonColumns = readCommon()
)

func readCatalogue() map[string]Entry {
	entries := read[map[string]Entry](catalogueText)
	for name, e := range entries {
		e.columns = columnsIn(e.Columns)
		entries[name] = e
	}
	return entries
}

func readCommon() (groups, columns map[string]string) {
	common := read[struct {
		Columns string
		Groups  map[string]string
	}](columnsText)
	columns = map[string]string{}
	for line := range strings.Lines(common.Columns) {
		name, rest, _ := strings.Cut(line, "|")
		columns[strings.TrimSpace(name)] = rest
	}
	return common.Groups, columns
}

// read panics on a key that nothing holds: the texts are part of the program.
func read[T any](text string) (into T) {
	if done, err := toml.Decode(text, &into); err != nil || len(done.Undecoded()) > 0 {
		panic(fmt.Sprint("catalogue: ", err, done.Undecoded()))
	}
	return into
}

// EntryOf finds the entry of a table or picture: by its whole name, else by the longest beginning; empty without one.
func EntryOf(name string) Entry {
	if e, found := Catalogue[name]; found {
		return e
	}
	for end := len(name) - 1; end > 0; end-- {
		if e, found := Catalogue[name[:end]]; found && name[end-1] == '-' {
			return e
		}
	}
	return Entry{}
}

// columnsIn reads a text of columns, a line each: `name | head | unit | how`. What a line leaves out it has from the common column of its
// name; `@group` stands for the lines of a group, `row.@group` for those of a row within the row.
func columnsIn(text string) []column {
	var list []column
	for line := range strings.Lines(text) {
		name, rest, _ := strings.Cut(line, "|")
		name = strings.TrimSpace(name)
		if before, group, isGroup := strings.Cut(name, "@"); isGroup {
			for _, c := range columnsIn(groups[group]) {
				c.name = before + c.name
				list = append(list, c)
			}
			continue
		}
		list = append(list, newColumn(name, rest))
	}
	return list
}
