package calibration

import (
	_ "embed"
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
)

//go:embed card.gohtml
var cardPage string

var cardTemplate = template.Must(template.New("card").Funcs(template.FuncMap{
	"n": Number, "gate": gateText, "lanes": lanesText, "pct": func(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) },
}).Parse(cardPage))

// Number writes pounds, speeds and the like for reading: three significant digits, whole numbers whole. A missing value (0 or not finite)
// is a dash.
func Number(x float64) string {
	switch size := math.Abs(x); {
	case x == 0 || math.IsNaN(x) || math.IsInf(x, 0):
		return "-"
	case size >= 100 || x == math.Trunc(x):
		return strconv.FormatFloat(x, 'f', 0, 64)
	case size >= 10:
		return strconv.FormatFloat(x, 'f', 1, 64)
	}
	return strconv.FormatFloat(x, 'f', 2, 64)
}

// gateText writes an opening in inches, to a hundredth.
func gateText(gateIn float64) string {
	return strings.TrimSuffix(strings.TrimRight(strconv.FormatFloat(gateIn, 'f', 2, 64), "0"), ".")
}

func lanesText(lanes float64) string {
	if lanes == 1 {
		return "1 lane"
	}
	return Number(lanes) + " lanes"
}

// view is a card with the words that every card has.
type view struct {
	*Card
	Safety, Steps      []string
	Footing, Deference string
	EstimateLabel      string
	WantedSentence     string
}

func (c *Card) view() view {
	v := view{Card: c, Safety: Safety, Steps: Steps, Footing: Footing, Deference: Deference, EstimateLabel: EstimateLabel}
	if c.Wanted != nil {
		v.WantedSentence = c.Wanted.Sentence(c.Lanes, c.SpeedMph)
	}
	return v
}

// WriteHTML writes the card as a page of its own, without script or outside file, that prints on one sheet of Letter or A4.
func (c *Card) WriteHTML(w io.Writer) error { return cardTemplate.Execute(w, c.view()) }

// WriteText writes the card as plain text.
func (c *Card) WriteText(w io.Writer) error {
	b := &strings.Builder{}
	fmt.Fprintf(b, "Spreader card: truck %s, %s (%s)\n%s; from %s; %s, %s mph\n", c.TruckID, c.MaterialName, c.MaterialID, c.District,
		c.Basis, lanesText(c.Lanes), Number(c.SpeedMph))
	if c.IsEstimate {
		fmt.Fprintf(b, "%s\n", strings.ToUpper(EstimateLabel))
	}
	list(b, "Before anything turns", Safety)
	if c.Wanted != nil {
		fmt.Fprintf(b, "\n%s\n", c.Wanted.Sentence(c.Lanes, c.SpeedMph))
	}
	c.writeTables(b)
	list(b, "Mind", c.Notes)
	list(b, "How to take the samples", Steps)
	fmt.Fprintf(b, "\n%s\n%s\n", Footing, Deference)
	_, err := io.WriteString(w, b.String())
	return err
}

func list(b *strings.Builder, title string, lines []string) {
	if len(lines) == 0 {
		return
	}
	fmt.Fprintf(b, "\n%s\n", title)
	for _, line := range lines {
		fmt.Fprintf(b, "- %s\n", line)
	}
}

// writeTables writes the figures in columns.
func (c *Card) writeTables(b *strings.Builder) {
	table := func(title string, header []string, rows [][]string) {
		if len(rows) == 0 {
			return
		}
		fmt.Fprintf(b, "\n%s\n", title)
		out := tabwriter.NewWriter(b, 0, 0, 2, ' ', tabwriter.AlignRight)
		for _, row := range append([][]string{header}, rows...) {
			fmt.Fprintln(out, strings.Join(row, "\t")+"\t")
		}
		_ = out.Flush() // a strings.Builder takes everything
	}
	var gates, miles, lanes, rates, records, others [][]string
	for _, g := range c.Gates {
		gates = append(gates, []string{gateText(g.GateIn), g.TestedDate, strconv.Itoa(g.Samples), fmt.Sprintf("%.0f %%", 100*g.SpreadShare),
			Number(g.LbPerRev), Number(g.LbPerMin)})
	}
	mileHead, laneHead, otherHead := []string{"gate in"}, []string{"gate in"}, []string{"material", "x density"}
	for i, row := range c.Miles {
		miles = append(miles, append([]string{gateText(row.GateIn)}, numbers(row.LbPerMile)...))
		lanes = append(lanes, append([]string{gateText(row.GateIn)}, numbers(c.LaneMiles[i].LbPerLaneMi)...))
		otherHead = append(otherHead, gateText(row.GateIn)+" in")
		if i == 0 {
			for _, speed := range row.SpeedsMph {
				mileHead = append(mileHead, Number(speed)+" mph")
			}
			for _, n := range c.LaneMiles[0].Lanes {
				laneHead = append(laneHead, lanesText(n))
			}
		}
	}
	for _, w := range c.Rates {
		rates = append(rates, []string{Number(w.RateLbPerLaneMi), gateText(w.GateIn)})
	}
	for _, k := range c.OnRecord {
		records = append(records, []string{k.CalibratedDate, gateText(k.GateIn), Number(k.SpeedMph), Number(k.LbPerMile),
			Number(k.CardLbPerMile)})
	}
	for _, o := range c.Others {
		others = append(others, append([]string{o.MaterialID, fmt.Sprintf("%.3f", o.DensityRatio)}, numbers(o.LbPerLaneMi)...))
	}
	setting := fmt.Sprintf(" at %s mph", Number(c.SpeedMph))
	table("What was caught", []string{"gate in", "tested", "samples", "apart", "lb/turn", "lb/min"}, gates)
	table("Pounds per mile", mileHead, miles)
	table("Pounds per lane-mile"+setting, laneHead, lanes)
	table("Gate for a rate, "+lanesText(c.Lanes)+setting, []string{"lb/lane-mile", "gate in"}, rates)
	table("Calibrations on record, lb/mile", []string{"date", "gate in", "mph", "measured", "card"}, records)
	table("Other materials, lb/lane-mile, "+lanesText(c.Lanes)+setting+": "+EstimateLabel, otherHead, others)
}

func numbers(values []float64) []string {
	out := make([]string, len(values))
	for i, v := range values {
		out[i] = Number(v)
	}
	return out
}
