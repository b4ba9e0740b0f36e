package calibration

import (
	_ "embed"
	"errors"
	"fmt"
	"html/template"
	"io"
	"math"
	"strconv"
	"strings"
	"text/tabwriter"
	text "text/template"
)

// The card as a page and as plain text, in which a stroke ends a cell.
var (
	//go:embed card.gohtml
	cardPage string
	//go:embed card.gotext
	cardText string

	words = template.FuncMap{"n": Number, "gate": gateText, "lanes": lanesText, "upper": strings.ToUpper,
		"pct": func(share float64) string { return fmt.Sprintf("%.0f %%", 100*share) }}
	cardTemplate = template.Must(template.New("card").Funcs(words).Parse(cardPage))
	textTemplate = text.Must(text.New("card").Funcs(words).Parse(strings.ReplaceAll(cardText, "|", "\t")))
)

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
	v := view{Card: c, Safety: safetyLines, Steps: sampleLines, Footing: footing, Deference: deference, EstimateLabel: EstimateLabel}
	if c.Wanted != nil {
		v.WantedSentence = c.Wanted.Sentence(c.Lanes, c.SpeedMph)
	}
	return v
}

// WriteHTML writes the card as a page of its own, without script or outside file, that prints on one sheet of Letter or A4.
func (c *Card) WriteHTML(w io.Writer) error { return cardTemplate.Execute(w, c.view()) }

// WriteText writes the card as plain text, its figures in columns.
func (c *Card) WriteText(w io.Writer) error {
	columns := tabwriter.NewWriter(w, 0, 0, 2, ' ', tabwriter.AlignRight)
	return errors.Join(textTemplate.Execute(columns, c.view()), columns.Flush())
}
