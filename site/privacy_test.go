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
)

// quern gives the made district crew ids and labels that stand for nothing else on a page, the last two crews small, and routes that two crews share.
func quern(mode string) *Data {
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
	all := built(t, quern(CrewPagesAll))
	assert.Regexp(t, quernID, all["routes.html"])
	assert.Regexp(t, quernID, all["learning.html"])
	assert.Contains(t, all["crews/"+FileName("quern1x")+".html"], "quern3x velvet3y", "shared with a crew by name")
	assert.Contains(t, all["index.html"], `href="crews.html"`)

	data := quern(CrewPagesOwn)
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

	for name, text := range built(t, quern(CrewPagesNone)) {
		assert.False(t, strings.HasPrefix(name, "crews"), name)
		assert.NotContains(t, text, "quern", name)
		assert.NotContains(t, text, "velvet", name)
		assert.NotContains(t, text, "crews.html", name)
	}
}

// pagesTables are all tables of all pages, as they are handed to the pages' templates, by the page's file.
func pagesTables(t *testing.T, data *Data) map[string][]Table {
	pages, met := map[string][]Table{}, []Table(nil)
	w, err := newBuilder(assets, data, func(name string, _ []byte) error {
		pages[name], met = met, nil
		return nil
	})
	require.NoError(t, err)
	w.pages.Funcs(template.FuncMap{"showTable": func(root string, table Table) shownTable {
		met = append(met, table)
		return w.book.showTable(root, table)
	}})
	require.NoError(t, w.writeAll())
	return pages
}

// What a mode hides follows from the columns alone. Beside a crew's own page a crew stands only in a column that says it
// names crews: a column that lost its word for it would show its crews under another. And where pages name no crew no such column is shown.
func TestCrewsStandInColumnsOfCrewsAlone(t *testing.T) {
	of := regexp.MustCompile(`^(crews-table|learning-table|routes-table|route-work|assignment-table|work-)`)
	for _, mode := range []string{CrewPagesAll, CrewPagesOwn, CrewPagesNone} {
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
						assert.False(t, column.IsCrew && mode != CrewPagesAll, "%s, %s: %s shows %q", mode, name, table.ID, column.Head)
						if isNamed {
							naming[of.FindString(table.ID)]++
						}
					}
				}
			}
		}
		assert.Greater(t, tables, 200, mode)
		if mode == CrewPagesAll {
			assert.Len(t, naming, 6, "%v", naming)
			assert.NotContains(t, naming, "")
		} else {
			assert.Empty(t, naming, mode)
		}
	}
}

// A crew without an address gets no page by chance.
func TestACrewWithoutAnAddressIsAnError(t *testing.T) {
	data := quern(CrewPagesOwn)
	delete(data.CrewAddresses, "quern2x")
	assert.ErrorContains(t, Build(t.TempDir(), data), "quern2x")
}

// Small crews, and crews of unknown size, have totals of their routes and no figures of their own.
func TestSmallCrewsShowRouteTotalsOnly(t *testing.T) {
	b, err := newBook(quern(CrewPagesAll))
	require.NoError(t, err)
	compared := 0
	for _, crew := range b.crewList {
		p := b.crewPage(crew)
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
			for _, wanted := range b.routesPage().Sections[0].Tables[0].Rows {
				if wanted.Cells[0].Text == row.Cells[0].Text && wanted.Cells[1].Text == row.Cells[1].Text {
					compared++
					assert.Equal(t, wanted.Cells[2:len(row.Cells)-1], row.Cells[3:], row.Cells[0].Text)
				}
			}
		}
	}
	assert.Greater(t, compared, 6)
	for _, l := range b.learningRows() {
		assert.NotContains(t, []string{"quern5x", "quern6x"}, l.CrewID)
	}
	crews := b.crewsPage().Sections[0].Tables[0].Rows
	require.Len(t, crews, 6)
	assert.Equal(t, "fewer than 3 members", crews[4].Cells[5].Text)
	assert.Equal(t, "members not given", crews[5].Cells[5].Text)
	assert.Equal(t, missing, crews[4].Cells[1].Text)
	assert.NotEqual(t, missing, crews[3].Cells[1].Text)
}

// On a page that names no crew a dot is a route's rate in a storm, and a rate for review that was one of several crews' is not told.
func TestRatesOfSharedRoutesAreTheRoutes(t *testing.T) {
	data := quern(CrewPagesOwn)
	b, err := newBook(data)
	require.NoError(t, err)
	before := b.ratePoints()
	require.Positive(t, len(before))
	first := before[0]
	outlier := slices.IndexFunc(data.LearningResiduals, func(r LearningResidual) bool { return r.StormID == first.stormID && r.RouteID == first.routeID })
	data.LearningResiduals[outlier].IsOutlier = true
	second := data.LearningResiduals[outlier]
	second.CrewID, second.Rate, second.IsOutlier = "quern9x", new(987.0), true
	data.LearningResiduals = append(data.LearningResiduals, second)
	data.CrewStorms = append(data.CrewStorms, CrewStorm{StormID: first.stormID, CrewID: "quern9x", RouteID: first.routeID, MaterialClass: acetate, Form: solid, PriorStorms: new(first.prior + 4), RateLbPerLaneMi: new(987.0)})
	b, err = newBook(data)
	require.NoError(t, err)
	require.Len(t, b.ratePoints(), len(before))
	route := b.stormRoute(CrewStorm{StormID: first.stormID, RouteID: first.routeID, MaterialClass: acetate, Form: solid})
	assert.Equal(t, *route.RateLbPerLaneMi, b.ratePoints()[0].rate)
	assert.Equal(t, first.prior+2, b.ratePoints()[0].prior, "the mean of n and n + 4")
	told := 0
	for _, row := range b.outliersSection().Tables[0].Rows {
		assert.NotEqual(t, "987", row.Cells[2].Text)
		if row.Cells[0].Text == first.stormID && row.Cells[1].Text == b.routeShort(first.routeID) {
			assert.Equal(t, sharedRate, row.Cells[2].Text)
			told++
		}
	}
	assert.Equal(t, 2, told)
}

// The foot of each page says what the figures are not.
func TestEveryFootSaysWhatTheFiguresAreNot(t *testing.T) {
	for name, text := range built(t, quern(CrewPagesOwn)) {
		if strings.HasSuffix(name, ".html") {
			_, foot, found := strings.Cut(text, "<footer>")
			assert.True(t, found, name)
			assert.Contains(t, foot, "Counts of material and reports, not the state of a road at a time and place.", name)
		}
	}
}
