package site

import (
	"html"
	"regexp"
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
	"lanetally/site/words"
)

var (
	rowText  = regexp.MustCompile(`(?s)<tr[^>]*>(.*?)</tr>`)
	cellText = regexp.MustCompile(`(?s)<t[hd][^>]*>(.*?)</t[hd]>`)
	tagText  = regexp.MustCompile(`(?s)<[^>]*>`)
)

// parsedTable is a table of a page as its reader sees it: the texts of the body's cells.
func parsedTable(t *testing.T, page, id string) [][]string {
	_, rest, found := strings.Cut(page, `<table id="`+id+`">`)
	require.True(t, found, "no table %s", id)
	body, _, found := strings.Cut(rest, "</table>")
	require.True(t, found)
	_, body, found = strings.Cut(body, "<tbody>")
	require.True(t, found)
	var rows [][]string
	for _, row := range rowText.FindAllStringSubmatch(body, -1) {
		var texts []string
		for _, cell := range cellText.FindAllStringSubmatch(row[1], -1) {
			texts = append(texts, strings.TrimSpace(html.UnescapeString(tagText.ReplaceAllString(cell[1], ""))))
		}
		rows = append(rows, texts)
	}
	return rows
}

func TestTheLearningTableHoldsTheRowsOfLearning(t *testing.T) {
	data := madeDistrict()
	rows := parsedTable(t, made(t)["learning.html"], "learning-table")
	require.Len(t, rows, len(data.Learning))
	require.Equal(t, "all crews", rows[0][0])
	for i, cells := range rows {
		l := data.Learning[i]
		assert.Equal(t, []string{format.Whole(l.Storms), format.Whole(l.Rows), format.Whole(l.RowsLeftOut),
			format.Fixed(l.PriorStormsLatest, 0), us.Rate(l.StartRate), us.Rate(l.LatestRate),
			format.SignedTenth(l.ChangePct), format.SignedTenth(l.ChangeLow90Pct), format.SignedTenth(l.ChangeHigh90Pct),
			format.Fixed(l.DF, 1), strings.Replace(l.Verdict, "falling", "rates are coming down (roads no worse)", 1)},
			cells[1:12], l.CrewID)
	}
	assert.Equal(t, "no worse", rows[0][12])
	assert.Equal(t, format.Missing, rows[1][12], "service is judged for all crews together only")
}

func TestTheCurveTableHoldsPointsOfTheCurve(t *testing.T) {
	list := parsedTable(t, made(t)["learning.html"], "curve-table")
	require.Len(t, list, 8) // 0, 1, 3, 7, 15, 31, 63 and the latest
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	byPrior := map[string]rows.LearningCurve{}
	for _, p := range draw.CurveOf(b, rows.AllCrews) {
		byPrior[format.Whole(p.PriorStorms)] = p
	}
	for _, cells := range list {
		p, found := byPrior[cells[0]]
		require.True(t, found, cells[0])
		assert.Equal(t, []string{us.Rate(p.Rate), us.Rate(p.RateLow90), us.Rate(p.RateHigh90)}, cells[1:4])
	}
	assert.Equal(t, format.Whole(len(draw.RatePoints(b))), list[7][4])
}

func TestTheComparisonTablesHoldTheRowsOfComparison(t *testing.T) {
	page := made(t)["comparison.html"]
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	season := b.ComparisonOf("2030-31")
	require.NotNil(t, season)
	measures := parsedTable(t, page, "measures-2030-31")
	const none, roads = format.Missing, "roads: no worse"
	assert.Equal(t, [][]string{
		{"Bare lane after, h, capped at 24 h", "3.4", "3.5", "−0.1", "−0.2", "0.0", none},
		{"1 + hours to bare lane, of the material", none, none, "0.97", "0.90", "1.05", roads},
		{"Not bare within 24 h, % of route-storms with reports, since acetate began", "2", "2", "+0.3", "−2.9", "+3.4", roads},
		{"Pounds per lane-mile of route, a storm", "680", "691", "0.99", "0.94", "1.04", none},
		{"Pounds, of the material", none, none, "1.02", "0.95", "1.09", "about the same; " + roads},
		{"Pounds, of the material, at the latest experience", none, none, "0.97", "0.93", "1.03", "on the path; " + roads},
		{"Applications a storm", "2.00", "2.26", "0.92", "0.87", "0.97", none},
		{"Applications, of the material", none, none, "0.93", "0.88", "0.98", "fewer; " + roads},
		{"Pounds per treated lane-mile", "340", "305", "1.11", none, none, none},
		{"Cost per lane-mile of route, USD", "495", "28", "17.94", none, none, none},
		{"Chloride kept off by all acetate routes, lb", "1,303,565", none, none, none, none, none}}, measures,
		"what the routes got has no verdict, what is of the material has the roads beside it")

	pairs, rows := parsedTable(t, page, "pairs-table-2030-31"), pages.ComparisonRows(b, "2030-31")
	require.Len(t, pairs, len(rows))
	require.Greater(t, len(rows), 60)
	for i, r := range rows {
		assert.Equal(t, []string{r.StormID, b.ZoneName(r.ZoneID), us.Rate(r.AcetateStormLb), us.Rate(r.ChlorideStormLb),
			format.Ratios(r.StormRatio), us.Rate(r.AcetateRate), us.Rate(r.ChlorideRate)}, pairs[i][:7])
	}
}

// The handbook's rates for salt stand beside solid chloride only.
func TestTheHandbookStandsBesideSaltOnly(t *testing.T) {
	rows := parsedTable(t, made(t)["comparison.html"], "used-table")
	require.Len(t, rows, 3)
	for _, cells := range rows {
		switch {
		case strings.HasPrefix(cells[0], "cma"):
			assert.Equal(t, []string{format.Missing, "salt; not a floor for acetate"}, cells[10:12])
		case cells[1] == "under 15 °F":
			assert.Equal(t, []string{format.Missing, "plow; no chemicals; see local policy"}, cells[10:12])
		default:
			assert.Equal(t, []string{"150–250 / 100–200", format.Missing}, cells[10:12],
				"Maine DOT treatment table, NTL 14387 appendix: 28 to 32 F")
		}
	}
}

func TestCautionsAlwaysStandOnTheLearningAndComparisonPages(t *testing.T) {
	files := made(t)
	learning, comparison := html.UnescapeString(files["learning.html"]), html.UnescapeString(files["comparison.html"])
	assert.Contains(t, learning, words.Say(us, "no rate"))
	assert.Contains(t, learning, "With reserve: so far only, for the season is still open; too few weighed loads to check what was "+
		"reported.")
	assert.Contains(t, comparison, us.UnitWords(words.Say(us, "pounds caution")))
	assert.Contains(t, comparison, "On these 4 acetate and 10 chloride routes")
}

func TestTooFewStormsAreDrawn(t *testing.T) {
	data := madeDistrict()
	data.LearningCurves, data.LearningResiduals = nil, nil
	data.Learning = []rows.Learning{{CrewID: rows.AllCrews, Storms: 3, Rows: 9, Verdict: "too early; so far", ServiceVerdict: "no reports"}}
	for i := range data.Comparison {
		if data.Comparison[i].StormID == "" {
			data.Comparison[i] = rows.Comparison{Season: data.Comparison[i].Season, AcetateRoutes: new(int64(1)),
				ChlorideRoutes: new(int64(1)), SeasonVerdicts: rows.SeasonVerdicts{Storms: 2, Verdict: rows.TooEarly,
					ApplicationsVerdict: rows.TooEarly, RegainVerdict: "not known"}}
		}
	}
	files := built(t, data)
	assert.Contains(t, files["learning.html"], ">too few storms (3 of 5)</text>")
	assert.Contains(t, files["comparison.html"], ">too few storms (2 of 5)</text>")
	assert.NotContains(t, files["learning.html"], "NaN")
	assert.NotContains(t, files["comparison.html"], "NaN")
	data.Learning[0].Storms = 6
	assert.Contains(t, built(t, data)["learning.html"], ">too few rates (9 of 12)</text>")
	data.Learning[0].Verdict = "no clear trend"
	assert.Contains(t, built(t, data)["learning.html"], ">the fit gives no curve; the reason stands below</text>")
}

// TestRatesOfTheFitHaveTheirRoadsBeside: the middle splits the values: at most half are below it and at most half above.
func TestRatesOfTheFitHaveTheirRoadsBeside(t *testing.T) {
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	isMiddle := func(shown string, values []float64) {
		middle, err := strconv.ParseFloat(strings.ReplaceAll(shown, "−", "-"), 64)
		require.NoError(t, err)
		below, above := 0, 0
		for _, v := range values {
			if v < middle-0.06 { // shown to a tenth
				below++
			}
			if v > middle+0.06 {
				above++
			}
		}
		assert.LessOrEqual(t, max(below, above), len(values)/2, shown)
	}
	of := func(belongs func(book.RatePoint) bool) (regainH, surfaceF []float64) {
		for _, p := range draw.RatePoints(b) {
			if !belongs(p) {
				continue
			}
			for _, row := range b.Data.StormRoutes {
				if row.StormID == p.StormID && row.RouteID == p.RouteID && row.MaterialClass == rows.Acetate && row.Form == rows.Solid &&
					row.CappedRegainH != nil {
					regainH = append(regainH, *row.CappedRegainH)
				}
			}
			for _, row := range b.Data.Storms {
				if row.StormID == p.StormID && row.ZoneID == b.Routes[p.RouteID].ZoneID {
					surfaceF = append(surfaceF, *row.SurfaceFMin)
				}
			}
		}
		return regainH, surfaceF
	}
	files := made(t)
	learning, curve, bases := parsedTable(t, files["learning.html"], "learning-table"), parsedTable(t, files["learning.html"],
		"curve-table"), parsedTable(t, files["learning.html"], "bases-table")
	all := func(book.RatePoint) bool { return true }
	for cells, belongs := range map[*[]string]func(book.RatePoint) bool{
		&learning[0]: all, &curve[7]: all, &bases[0]: all, &bases[1]: all,
		&learning[1]: func(p book.RatePoint) bool { return p.CrewID == b.Data.Learning[1].CrewID },
		&curve[1]:    func(p book.RatePoint) bool { return p.Prior <= 1 },
	} {
		regainH, surfaceF := of(belongs)
		require.Greater(t, len(regainH), 5)
		isMiddle((*cells)[len(*cells)-3], regainH)
		isMiddle((*cells)[len(*cells)-1], surfaceF)
	}
	assert.Nil(t, pages.Median(nil))
}
