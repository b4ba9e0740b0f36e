package contract

import (
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
)

// Values from NIST Special Publication 811 (2008), Appendix B.8 and B.9, as far as printed there; the exact ones follow from
// the definitions 1 lb = 0.45359237 kg, 1 mi = 1.609344 km, 1 in = 25.4 mm, 1 gal = 231 in3 = 3.785411784 L.
func TestUnitsAgainstTheirDefinitions(t *testing.T) {
	cases := []struct {
		to, from       string
		delivered, got float64
	}{
		{"pound", "kg", 0.45359237, 1},
		{"pound", "t", 0.90718474, 2000},   // the short ton
		{"pound", "t", 1.0160469088, 2240}, // the long ton
		{"pound", "short ton", 1.5, 3000},
		{"pound", "lb", 7, 7},
		{"mile", "km", 1.609344, 1},
		{"mile", "m", 1609.344, 1},
		{"lane-mile", "lane-km", 1.609344, 1},
		{"pound per lane-mile", "kg/lane-km", 0.28184923173665793, 1},
		{"US gallon", "L", 3.785411784, 1},
		{"degree Fahrenheit", "C", -40, -40},
		{"degree Fahrenheit", "C", 0, 32},
		{"degree Fahrenheit", "C", 100, 212},
		{"degree Fahrenheit", "C", -9.44, 15.008},
		{"mile per hour", "m/s", 0.44704, 1}, // SP 811, B.8: mile per hour
		{"mile per hour", "km/h", 1.609344, 1},
		{"mile per hour", "kn", 1, 1852 / 1609.344}, // 1 kn = 1852 m/h: 1.150779448 mph
		{"inch", "mm", 25.4, 1},
		{"inch", "cm", 2.54, 1},
		{"inch", "m", 0.0254, 1},
		{"foot", "m", 0.3048, 1},
	}
	for _, c := range cases {
		change, err := UnitChangeTo(c.to, c.from)
		require.NoError(t, err)
		assert.InDelta(t, c.got, change.apply(c.delivered), 4e-15*max(1, c.got), "%v %s", c.delivered, c.from)
	}
	assert.InDelta(t, 1.150779448, 1852/1609.344, 5e-10)
	assert.InDelta(t, litrePerGal, 231*rows.CmPerIn*rows.CmPerIn*rows.CmPerIn/1000, 1e-15)
}

// A unit that does not fit is refused with those that do, and every change has a column that can use it.
func TestUnitsRefused(t *testing.T) {
	_, err := UnitChangeTo("pound", "km")
	assert.EqualError(t, err, `"km" is not a unit for this column (pound); write one of kg, lb, short ton, t`)
	_, err = UnitChangeTo("instant", "s")
	assert.EqualError(t, err, `a unit "s" for a column that takes none; leave unit out`)
	for contractUnit, changes := range unitChanges {
		isUsed := false
		for _, name := range FeedNames {
			for _, field := range contractOf(t, "feeds", name).Fields {
				isUsed = isUsed || field.Unit == contractUnit
			}
		}
		assert.True(t, isUsed || contractUnit == "foot", "%s belongs to no column", contractUnit)
		assert.NotEmpty(t, changes)
	}
}

// A new district.toml names every unit that a mapping may name.
func TestUnitsOfANewDistrict(t *testing.T) {
	text, err := os.ReadFile("../district/district.toml")
	require.NoError(t, err)
	_, line, _ := strings.Cut(string(text), "\n# Units: ")
	line, _, _ = strings.Cut(line, ".\n")
	all := map[string]bool{}
	for _, changes := range unitChanges {
		for name := range changes {
			all[name] = true
		}
	}
	assert.Equal(t, SortedKeys(all), strings.Split(line, ", "))
}
