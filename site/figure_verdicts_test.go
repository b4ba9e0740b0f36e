package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/site/book"
	"lanetally/site/draw"
	"lanetally/site/format"
	"lanetally/site/pages"
)

func TestLogScale(t *testing.T) {
	s := draw.SpanningLog([]float64{210, 0, 1900}, draw.MassSteps, 10, 110)
	assert.Equal(t, draw.LogScale{Low: 200, High: 2000, Top: 10, Bottom: 110}, s)
	assert.InDelta(t, 110, s.Y(200), 1e-9)
	assert.InDelta(t, 10, s.Y(2000), 1e-9)
	assert.InDelta(t, 60, s.Y(632.455532), 1e-6, "the middle of a log axis is the geometric mean of its ends")
	assert.Equal(t, []float64{200, 500, 1000, 2000}, s.TicksOf(draw.MassSteps))
	one := draw.SpanningLog([]float64{1, 1}, draw.RatioSteps, 0, 100)
	assert.Less(t, one.Low, 1.0)
	assert.Greater(t, one.High, 1.0)
	none := draw.SpanningLog(nil, draw.RatioSteps, 0, 100)
	assert.Less(t, none.Low, none.High)
	tiny := draw.SpanningLog([]float64{0.001, 1e6}, draw.RatioSteps, 0, 100)
	assert.Less(t, tiny.Low, 0.002)
	assert.Greater(t, tiny.High, 9e5)
}

func TestAStormWithoutARatioIsOutlined(t *testing.T) {
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	rows := pages.ComparisonRows(b, "2030-31")
	without, with := 0, 0
	for _, r := range rows {
		if r.StormRatio == nil {
			without++
		} else {
			with++
		}
	}
	picture := string(draw.ComparisonFigure(b, "2030-31", rows))
	assert.Equal(t, 2*without, strings.Count(picture, `class="mark acetate open"`)+strings.Count(picture, `class="mark chloride open"`))
	assert.Equal(t, with, strings.Count(picture, `class="ratiodot"`))
	assert.Equal(t, 1, strings.Count(picture, `class="seasonbar"`))
	assert.Equal(t, 1, strings.Count(picture, `class="sameband"`))
	assert.Contains(t, picture, ">season 0.99</text>")
	placed := draw.ComparisonOrders(b, rows)
	require.NotEmpty(t, placed)
	assert.Equal(t, len(book.Marks(placed)), strings.Count(picture, `class="orderline"`), "orders are drawn on every trend")
	for _, s := range pages.ComparisonPage(b).Sections {
		if s.ID == "season-2030-31" {
			assert.Contains(t, s.Figures[len(s.Figures)-1].Caption, placed[0].Text)
		}
	}
}

func TestTheCurveHasItsBandsAndOrders(t *testing.T) {
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	points := draw.RatePoints(b)
	common := string(draw.CommonCurve(b, points, draw.ScalesOfCurves(b, points)))
	assert.Equal(t, len(points), strings.Count(common, `class="ratedot`))
	assert.Equal(t, 1, strings.Count(common, `class="ratedot outlier"`))
	assert.Equal(t, 1, strings.Count(common, `class="fitband"`))
	assert.Equal(t, 1, strings.Count(common, `class="startband"`))
	assert.Contains(t, common, ">order 1</text>")
	// 400 lb per lane-mile at 1.41 times salt: 1.25 and 1.50 times salt are 354.6 and 425.5, worked by hand.
	assert.Contains(t, common, "1.25 to 1.50 times salt: 355 to 426 lb per lane-mile")
	sections := pages.LearningPage(b).Sections
	small := 0
	for _, s := range sections {
		for _, f := range s.Figures {
			if f.IsSmall {
				small++
				assert.Contains(t, string(f.Drawing), `class="fitline common"`, "the common curve stands behind every crew's")
			}
		}
	}
	assert.Equal(t, len(b.Data.Learning)-1, small)
}

func TestEveryKindHasItsOwnSign(t *testing.T) {
	signs := map[string]bool{}
	for _, kind := range draw.FallKinds {
		d := &draw.Drawing{}
		kind.Sign(d, 10, 10, "")
		signs[d.Body.String()] = true
	}
	assert.Len(t, signs, 4)
	b, err := book.NewBook(madeDistrict())
	require.NoError(t, err)
	for _, e := range b.Events {
		picture := string(draw.StormFigure(b, e.Zones[0]))
		name := map[string]string{"mixed": "rain"}[e.Zones[0].Kind]
		if name == "" {
			name = e.Zones[0].Kind
		}
		assert.Contains(t, picture, ": "+name+"</title>", e.ID)
		assert.Contains(t, picture, ">caution, 20</text>")
		assert.Contains(t, picture, ">onset ")
		assert.Contains(t, picture, ">Visibility</text>")
		if e.IsOpen {
			assert.Contains(t, picture, ">still open</text>")
		} else {
			assert.Contains(t, picture, ">end ")
		}
	}
}

func TestAZoneWithoutReportsSaysSo(t *testing.T) {
	data := madeDistrict()
	data.Observations = nil
	b, err := book.NewBook(data)
	require.NoError(t, err)
	picture := string(draw.StormFigure(b, b.Events[0].Zones[0]))
	assert.Equal(t, 4, strings.Count(picture, ">no reports</text>"), "temperature, water, wind, visibility")
	assert.Contains(t, picture, ">no kind reported</text>")
}

func TestOutsidePassesHaveTheirReason(t *testing.T) {
	files := made(t)
	passes := parsedTable(t, files["routes/r_01.html"], "outside-passes")
	require.Len(t, passes, pages.MostOutside)
	assert.Equal(t, "refreeze", passes[0][6], "the latest pass first")
	assert.Equal(t, "no frost or refreeze seen", passes[1][6])
	reasons := parsedTable(t, files["routes.html"], "outside-reasons")
	require.Len(t, reasons, 1)
	assert.Equal(t, []string{"1", "1", "43"}, reasons[0][2:])
	frosts := parsedTable(t, files["routes.html"], "frosts")
	assert.Equal(t, [][]string{{"Upper meadow", "Frost", "1", "3.0"}, {"Upper meadow", "Refreeze", "1", "2.0"}}, frosts)
}

func TestMethodsHoldTheWeatherTables(t *testing.T) {
	page := made(t)["methods.html"]
	assert.Equal(t, [][]string{{"2030-31", "26", "24", "23"}}, parsedTable(t, page, "gaps-table"))
	severity := parsedTable(t, page, "severity-table")
	require.Len(t, severity, 2)
	assert.Equal(t, []string{"ST", "heavy snow", "6", format.Missing, "inch in 24 h", "1", "Nixon and Qiu 2005", "from memory"},
		severity[0])
	assert.Contains(t, page, "temperature part only")
	assert.Contains(t, parsedTable(t, page, "season-severity-table")[0], "439")
}
