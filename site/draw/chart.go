package draw

import (
	"bytes"
	"encoding/json"
	"fmt"
	"html/template"
	"math"
	"slices"
	"strings"

	"github.com/go-echarts/go-echarts/v2/charts"
	"github.com/go-echarts/go-echarts/v2/opts"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// Course is what a chart of rates shows, one entry a storm.
type Course struct {
	format.Units
	Storms  []string // axis labels
	Orders  []book.OrderMark
	ids     []string
	isOpen  []bool
	surface []*float64
	classes []classCourse
}

// classCourse is the course of one class, one entry a storm: rates, and hours to bare lane; nil leaves a gap.
type classCourse struct {
	class        string
	rate, regain []*float64
}

// NewCourse is a course of both sides of the comparison, without a storm.
func NewCourse(u format.Units) Course {
	return Course{Units: u, classes: []classCourse{{class: u.CompareClass()}, {class: u.BesideClass()}}}
}

// Add puts a class's figures of a storm onto the course; the rows of a storm come one after the other, and a class that is of neither side
// is left out.
func (c *Course) Add(stormID, label string, isOpen bool, class string, rate, regainH, surfaceF *float64) {
	if !book.IsRated(c.Units.Classes, class) {
		return
	}
	if n := len(c.ids); n == 0 || c.ids[n-1] != stormID {
		c.ids, c.Storms = append(c.ids, stormID), append(c.Storms, label)
		c.isOpen, c.surface = append(c.isOpen, isOpen), append(c.surface, nil)
		for i := range c.classes {
			c.classes[i].rate, c.classes[i].regain = append(c.classes[i].rate, nil), append(c.classes[i].regain, nil)
		}
	}
	n := len(c.ids) - 1
	for _, course := range c.classes {
		if course.class == class {
			course.rate[n], course.regain[n] = rate, regainH
		}
	}
	c.surface[n] = rows.Lower(c.surface[n], surfaceF)
}

// The three panels of a chart of rates share the axis of storms.
const (
	ratePanel = iota
	regainPanel
	surfacePanel
)

var colours = map[string]string{rows.Acetate: "var(--acetate)", rows.Chloride: "var(--chloride)"}
var symbols = map[string]string{rows.Acetate: "circle", rows.Chloride: "diamond"}

// CourseChart draws rates of each class over storms, with hours to bare lane and the lowest pavement temperature beneath
// on the same axis: pounds never stand without road state and temperature.
func CourseChart(id, tableID, title, label string, c Course) (table.Chart, error) {
	line := charts.NewLine()
	line.ChartID = id
	line.SetGlobalOptions(
		charts.WithAnimation(false),
		charts.WithLegendOpts(opts.Legend{Show: opts.Bool(false)}),
		charts.WithToolboxOpts(opts.Toolbox{Show: opts.Bool(false)}),
		charts.WithTooltipOpts(opts.Tooltip{Show: opts.Bool(true), Trigger: "axis", BackgroundColor: "var(--paper)",
			BorderColor: "var(--rule)",
			AxisPointer: &opts.AxisPointer{Type: "line"}}),
		charts.WithGridOpts(panelGrid("46", "200"), panelGrid("304", "76"), panelGrid("432", "70")),
		charts.WithXAxisOpts(stormAxis(c.Storms, ratePanel)),
		charts.WithYAxisOpts(valueAxis(c.UnitWords("rate, lb per lane-mile"), ratePanel)),
	)
	line.ExtendXAxis(stormAxis(c.Storms, regainPanel), stormAxis(c.Storms, surfacePanel))
	line.ExtendYAxis(valueAxis(words.Say(c.Units, "regain title", c.hasRegain()), regainPanel),
		valueAxis(c.UnitWords("lowest pavement temperature, °F"), surfacePanel))
	line.SetXAxis(c.Storms)
	for i, class := range c.classes {
		addRates(line, c, class, i == 0)
	}
	bar := charts.NewBar()
	for _, class := range c.classes {
		bar.AddSeries(class.class+", hours to bare, capped", bars(class.regain),
			charts.WithBarChartOpts(opts.BarChart{XAxisIndex: regainPanel, YAxisIndex: regainPanel, BarGap: "10%", BarCategoryGap: "40%"}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: colours[c.Sign(class.class)]}))
	}
	line.Overlap(bar)
	addSurface(line, c)
	line.Validate()
	option, err := encodeOption(line.JSON())
	return table.Chart{ID: id, TableID: tableID, Title: title, Label: label, Option: option}, err
}

// hasRegain tells whether any storm has hours to bare lane.
func (c Course) hasRegain() bool {
	return slices.ContainsFunc(c.classes, func(class classCourse) bool {
		return slices.ContainsFunc(class.regain, func(h *float64) bool { return h != nil })
	})
}

func panelGrid(top, height string) opts.Grid {
	return opts.Grid{Left: "48", Right: "66", Top: top, Height: height}
}

func stormAxis(storms []string, panel int) opts.XAxis {
	return opts.XAxis{Type: "category", Data: storms, GridIndex: panel, Show: opts.Bool(true),
		AxisLine: &opts.AxisLine{OnZero: opts.Bool(false), LineStyle: &opts.LineStyle{Color: "var(--rule-strong)"}},
		AxisTick: &opts.AxisTick{Show: opts.Bool(false)},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(panel != regainPanel), HideOverlap: opts.Bool(true), Color: "var(--ink-soft)",
			FontSize: 12}}
}

func valueAxis(name string, panel int) opts.YAxis {
	steps := 4
	if panel != ratePanel {
		steps = 2
	}
	return opts.YAxis{Type: "value", Name: name, NameLocation: "end", GridIndex: panel, SplitNumber: steps,
		Scale:     opts.Bool(panel == surfacePanel),
		SplitLine: &opts.SplitLine{Show: opts.Bool(true), LineStyle: &opts.LineStyle{Color: "var(--rule)"}},
		AxisLabel: &opts.AxisLabel{Show: opts.Bool(true), Color: "var(--ink-soft)", FontSize: 12}}
}

// openSuffix ends the name of a series of open storms.
const openSuffix = ", open storm"

// addRates draws a class's closed storms as a line and the open ones as a dashed line that begins at the last closed one.
func addRates(line *charts.Line, c Course, class classCourse, isFirst bool) {
	style := func(kind string) []charts.SeriesOpts {
		return []charts.SeriesOpts{
			charts.WithLineChartOpts(opts.LineChart{Symbol: symbols[c.Sign(class.class)], SymbolSize: 8, ShowSymbol: opts.Bool(true)}),
			charts.WithLineStyleOpts(opts.LineStyle{Color: colours[c.Sign(class.class)], Width: 2, Type: kind}),
			charts.WithItemStyleOpts(opts.ItemStyle{Color: colours[c.Sign(class.class)]})}
	}
	closed, open, hasOpen := partOpen(c.Each(format.MassRate, class.rate), c.isOpen)
	closedStyle := style("solid")
	if isFirst && len(c.Orders) > 0 {
		closedStyle = append(closedStyle, orderLines(c.Orders)...)
	}
	line.AddSeries(class.class, lines(closed), closedStyle...)
	if hasOpen {
		line.AddSeries(class.class+openSuffix, lines(open), style("dashed")...)
	}
}

// partOpen parts values into those of closed storms, and those of open ones with the last closed value before them.
func partOpen(values []*float64, isOpen []bool) (closed, open []*float64, hasOpen bool) {
	closed, open = make([]*float64, len(values)), make([]*float64, len(values))
	last := -1
	for i, v := range values {
		switch {
		case v == nil:
		case !isOpen[i]:
			closed[i], last = v, i
		default:
			open[i], hasOpen = v, true
			if last >= 0 {
				open[last] = values[last]
			}
		}
	}
	return closed, open, hasOpen
}

func orderLines(marks []book.OrderMark) []charts.SeriesOpts {
	var items []opts.MarkLineNameXAxisItem
	for _, m := range marks {
		items = append(items, opts.MarkLineNameXAxisItem{Name: m.Name, XAxis: m.At})
	}
	return []charts.SeriesOpts{
		charts.WithMarkLineNameXAxisItemOpts(items...),
		charts.WithMarkLineStyleOpts(opts.MarkLineStyle{Symbol: []string{"none", "none"},
			Label:     &opts.Label{Show: opts.Bool(true), Formatter: "{b}", Color: "var(--ink-soft)", Position: "end"},
			LineStyle: &opts.LineStyle{Color: "var(--ink-soft)", Type: "dotted", Width: 1.5}})}
}

func addSurface(line *charts.Line, c Course) {
	line.AddSeries(c.UnitWords("lowest pavement, °F"), lines(c.Each(format.Temperature, c.surface)),
		charts.WithLineChartOpts(opts.LineChart{XAxisIndex: surfacePanel, YAxisIndex: surfacePanel, Symbol: "rect", SymbolSize: 6,
			ShowSymbol: opts.Bool(true)}),
		charts.WithLineStyleOpts(opts.LineStyle{Color: "var(--ink-soft)", Width: 1.5}),
		charts.WithItemStyleOpts(opts.ItemStyle{Color: "var(--ink-soft)"}))
}

// shown is a value for a chart, to a tenth, or the sign that leaves a gap.
func shown(v *float64) any {
	if v == nil {
		return "-"
	}
	return math.Round(*v*10) / 10
}

func lines(values []*float64) []opts.LineData {
	data := make([]opts.LineData, len(values))
	for i, v := range values {
		data[i].Value = shown(v)
	}
	return data
}

func bars(values []*float64) []opts.BarData {
	data := make([]opts.BarData, len(values))
	for i, v := range values {
		data[i].Value = shown(v)
	}
	return data
}

// encodeOption turns a chart's options into JSON that cannot leave its script element: encoding/json writes <, > and &
// as escapes. Axis names are set to begin at the axis, which the option builder cannot say.
func encodeOption(option map[string]any) (template.JS, error) {
	raw, err := json.Marshal(option)
	if err != nil {
		return "", fmt.Errorf("chart options: %w", err)
	}
	var tree map[string]any
	decoder := json.NewDecoder(bytes.NewReader(raw))
	decoder.UseNumber()
	if err := decoder.Decode(&tree); err != nil {
		return "", fmt.Errorf("chart options: %w", err)
	}
	finish(tree)
	raw, err = json.Marshal(tree)
	return template.JS(raw), err // #nosec G203 -- encoding/json escapes <, > and &
}

// finish sets what the option builder has no field for.
func finish(tree map[string]any) {
	delete(tree, "toolbox")
	delete(tree, "legend")
	tree["textStyle"] = map[string]any{"fontFamily": "system-ui, sans-serif", "color": "var(--ink)"}
	if axes, ok := tree["yAxis"].([]any); ok {
		for _, axis := range axes {
			axis.(map[string]any)["nameTextStyle"] = map[string]any{"align": "left", "padding": []int{0, 0, 2, -40}, "color": "var(--ink)",
				"fontWeight": "bold"}
		}
	}
	if tip, ok := tree["tooltip"].(map[string]any); ok {
		tip["confine"], tip["transitionDuration"] = true, 0
		tip["textStyle"] = map[string]any{"color": "var(--ink)"}
	}
	series, _ := tree["series"].([]any)
	for i, s := range series {
		one := s.(map[string]any)
		one["emphasis"] = map[string]any{"disabled": true}
		nameAtEnd(one, series[i+1:])
	}
	if pointer, ok := tree["axisPointer"].(map[string]any); ok {
		pointer["link"] = []any{map[string]any{"xAxisIndex": "all"}}
	} else {
		tree["axisPointer"] = map[string]any{"link": []any{map[string]any{"xAxisIndex": "all"}}}
	}
}

// nameAtEnd writes a class's name where its line ends, in place of a legend: at the dashed part, where one follows. Names
// that would lie on each other are moved apart.
func nameAtEnd(series map[string]any, following []any) {
	name, _ := series["name"].(string)
	class := strings.TrimSuffix(name, openSuffix)
	if symbol, _ := series["symbol"].(string); symbol != symbols[rows.Acetate] && symbol != symbols[rows.Chloride] ||
		slices.ContainsFunc(following, func(s any) bool { return s.(map[string]any)["name"] == name+openSuffix }) {
		return
	}
	series["endLabel"] = map[string]any{"show": true, "formatter": class, "color": "var(--ink)", "fontSize": 12, "lineHeight": 17,
		"distance": 6}
	series["labelLayout"] = map[string]any{"moveOverlap": "shiftY"}
}
