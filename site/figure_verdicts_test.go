package site

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func TestLogScale(t *testing.T) {
	s := spanningLog([]float64{210, 0, 1900}, massSteps, 10, 110)
	assert.Equal(t, logScale{200, 2000, 10, 110}, s)
	assert.InDelta(t, 110, s.y(200), 1e-9)
	assert.InDelta(t, 10, s.y(2000), 1e-9)
	assert.InDelta(t, 60, s.y(632.455532), 1e-6, "the middle of a log axis is the geometric mean of its ends")
	assert.Equal(t, []float64{200, 500, 1000, 2000}, s.ticksOf(massSteps))
	one := spanningLog([]float64{1, 1}, ratioSteps, 0, 100)
	assert.Less(t, one.low, 1.0)
	assert.Greater(t, one.high, 1.0)
	none := spanningLog(nil, ratioSteps, 0, 100)
	assert.Less(t, none.low, none.high)
	tiny := spanningLog([]float64{0.001, 1e6}, ratioSteps, 0, 100)
	assert.Less(t, tiny.low, 0.002)
	assert.Greater(t, tiny.high, 9e5)
}

func TestAStormWithoutARatioIsOutlined(t *testing.T) {
	b, err := newBook(madeDistrict())
	require.NoError(t, err)
	rows := b.comparisonRows("2030-31")
	without, with := 0, 0
	for _, r := range rows {
		if r.StormRatio == nil {
			without++
		} else {
			with++
		}
	}
	picture := string(b.comparisonFigure("2030-31", rows))
	assert.Equal(t, 2*without, strings.Count(picture, `class="mark acetate open"`)+strings.Count(picture, `class="mark chloride open"`))
	assert.Equal(t, with, strings.Count(picture, `class="ratiodot"`))
	assert.Equal(t, 1, strings.Count(picture, `class="seasonbar"`))
	assert.Equal(t, 1, strings.Count(picture, `class="sameband"`))
	assert.Contains(t, picture, ">season 0.99</text>")
	placed := b.comparisonOrders(rows)
	require.NotEmpty(t, placed)
	assert.Equal(t, len(marks(placed)), strings.Count(picture, `class="orderline"`), "orders are drawn on every trend")
	for _, s := range b.comparisonPage().Sections {
		if s.ID == "season-2030-31" {
			assert.Contains(t, s.Figures[len(s.Figures)-1].Caption, placed[0].Text)
		}
	}
}

func TestTheCurveHasItsBandsAndOrders(t *testing.T) {
	b, err := newBook(madeDistrict())
	require.NoError(t, err)
	points := b.ratePoints()
	common := string(b.commonCurve(points, b.curveScales(points)))
	assert.Equal(t, len(points), strings.Count(common, `class="ratedot`))
	assert.Equal(t, 1, strings.Count(common, `class="ratedot outlier"`))
	assert.Equal(t, 1, strings.Count(common, `class="fitband"`))
	assert.Equal(t, 1, strings.Count(common, `class="startband"`))
	assert.Contains(t, common, ">order 1</text>")
	// 400 lb per lane-mile at 1.41 times salt: 1.25 and 1.50 times salt are 354.6 and 425.5, worked by hand.
	assert.Contains(t, common, "1.25 to 1.50 times salt: 355 to 426 lb per lane-mile")
	sections := b.learningPage().Sections
	small := 0
	for _, s := range sections {
		for _, f := range s.Figures {
			if f.IsSmall {
				small++
				assert.Contains(t, string(f.Drawing), `class="fitline common"`, "the common curve stands behind every crew's")
			}
		}
	}
	assert.Equal(t, len(b.data.Learning)-1, small)
}

func TestEveryKindHasItsOwnSign(t *testing.T) {
	signs := map[string]bool{}
	for _, kind := range fallKinds {
		d := &drawing{}
		kind.sign(d, 10, 10, "")
		signs[d.body.String()] = true
	}
	assert.Len(t, signs, 4)
	b, err := newBook(madeDistrict())
	require.NoError(t, err)
	for _, e := range b.events {
		picture := string(b.stormFigure(e.Zones[0]))
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
	b, err := newBook(data)
	require.NoError(t, err)
	picture := string(b.stormFigure(b.events[0].Zones[0]))
	assert.Equal(t, 4, strings.Count(picture, ">no reports</text>"), "temperature, water, wind, visibility")
	assert.Contains(t, picture, ">no kind reported</text>")
}

func TestOutsidePassesHaveTheirReason(t *testing.T) {
	files := made(t)
	passes := parsedTable(t, files["routes/r_01.html"], "outside-passes")
	require.Len(t, passes, mostOutside)
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
	assert.Equal(t, []string{"ST", "heavy snow", "6", missing, "inch in 24 h", "1", "Nixon and Qiu 2005", "from memory"}, severity[0])
	assert.Contains(t, page, "temperature part only")
	assert.Contains(t, parsedTable(t, page, "season-severity-table")[0], "439")
}
