package site

import (
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

type rgb [3]float64

// schemes are the colours of site.css by name, in light, dark and print.
func schemes(t *testing.T) map[string]map[string]string {
	style, err := assets.ReadFile("assets/site.css")
	require.NoError(t, err)
	light, rest, found := strings.Cut(string(style), "prefers-color-scheme: dark")
	require.True(t, found)
	dark, rest, found := strings.Cut(rest, "* {")
	require.True(t, found)
	_, printed, found := strings.Cut(rest, "@media print")
	require.True(t, found)
	all := map[string]map[string]string{}
	for name, block := range map[string]string{"light": light, "dark": dark, "print": printed} {
		all[name] = map[string]string{}
		for _, match := range colourLine.FindAllStringSubmatch(block, -1) {
			all[name][match[1]] = match[2]
		}
		require.Contains(t, all[name], "acetate", name)
	}
	return all
}

// linear is a colour's light, channel by channel (IEC 61966-2-1).
func linear(t *testing.T, hex string) (c rgb) {
	if len(hex) == 3 {
		hex = strings.Repeat(hex[:1], 2) + strings.Repeat(hex[1:2], 2) + strings.Repeat(hex[2:], 2)
	}
	for i := range c {
		n, err := strconv.ParseUint(hex[2*i:2*i+2], 16, 8)
		require.NoError(t, err)
		if c[i] = float64(n) / 255; c[i] <= 0.04045 {
			c[i] /= 12.92
		} else {
			c[i] = math.Pow((c[i]+0.055)/1.055, 2.4)
		}
	}
	return c
}

func times(m [3]rgb, c rgb) (product rgb) {
	for i, row := range m {
		for j := range row {
			product[i] += row[j] * c[j]
		}
		product[i] = math.Max(0, math.Min(1, product[i]))
	}
	return product
}

// lab is a linear colour in CIELAB under D65 (CIE 15; the matrix is that of IEC 61966-2-1).
func lab(c rgb) rgb {
	xyz := times([3]rgb{{0.4124, 0.3576, 0.1805}, {0.2126, 0.7152, 0.0722}, {0.0193, 0.1192, 0.9505}}, c)
	var f rgb
	for i, white := range (rgb{0.9505, 1, 1.0890}) {
		if f[i] = xyz[i] / white; f[i] > 216.0/24389 {
			f[i] = math.Cbrt(f[i])
		} else {
			f[i] = (24389.0/27*f[i] + 16) / 116
		}
	}
	return rgb{116*f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])}
}

func apart(a, b rgb) float64 {
	return math.Sqrt((a[0]-b[0])*(a[0]-b[0]) + (a[1]-b[1])*(a[1]-b[1]) + (a[2]-b[2])*(a[2]-b[2]))
}

// How readers without one of the three cones see linear colours: Machado, Oliveira and Fernandes 2009, "A physiologically-based
// model for simulation of color vision deficiency", table 1, severity 1.0, as the authors supply them with the paper.
var deficiencies = map[string][3]rgb{
	"full sight":   {{1, 0, 0}, {0, 1, 0}, {0, 0, 1}},
	"protanopia":   {{0.152286, 1.052583, -0.204868}, {0.114503, 0.786281, 0.099216}, {-0.003882, -0.048116, 1.051998}},
	"deuteranopia": {{0.367322, 0.860646, -0.227968}, {0.280085, 0.672501, 0.047413}, {-0.011820, 0.042940, 0.968881}},
	"tritanopia":   {{1.255528, -0.076749, -0.178779}, {-0.078411, 0.930809, 0.147602}, {0.004733, 0.691367, 0.303900}},
}

// A just noticeable difference is about 2.3 in CIELAB (Mahy, van Eycken and Oosterlinck 1994; from memory). Classes, which also differ
// in shape, keep ten times that from each other, and every mark from its ground.
const (
	leastApart     = 23.0
	leastGreyApart = 15.0 // lightness, of the two classes that pages set side by side, in grey print
)

func TestClassesStayApartForEveryReader(t *testing.T) {
	for scheme, colours := range schemes(t) {
		for sight, matrix := range deficiencies {
			seen := func(name string) rgb { return lab(times(matrix, linear(t, colours[name]))) }
			for _, pair := range [][2]string{{"acetate", "chloride"}, {"acetate", "abrasive"}, {"chloride", "abrasive"},
				{"chloride", "water"},
				{"acetate", "paper"}, {"chloride", "paper"}, {"abrasive", "paper"}, {"water", "paper"}} {
				assert.Greater(t, apart(seen(pair[0]), seen(pair[1])), leastApart, "%s, %s: %s and %s", scheme, sight, pair[0], pair[1])
			}
		}
		grey := func(name string) float64 { return lab(linear(t, colours[name]))[0] }
		assert.Greater(t, math.Abs(grey("acetate")-grey("chloride")), leastGreyApart, scheme)
		assert.Greater(t, math.Abs(grey("acetate")-grey("paper")), 2*leastGreyApart, scheme)
	}
}

// Fewer pounds are not good, so nothing is green and nothing points up or down.
func TestNothingIsGreenAndNothingPoints(t *testing.T) {
	for scheme, colours := range schemes(t) {
		for name, hex := range colours {
			c := lab(linear(t, hex))
			chroma, hue := math.Hypot(c[1], c[2]), math.Atan2(c[2], c[1])*180/math.Pi
			assert.False(t, chroma > 12 && hue > 105 && hue < 200, "%s: %s is green: #%s", scheme, name, hex)
		}
	}
	green := lab(linear(t, "008000"))
	assert.InDelta(t, 136, math.Atan2(green[2], green[1])*180/math.Pi, 1, "CIELAB hue of #008000")
	assert.NotRegexp(t, `(?i)\bgreen\b`, made(t)["assets/site.css"])
	arrows := regexp.MustCompile("[\u2190-\u21ff\u25b2\u25b3\u25b4\u25bc\u25bd\u25be\u2b06\u2b07]")
	for name, text := range made(t) {
		if strings.HasSuffix(name, ".html") || strings.HasSuffix(name, ".css") || name == "assets/charts.js" {
			assert.NotRegexp(t, arrows, text, name)
		}
	}
}

// Text on every ground it stands on, in the scheme of paper too: WCAG 2.2, 1.4.3.
func TestPrintHasContrast(t *testing.T) {
	colours := schemes(t)["print"]
	for _, text := range []string{"ink", "ink-soft", "link"} {
		for _, ground := range []string{"paper", "panel", "warn", "storm"} {
			one, other := linear(t, colours[text]), linear(t, colours[ground])
			light := func(c rgb) float64 { return 0.2126*c[0] + 0.7152*c[1] + 0.0722*c[2] }
			assert.GreaterOrEqual(t, (light(other)+0.05)/(light(one)+0.05), 4.5, "%s on %s", text, ground)
		}
	}
}

func TestNothingMoves(t *testing.T) {
	assert.NotRegexp(t, `animation|transition|scroll-behavior`, made(t)["assets/site.css"])
	charts := 0
	for name, text := range made(t) {
		if at := strings.Index(text, `class="chart-option"`); strings.HasSuffix(name, ".html") && at >= 0 {
			charts++
			assert.Contains(t, text[at:], `"animation":false`, name)
			assert.Contains(t, text[at:], `"transitionDuration":0`, name)
		}
	}
	assert.Greater(t, charts, 10)
}
