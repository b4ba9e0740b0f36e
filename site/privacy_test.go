package site

import (
	"html/template"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/pages"
	"lanetally/site/table"
	"lanetally/site/words"
)

// quern gives the made district crew ids and labels that stand for nothing else on a page, the last two crews small, and routes that two
// crews share.
func quern(mode string) *book.Data {
	data := madeDistrict()
	number := regexp.MustCompile(`^C([1-6])$`)
	renamed := func(id string) string { return number.ReplaceAllString(id, "quern${1}x") }
	data.CrewPages, data.RawLines = mode, false
	data.CrewAddresses, data.CrewFileLabels = map[string]string{}, map[string]string{}
	for i := range data.Crews {
		c := &data.Crews[i]
		c.CrewID, c.Label = renamed(c.CrewID), "velvet"+strconv.Itoa(i+1)+"y"
		c.Members = new(int64(3))
		data.CrewAddresses[c.CrewID] = "crews/0f" + strconv.Itoa(i+1) + ".html"
	}
	data.Crews[4].Members, data.Crews[5].Members = new(int64(2)), nil
	for i := range data.CrewStorms {
		data.CrewStorms[i].CrewID = renamed(data.CrewStorms[i].CrewID)
	}
	for i := range data.StormRoutes {
		data.StormRoutes[i].CrewIDs = renamed(data.StormRoutes[i].CrewIDs)
		if data.StormRoutes[i].RouteID == "R01" {
			data.StormRoutes[i].CrewIDs = "quern1x;quern3x"
		}
	}
	for _, row := range data.CrewStorms {
		if row.RouteID == "R01" { // of one crew so far
			row.CrewID = "quern3x"
			data.CrewStorms = append(data.CrewStorms, row)
		}
	}
	for i := range data.StormPasses {
		data.StormPasses[i].CrewID = renamed(data.StormPasses[i].CrewID)
	}
	for i := range data.Assignments {
		data.Assignments[i].CrewID = renamed(data.Assignments[i].CrewID)
	}
	for i := range data.Learning {
		data.Learning[i].CrewID = renamed(data.Learning[i].CrewID)
	}
	for i := range data.LearningCurves {
		data.LearningCurves[i].CrewID = renamed(data.LearningCurves[i].CrewID)
	}
	for i := range data.LearningResiduals {
		data.LearningResiduals[i].CrewID = renamed(data.LearningResiduals[i].CrewID)
	}
	return data
}

var (
	quernID   = regexp.MustCompile(`quern[1-6]x`)
	quernName = regexp.MustCompile(`velvet[1-6]y`)
)

// With addresses of their own, crews are named on their own page alone; without pages, nowhere.
func TestCrewsAreNamedWhereTheDistrictSaysSo(t *testing.T) {
	all := built(t, quern(rows.CrewPagesAll))
	assert.Regexp(t, quernID, all["routes.html"])
	assert.Regexp(t, quernID, all["learning.html"])
	assert.Contains(t, all["crews/"+format.FileName("quern1x")+".html"], "quern3x velvet3y", "shared with a crew by name")
	assert.Contains(t, all["index.html"], `href="crews.html"`)

	data := quern(rows.CrewPagesOwn)
	pageOf := map[string]string{}
	for crewID, address := range data.CrewAddresses {
		pageOf[address], pageOf[strings.TrimSuffix(address, ".html")+"-sheet.html"] = crewID, crewID
	}
	own := built(t, data)
	for name, text := range own {
		for _, found := range append(quernID.FindAllString(text, -1), quernName.FindAllString(text, -1)...) {
			digit := regexp.MustCompile(`[1-6]`)
			assert.Equal(t, digit.FindString(pageOf[name]), digit.FindString(found), "%s names %s", name, found)
		}
		for address := range pageOf {
			if pageOf[name] != pageOf[address] {
				assert.NotContains(t, text, strings.TrimPrefix(address, "crews/"), "%s leads to %s", name, address)
			}
		}
		_, isOwn := pageOf[name]
		isPrivate := isOwn || name == "crews/index.html"
		assert.Equal(t, isPrivate, strings.Contains(text, `<meta name="robots" content="noindex, nofollow">`), name)
		assert.Equal(t, isPrivate, strings.Contains(text, `<meta name="referrer" content="no-referrer">`), name)
		assert.NotContains(t, text, "crews.html", name)
	}
	for address := range pageOf {
		assert.Contains(t, own, address)
	}
	assert.Contains(t, own[data.CrewAddresses["quern1x"]], ">1 other crew<")

	for name, text := range built(t, quern(rows.CrewPagesNone)) {
		assert.False(t, strings.HasPrefix(name, "crews"), name)
		assert.NotContains(t, text, "quern", name)
		assert.NotContains(t, text, "velvet", name)
		assert.NotContains(t, text, "crews.html", name)
	}
}

// pagesTables are all tables of all pages, as they are handed to the pages' templates, by the page's file.
func pagesTables(t *testing.T, data *book.Data) map[string][]table.Table {
	pages, met := map[string][]table.Table{}, []table.Table(nil)
	w, err := newBuilder(assets, data, func(name string, _ []byte) error {
		pages[name], met = met, nil
		return nil
	})
	require.NoError(t, err)
	w.pages.Funcs(template.FuncMap{"showTable": func(root string, table table.Table) shownTable {
		met = append(met, table)
		return showTable(w.book, root, table)
	}})
	require.NoError(t, w.writeAll())
	return pages
}

// What a mode hides follows from the columns alone. Beside a crew's own page a crew stands only in a column that says it
// names crews: a column that lost its word for it would show its crews under another. And where pages name no crew no such column is shown.
func TestCrewsStandInColumnsOfCrewsAlone(t *testing.T) {
	of := regexp.MustCompile(`^(crews-table|learning-table|routes-table|route-work|assignment-table|work-)`)
	for _, mode := range []string{rows.CrewPagesAll, rows.CrewPagesOwn, rows.CrewPagesNone} {
		tables, naming := 0, map[string]int{}
		for name, list := range pagesTables(t, quern(mode)) {
			if strings.HasPrefix(name, "crews/") {
				continue
			}
			for _, table := range list {
				tables++
				for _, row := range table.Rows {
					for i, cell := range row.Cells {
						isNamed := quernID.MatchString(cell.Text+cell.Href) || quernName.MatchString(cell.Text)
						column := table.Columns[i]
						assert.False(t, isNamed && !column.IsCrew, "%s, %s: %s has %s in %q", mode, name, table.ID, cell.Text, column.Head)
						assert.False(t, column.IsCrew && mode != rows.CrewPagesAll, "%s, %s: %s shows %q", mode, name, table.ID,
							column.Head)
						if isNamed {
							naming[of.FindString(table.ID)]++
						}
					}
				}
			}
		}
		assert.Greater(t, tables, 200, mode)
		if mode == rows.CrewPagesAll {
			assert.Len(t, naming, 6, "%v", naming)
			assert.NotContains(t, naming, "")
		} else {
			assert.Empty(t, naming, mode)
		}
	}
}

// A crew without an address gets no page by chance.
func TestACrewWithoutAnAddressIsAnError(t *testing.T) {
	data := quern(rows.CrewPagesOwn)
	delete(data.CrewAddresses, "quern2x")
	assert.ErrorContains(t, Build(t.TempDir(), data), "quern2x")
}

// Small crews, and crews of unknown size, have totals of their routes and no figures of their own.
func TestSmallCrewsShowRouteTotalsOnly(t *testing.T) {
	b, err := book.NewBook(quern(rows.CrewPagesAll))
	require.NoError(t, err)
	compared := 0
	for _, crew := range b.CrewList {
		p := pages.CrewPage(b, crew)
		isSmall := crew.CrewID == "quern5x" || crew.CrewID == "quern6x"
		sections := []string{}
		for _, s := range p.Sections {
			sections = append(sections, s.ID)
		}
		if isSmall {
			assert.Equal(t, []string{"crew-routes-season"}, sections)
		} else {
			assert.Equal(t, []string{"rates", "crew-routes-season", "storms"}, sections)
		}
		// The totals are those of the route, whoever treated it: the routes page has the same.
		totals := p.Sections[slices.Index(sections, "crew-routes-season")].Tables[0].Rows
		for _, row := range totals {
			for _, wanted := range pages.RoutesPage(b).Sections[0].Tables[0].Rows {
				if wanted.Cells[0].Text == row.Cells[0].Text && wanted.Cells[1].Text == row.Cells[1].Text {
					compared++
					assert.Equal(t, wanted.Cells[2:len(row.Cells)-1], row.Cells[3:], row.Cells[0].Text)
				}
			}
		}
	}
	assert.Greater(t, compared, 6)
	for _, l := range pages.LearningRows(b) {
		assert.NotContains(t, []string{"quern5x", "quern6x"}, l.CrewID)
	}
	crews := pages.CrewsPage(b).Sections[0].Tables[0].Rows
	require.Len(t, crews, 6)
	assert.Equal(t, "fewer than 3 members", crews[4].Cells[5].Text)
	assert.Equal(t, "members not given", crews[5].Cells[5].Text)
	assert.Equal(t, format.Missing, crews[4].Cells[1].Text)
	assert.NotEqual(t, format.Missing, crews[3].Cells[1].Text)
}

// On a page that names no crew a dot is a route's rate in a storm, and a rate for review that was one of several crews' is not told.
func TestRatesOfSharedRoutesAreTheRoutes(t *testing.T) {
	data := quern(rows.CrewPagesOwn)
	b, err := book.NewBook(data)
	require.NoError(t, err)
	before := draw.RatePoints(b)
	require.NotEmpty(t, before)
	first := before[0]
	outlier := slices.IndexFunc(data.LearningResiduals,
		func(r rows.LearningResidual) bool { return r.StormID == first.StormID && r.RouteID == first.RouteID })
	data.LearningResiduals[outlier].IsOutlier = true
	second := data.LearningResiduals[outlier]
	second.CrewID, second.Rate, second.IsOutlier = "quern9x", new(987.0), true
	data.LearningResiduals = append(data.LearningResiduals, second)
	data.CrewStorms = append(data.CrewStorms, rows.CrewStorm{StormID: first.StormID, CrewID: "quern9x", RouteID: first.RouteID,
		MaterialClass: rows.Acetate, Form: rows.Solid, PriorStorms: new(first.Prior + 4), RateLbPerLaneMi: new(987.0)})
	b, err = book.NewBook(data)
	require.NoError(t, err)
	require.Len(t, draw.RatePoints(b), len(before))
	route := b.StormRoute(rows.CrewStorm{StormID: first.StormID, RouteID: first.RouteID, MaterialClass: rows.Acetate, Form: rows.Solid})
	assert.Equal(t, *route.RateLbPerLaneMi, draw.RatePoints(b)[0].Rate)
	assert.Equal(t, first.Prior+2, draw.RatePoints(b)[0].Prior, "the mean of n and n + 4")
	told := 0
	for _, row := range pages.OutliersSection(b).Tables[0].Rows {
		assert.NotEqual(t, "987", row.Cells[2].Text)
		if row.Cells[0].Text == first.StormID && row.Cells[1].Text == b.RouteShort(first.RouteID) {
			for _, cell := range row.Cells[2:5] { // rate, fitted, deviations: neither shown nor in what rows sort by
				assert.Equal(t, table.Cell{Text: words.Say(us, "shared rate")}, cell)
			}
			told++
		}
	}
	assert.Equal(t, 2, told)
}

// The foot of each page says what the figures are not.
func TestEveryFootSaysWhatTheFiguresAreNot(t *testing.T) {
	for name, text := range built(t, quern(rows.CrewPagesOwn)) {
		if strings.HasSuffix(name, ".html") {
			_, foot, found := strings.Cut(text, "<footer>")
			assert.True(t, found, name)
			assert.Contains(t, foot, "Counts of material and reports, not the state of a road at a time and place.", name)
		}
	}
}
