package site

import (
	"html"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/pages"
	"lanetally/site/table"
	"lanetally/site/words"
)

// namesIn lists the files of a folder of the project that end so, without the ending.
func namesIn(t *testing.T, folder, ending string) []string {
	paths, err := filepath.Glob(filepath.Join("..", folder, "*"+ending))
	require.NoError(t, err)
	require.NotEmpty(t, paths)
	for i := range paths {
		paths[i] = strings.TrimSuffix(filepath.Base(paths[i]), ending)
	}
	return paths
}

// publishedDistrict is the made district with every query and every export of the project.
func publishedDistrict(t *testing.T) *book.Data {
	data := madeDistrict()
	data.Queries, data.Downloads = nil, nil
	for _, name := range namesIn(t, "queries", ".sql") {
		data.Queries = append(data.Queries, book.Query{Name: name + ".sql", Text: "select 1;\n"})
	}
	for _, name := range namesIn(t, "schemas/exports", ".json") {
		data.Downloads = append(data.Downloads, name+".csv", name+".parquet")
	}
	data.Changes = []rows.Change{{Export: "storms", StormID: data.Storms[0].StormID, Column: "hours", Before: new("3"), After: new("4"),
		Cause: "weather/late.csv"}}
	data.Accepted = []rows.Acceptance{{AcceptedAt: *data.AsOf, Reason: "scale was wrong", GateCause: rows.GateCause{Found: "pounds fell"}}}
	return data
}

var (
	numbered = regexp.MustCompile(`(?s)<table id="([^"]*)"|<div class="chart" id="([^"]*)"|<div class="(figures)|<details ` +
		`class="why">(.*?)</details>`)
	pictureNames = regexp.MustCompile(`Picture: "([a-z-]+)"`)
	anchors      = regexp.MustCompile(`<a href="([^"]*)">`)
)

// Every table and every picture of every page answers where its numbers come from: what they mean, and what computed them
// or who gave them; with the files that hold them where there are some.
func TestEveryTableAndPictureSaysWhereItsNumbersComeFrom(t *testing.T) {
	data := publishedDistrict(t)
	files := built(t, data)
	met, links := map[string]bool{}, 0
	for name, text := range files {
		if !strings.HasSuffix(name, ".html") {
			continue
		}
		tokens := numbered.FindAllStringSubmatch(text, -1)
		for i, token := range tokens {
			what := token[1] + token[2] + token[3]
			if what == "" {
				continue
			}
			met[what] = true
			require.Less(t, i+1, len(tokens), "%s: %s", name, what)
			answer := tokens[i+1][4]
			require.NotEmpty(t, answer, "%s: %s has no line on where its numbers come from; the catalogue lacks it", name, what)
			assert.Contains(t, answer, "Meaning: ", "%s: %s", name, what)
			assert.True(t, strings.Contains(answer, "Computed by: ") || strings.Contains(answer, "As given in: "), "%s: %s", name, what)
			for _, match := range anchors.FindAllStringSubmatch(answer, -1) {
				links++
				checkSource(t, name, html.UnescapeString(match[1]), files, data)
			}
		}
	}
	for _, picture := range picturesOfTheCode(t) {
		assert.NotEmpty(t, table.EntryOf(picture), picture)
		met[picture] = true
	}
	for name := range table.Catalogue {
		isMet := met[name]
		for what := range met {
			isMet = isMet || strings.HasSuffix(name, "-") && strings.HasPrefix(what, name)
		}
		assert.True(t, isMet, "no table or picture is called %s", name)
	}
	assert.Greater(t, links, 1500)
}

// picturesOfTheCode lists the names that sections give their pictures, which pages do not write.
func picturesOfTheCode(t *testing.T) (pictures []string) {
	for _, name := range namesIn(t, "site/pages", ".go") {
		text, err := os.ReadFile(filepath.Join("pages", name+".go"))
		require.NoError(t, err)
		for _, match := range pictureNames.FindAllStringSubmatch(string(text), -1) {
			pictures = append(pictures, match[1])
		}
	}
	require.NotEmpty(t, pictures)
	return pictures
}

// checkSource asks that a link of a page leads to a term, a query or a published file.
func checkSource(t *testing.T, name, href string, files map[string]string, data *book.Data) {
	target, place, _ := strings.Cut(href, "#")
	target = path.Join(path.Dir(name), target)
	switch folder, file := path.Split(target); {
	case target == "methods.html":
		assert.Contains(t, files[target], `<dt id="`+place+`">`, "%s: %s", name, href)
	case folder == "queries/":
		assert.Contains(t, files, target, "%s: %s", name, href)
	case folder == "data/":
		assert.Contains(t, data.Downloads, file, "%s: %s", name, href)
	default:
		assert.Fail(t, "a link that leads to no source", "%s: %s", name, href)
	}
}

func TestTheCatalogueNamesWhatThereIs(t *testing.T) {
	var tables []string
	for _, name := range namesIn(t, "queries", ".sql") {
		_, table, _ := strings.Cut(name, "_")
		tables = append(tables, table)
	}
	exports := namesIn(t, "schemas/exports", ".json")
	for name, e := range table.Catalogue {
		assert.NotEmpty(t, e.Terms, name)
		for _, anchor := range e.Terms {
			assert.Contains(t, pages.TermNames, anchor, name)
		}
		for _, table := range e.Queries {
			assert.Contains(t, tables, table, name)
		}
		for _, export := range e.Exports {
			assert.Contains(t, exports, export, name)
		}
	}
}

// A table's own export leads to both of its files and to the query of its name; a join names every query.
func TestWhereNumbersComeFrom(t *testing.T) {
	b, err := book.NewBook(publishedDistrict(t))
	require.NoError(t, err)
	w := whyOf(b, "../", "route-storms", "storm_routes.csv")
	assert.Equal(t, []table.Cell{table.Link("45_storm_routes.sql", "../queries/45_storm_routes.sql"),
		table.Link("28_storms.sql", "../queries/28_storms.sql")}, w.Queries)
	assert.Equal(t, []table.Cell{table.Link("storm_routes.csv", "../data/storm_routes.csv"),
		table.Link("storm_routes.parquet", "../data/storm_routes.parquet"),
		table.Link("storms.csv", "../data/storms.csv"), table.Link("storms.parquet", "../data/storms.parquet")}, w.Files)
	assert.Equal(t, table.Link("Rate", "../methods.html#routes-rate"), w.Terms[0])
	assert.Equal(t, "prices.csv", whyOf(b, "", "prices-table", "").Given)
	assert.Empty(t, whyOf(b, "", "nothing-known", ""))
	assert.Equal(t, table.EntryOf("routes-"), table.EntryOf("routes-a_"), "a zone's table")
	assert.NotEqual(t, table.EntryOf("routes-"), table.EntryOf("routes-table"), "the page of routes")
}

// A district that publishes no files has no link to one.
func TestPagesWithoutFilesLinkToNone(t *testing.T) {
	data := publishedDistrict(t)
	data.Downloads, data.Queries = nil, nil
	for name, text := range built(t, data) {
		for _, match := range anchors.FindAllStringSubmatch(text, -1) {
			assert.False(t, slices.Contains([]string{"data", "queries"}, path.Base(path.Dir(match[1]))), "%s: %s", name, match[1])
		}
	}
}

func TestEveryTermHasAPlaceOfItsOwn(t *testing.T) {
	terms := 0
	for _, part := range words.MethodsParts {
		terms += len(part.Terms)
	}
	assert.Len(t, pages.TermNames, terms)
	assert.Equal(t, terms, strings.Count(made(t)["methods.html"], "<dt id="))
}
