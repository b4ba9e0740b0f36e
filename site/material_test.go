package site

import (
	"html"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/pages"
	"lanetally/site/words"
)

func TestTheMaterialPageNamesTheTruckToCheck(t *testing.T) {
	page := made(t)["material.html"]
	text := html.UnescapeString(page)
	assert.Contains(t, text, "In the 2030-31 season weighed and spread pounds agree in 131 of 136 weighed weeks of 8 trucks; check the "+
		"setting of truck T4; 1 calibration due; the data reaches 9 Mar 2031")
	rows := parsedTable(t, page, "settings-to-check")
	require.Len(t, rows, 1, "no other truck is named")
	assert.Equal(t, []string{"T4", "cma", "Set for nacl? Each pound reported weighed 0.63 lb. Check the material setting before the " +
		"next load.", "3 Feb 2031 to 3 Mar 2031", "0.63", "30"}, rows[0])
	assert.Equal(t, 8, strings.Count(page, `class="small-figure"`), "a picture for each truck")
	assert.Equal(t, 5, strings.Count(page, `class="checkdot"`))
	for _, crew := range madeDistrict().Crews {
		assert.NotContains(t, page, ">"+crew.CrewID+"<", "no line names a crew")
	}
	assert.NotContains(t, strings.ToLower(text), "missing")
}

func TestTheTablesOfTheMaterialPageHoldTheRows(t *testing.T) {
	data, page := madeDistrict(), made(t)["material.html"]
	byKey := map[string]rows.Reconciliation{}
	for _, r := range data.Reconciliation {
		byKey[format.Date(r.Week)+r.TruckID] = r
	}
	weeks := parsedTable(t, page, "weeks-table")
	require.Len(t, weeks, 8*pages.ReconciledWeeks)
	for _, cells := range weeks {
		r, found := byKey[cells[0]+cells[1]]
		require.True(t, found, cells)
		assert.Equal(t, []string{r.MaterialID, format.Whole(r.Passes), format.Whole(r.Tickets), us.Pounds(r.SpreadLb),
			us.Pounds(r.WeighedLb), format.Ratios(r.Ratio), format.Ratios(r.RunningRatio)}, cells[2:9])
	}
	calibrations := parsedTable(t, page, "calibrations-table")
	require.Len(t, calibrations, 8)
	assert.Equal(t, []string{"T6", "cma", "never", format.Missing, "due"}, calibrations[0][:5], "those due come first")
	corrected := parsedTable(t, page, "corrected-table")
	require.Len(t, corrected, 2)
	b, err := book.NewBook(data)
	require.NoError(t, err)
	for i, class := range []string{rows.Acetate, rows.Chloride} {
		season := b.CountClass("2030-31", class).Season
		assert.Equal(t, []string{class, us.Rate(season.ReportedRate), us.Rate(season.WeighedRate), format.Whole(season.Weighed),
			format.Whole(season.RouteStorms)}, corrected[i][:5])
		assert.InDelta(t, 0.9, *season.WeighedRate / *season.ReportedRate, 1e-9, "the fixture's loads weigh nine tenths of the reports")
		assert.Less(t, season.Weighed, season.RouteStorms)
	}
}

func TestTheSettingSaysWhichPoundsLead(t *testing.T) {
	data := madeDistrict()
	storm, route := "storms/"+format.FileName(data.Storms[0].StormID)+".html", "routes/"+format.FileName("R01")+".html"
	for _, lead := range []string{"reported", "weighed"} {
		data.PoundsBasis = lead
		files := built(t, data)
		for _, name := range []string{storm, route} {
			reported, corrected := strings.Index(files[name], "lb per lane-mile, as reported<"), strings.Index(files[name],
				"lb per lane-mile, by weighed loads<")
			require.Positive(t, reported, name)
			require.Positive(t, corrected, name)
			assert.Equal(t, lead == "weighed", corrected < reported, "%s leads %s", lead, name)
			assert.Equal(t, lead == "weighed", strings.Contains(files[name], `<p class="lead">By weighed loads: `), name)
			assert.Contains(t, files[name], "By weighed loads: acetate")
		}
	}
	data.StormRoutesCorrected = nil
	tallied(data)
	files := built(t, data)
	assert.NotContains(t, files[storm], "weighed loads", "one column where nothing was weighed")
	assert.Contains(t, files[storm], "Pounds are as reported by spreaders. ")
}

func TestTheStockPageHoldsTheRows(t *testing.T) {
	data, page := madeDistrict(), made(t)["stock.html"]
	assert.Contains(t, page, ">9 Mar 2031</text>")
	assert.Contains(t, page, "; urea was never counted, so nothing is known of what is left; delivery time and reserve are yours; ")
	rows := parsedTable(t, page, "outlook-table")
	require.Len(t, rows, len(data.StockOutlook))
	for i, o := range data.StockOutlook[:2] {
		assert.Equal(t, []string{o.MaterialID, "9 Mar 2031", us.Pounds(o.OnHandLb), "24", us.Pounds(o.NeedP10Lb), us.Pounds(o.NeedP50Lb),
			us.Pounds(o.NeedP90Lb)}, rows[i][:7])
		assert.Equal(t, []string{o.Basis, o.Seed}, rows[i][8:10], "the seed is printed")
	}
	assert.Equal(t, "18 Mar 2031", rows[0][7])
	assert.Contains(t, page, ">order by 18 Mar 2031</text>")
	assert.Equal(t, 2, strings.Count(page, `class="fanband"`))
	assert.Contains(t, page, ">too early</text>")
	assert.Contains(t, page, "Delivery time and reserve are yours.")
	counts := parsedTable(t, page, "counts-table")
	require.Len(t, counts, 1)
	assert.Equal(t, []string{"3 Feb 2031, 09:00", "shed 1", "cma", "96,000", "120,000", "−24,000", "−20.0",
		"6 Jan 2031, 09:00"}, counts[0])
	assert.Contains(t, page, "shed 1 by 24,000 lb at the count of 10 Feb 2031")
	assert.Contains(t, page, "The book of shed 1 (cma) fell below 0", "the fixture's loads go below what was counted")
	assert.Len(t, parsedTable(t, page, "book-table"), pages.BookEvents)
}

func TestTheCostPageHoldsTheRows(t *testing.T) {
	data, page := madeDistrict(), made(t)["cost.html"]
	text := html.UnescapeString(page)
	assert.Contains(t, text, "In the 2030-31 season material cost $473,000 (acetate $412,000, chloride $61,000); 82\u00a0% of the "+
		"budget is used; by estimate acetate kept 1,303,565 lb of chloride off the roads (80 of 100 route-storms compared); the data "+
		"reaches")
	list := parsedTable(t, page, "season-costs-table")
	require.Len(t, list, 3)
	assert.Equal(t, []string{"2030-31", rows.Acetate, "412,000", "6,250", "140.25", "1,702", "12,000", "500,000", "88,000", "82",
		format.Missing, "1 Jul 2029 and later, last 1 Jan 2031"}, list[0])
	assert.Equal(t, format.Missing, list[2][2], "an unknown cost is never 0")
	even := parsedTable(t, page, "break-even-table")
	require.Len(t, even, 1)
	assert.Equal(t, []string{"95", "1.22", "0.05"}, even[0][9:12])
	assert.Contains(t, text, words.Say(us, "damage caution"))
	for _, caution := range append(words.WaterCautions, words.Say(us, "talk caution")) {
		assert.Contains(t, text, us.UnitWords(caution))
	}
	criteria := parsedTable(t, page, "criteria-table")
	require.Len(t, criteria, len(words.WaterCriteria))
	assert.Equal(t, []string{"230", "860", "250"}, []string{criteria[0][1], criteria[1][1], criteria[2][1]})
	talk := parsedTable(t, page, "talk-table")
	require.Len(t, talk, words.MostTalk+1)
	assert.Equal(t, "First after 2 h of snow", talk[words.MostTalk][0])
	storm := parsedTable(t, page, "storm-costs-table")
	assert.Equal(t, []string{"outside storms", rows.Acetate, format.Missing}, storm[0][:3], "a pass without a price leaves the cost empty")
	sum := 0.0
	for _, r := range data.StormRoutes {
		if r.StormID == data.Storms[len(data.Storms)-1].StormID && r.MaterialClass == rows.Chloride {
			sum += *r.CostUsd
		}
	}
	assert.Equal(t, []string{data.Storms[len(data.Storms)-1].StormID, rows.Chloride, format.Dollars(&sum)}, storm[2][:3])
}

func TestAttentionStandsInTheOrderOfWhatItCosts(t *testing.T) {
	data := madeDistrict()
	data.Learning[0].ServiceVerdict = "worse"
	b, err := book.NewBook(data)
	require.NoError(t, err)
	rows := pages.AttentionSection(b, "2030-31", "").Tables[0].Rows
	var kinds []string
	for _, row := range rows {
		kinds = append(kinds, row.Cells[0].Text)
	}
	assert.Equal(t, []string{"No log", "Service slower", "Wrong setting", "Stock running low", "Shrinkage", "Calibration due",
		"Same truck and begin"}, kinds)
	assert.Equal(t, "material.html#settings", rows[2].Cells[5].Href)
	assert.Equal(t, "stock.html#outlook", rows[3].Cells[5].Href)
	assert.Equal(t, "0.63 weighed for each 1 spread of cma in the weeks of 2031-02-10 to 2031-02-10: set for nacl? "+
		"Check the spreader setting", rows[2].Cells[4].Text)
	assert.Equal(t, "−24,000 lb between the count of cma on 2031-02-10 and its book since the count on 2031-02-10: "+
		"check tickets, deliveries and both counts", rows[4].Cells[4].Text)
	assert.Contains(t, rows[3].Cells[4].Text, "order by 18 Mar 2031; delivery time and reserve are yours")
}

func TestDependsOnSpreaderSettingsIsWordedAsItself(t *testing.T) {
	data := madeDistrict()
	data.Learning[0].Verdict = "depends on spreader settings; so far"
	files := built(t, data)
	learning, season := html.UnescapeString(files["learning.html"]), html.UnescapeString(files["index.html"])
	_, lead, _ := strings.Cut(learning, `<p class="lead">`)
	lead, _, _ = strings.Cut(lead, "</p>")
	assert.Contains(t, lead, "It depends on spreader settings whether acetate rates come down")
	assert.NotContains(t, lead, "no clear trend")
	assert.Contains(t, learning, "By reported pounds: rates are coming down (roads no worse); by weighed loads: no clear trend. So the "+
		"answer depends on spreader settings")
	assert.NotContains(t, season, "show no clear trend")
	bases := parsedTable(t, files["learning.html"], "bases-table")
	require.Len(t, bases, 2)
	assert.Equal(t, []string{"As reported by spreaders", "297", "47", "400", "310", "−3.6", "−5.7", "−1.4",
		"rates are coming down (roads no worse)", "3.5", "6",
		"22.9"}, bases[0])
	assert.Equal(t, []string{"By weighed loads", "99", "40", "372", "361", "−0.4", "−2.1", "+1.3", "no clear trend", "3.5", "6", "22.9"},
		bases[1])
}

func TestTheMethodsPageTellsTheAccounts(t *testing.T) {
	page := html.UnescapeString(made(t)["methods.html"])
	for _, part := range words.MethodsParts {
		assert.Contains(t, page, `id="`+part.ID+`"`)
		for _, term := range part.Terms {
			assert.Contains(t, page, us.UnitWords(term.Text))
			assert.NotEmpty(t, term.Source, term.Name)
		}
	}
}
