package calibration

import (
	"context"
	"fmt"
	"net/url"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// chromium is where Debian installs the browser.
const chromium = "/usr/bin/chromium"

// newBrowser starts a browser that can reach no network.
func newBrowser(t *testing.T) context.Context {
	t.Helper()
	for _, tool := range []string{chromium, "pdfinfo", "pdftotext"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not installed: apt-get install chromium poppler-utils", tool)
		}
	}
	options := append(chromedp.DefaultExecAllocatorOptions[:], chromedp.ExecPath(chromium), chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.Env("TMPDIR="+t.TempDir()),
		chromedp.Flag("disable-background-networking", true), chromedp.Flag("host-resolver-rules", "MAP * ~NOTFOUND"))
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...) // the test's context ends before its cleanups
	t.Cleanup(stop)
	browser, end := chromedp.NewContext(allocator)
	t.Cleanup(end)
	limited, cancel := context.WithTimeout(browser, 3*time.Minute)
	t.Cleanup(cancel)
	t.Cleanup(func() { _ = chromedp.Cancel(limited) }) // a browser that is killed leaves files behind
	return limited
}

// printCard prints the page at path to a PDF on the paper, and gives its text and number of pages.
func printCard(t *testing.T, browser context.Context, path string, paper chromedp.PaperSize) (text string, pages string) {
	t.Helper()
	pdfPath := filepath.Join(t.TempDir(), "card.pdf")
	require.NoError(t, chromedp.Do(browser, chromedp.Navigate((&url.URL{Scheme: "file", Path: path}).String())))
	pdf, err := chromedp.Run(browser, chromedp.PrintToPDF(chromedp.PDFPaper(paper)))
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(pdfPath, pdf, 0o644))
	info, err := exec.Command("pdfinfo", pdfPath).Output()
	require.NoError(t, err)
	for _, line := range strings.Split(string(info), "\n") {
		if rest, ok := strings.CutPrefix(line, "Pages:"); ok {
			pages = strings.TrimSpace(rest)
		}
	}
	out, err := exec.Command("pdftotext", "-layout", pdfPath, "-").Output()
	require.NoError(t, err)
	return string(out), pages
}

// fullCard has everything that a card can hold: the most gates, other materials, records and many notes.
func fullCard(t *testing.T) *Card {
	t.Helper()
	r := testedRequest()
	r.Material.Name, r.RateLbPerLaneMi = "Calcium magnesium acetate pellets", 333
	for i := range 14 {
		r.Benches[2].Tests = append(r.Benches[2].Tests, byTurns(morning.AddDate(0, 0, i%2), 1.25+0.25*float64(i), 35+7.1*float64(i)))
	}
	r.Benches[2].Records = []Record{{morning, 1.5, 300, 20}, {morning, 2, 300, 25}, {morning, 2.5, 1300, 30}, {morning, 3, 250, 20}}
	r.Benches = append(r.Benches, Bench{Material: Material{"m4", "Treated salt of the second shed", 68}},
		Bench{Material: Material{"m5", "Crushed stone", 95}}, Bench{Material: Material{"m6", "Cinders", 60}})
	c, err := Make(r)
	require.NoError(t, err)
	require.Len(t, c.Gates, maxGates)
	require.Len(t, c.Others, maxOthers)
	return c
}

// TestCardPrintsOnOnePage: on Letter and on A4, with every figure of the tables in the text.
func TestCardPrintsOnOnePage(t *testing.T) {
	browser := newBrowser(t)
	usual, err := Make(testedRequest())
	require.NoError(t, err)
	estimated := testedRequest()
	estimated.Material = cma
	estimate, err := Make(estimated)
	require.NoError(t, err)
	for name, c := range map[string]*Card{"usual": usual, "full": fullCard(t), "estimate": estimate} {
		path := filepath.Join(t.TempDir(), "card.html")
		file, err := os.Create(path)
		require.NoError(t, err)
		require.NoError(t, c.WriteHTML(file))
		require.NoError(t, file.Close())
		for paper, size := range map[string]chromedp.PaperSize{"Letter": chromedp.PaperLetter, "A4": chromedp.PaperA4} {
			t.Run(fmt.Sprintf("%s on %s", name, paper), func(t *testing.T) {
				text, pages := printCard(t, browser, path, size)
				assert.Equal(t, "1", pages)
				cells := strings.Fields(text)
				for i, row := range c.Miles {
					for _, value := range append(append([]float64{}, row.LbPerMile...), c.LaneMiles[i].LbPerLaneMi...) {
						assert.Contains(t, cells, Number(value))
					}
				}
				assert.Contains(t, text, "Guards stay on.")
				assert.Contains(t, text, "it orders no rate")
				assert.Contains(t, text, strings.ToUpper(EstimateLabel))
				assert.Equal(t, c.IsEstimate, strings.Contains(text, "What was caught, as salt x 0.629"))
			})
		}
	}
}
