package table

import (
	"testing"
	"time"

	"github.com/stretchr/testify/assert"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// A key is the value that the cell shows, never read back out of its text; it is left out where the text says the same.
func TestSortKeys(t *testing.T) {
	us := &book.Book{Data: &book.Data{}, Clock: format.Clock{Zone: time.FixedZone("", -7*3600)}}
	metric := &book.Book{Data: &book.Data{}, Units: format.Units{IsMetric: true}}
	at := time.Date(2029, 12, 3, 12, 40, 0, 0, time.UTC) // 05:40 by the clock
	var none *float64
	for _, c := range []struct {
		b         *book.Book
		column    string
		value     any
		text, key string
	}{
		{us, "| | lb", 12.0, "12", ""},
		{us, "| | lb", 1204.4, "1,204", "1204"},
		{metric, "| | lb", new(10000.0), "4,536", "4536"}, // 0.45359237 kg a pound
		{us, "| | | hundredths", 12345678.9, "12,345,678.90", "12345678.90"},
		{us, "| | °F", -2.14, "−2.1", "-2.1"},
		{us, "| | °F, median", -0.04, "0.0", ""},
		{us, "| | lb", none, format.Missing, ""},
		{us, "| | | tenths signed", 3.0, "+3.0", ""}, // a script reads the sign
		{us, "| | | tenths signed", 1000.5, "+1,000.5", "1000.5"},
		{us, "| | h", Shown{"3.4 (2 not bare)", new(3.4)}, "3.4 (2 not bare)", "3.4"},
		{us, "| | h", Shown{"– (2 not bare)", none}, "– (2 not bare)", ""},
		{us, "| | % | share", 12.34, "1,234", "1234"},
		{us, "", 1204, "1,204", "1204"},
		{us, "", (*int64)(nil), format.Missing, ""},
		{us, "", &at, "3 Dec 2029, 05:40", "2029-12-03 05:40"},
		{us, "", Shown{"open at 3 Dec 2029, 05:40", at}, "open at 3 Dec 2029, 05:40", "2029-12-03 05:40"},
		{us, "", (*time.Time)(nil), format.Missing, ""},
		{us, "| | | date", at, "3 Dec 2029", "2029-12-03"},
		{us, "", "3 Dec 2029", "3 Dec 2029", ""}, // a word is no date
		{us, "| | | dash", "", format.Missing, ""},
		{us, "", true, "yes", ""},
	} {
		column := columnsIn("made " + c.column)[0]
		column.settle(c.value)
		assert.Equal(t, Cell{Text: c.text, Key: Key(c.key)}, column.cell(c.b, c.value), "%s %v", c.column, c.value)
	}
}

// Fields are found by the names of their columns or by their own, and so are methods; a row that is nil is an empty one.
func TestFieldsByName(t *testing.T) {
	type row struct {
		rows.Tally
		RatePerAir int
	}
	r := row{rows.Tally{StormLbPerLaneMi: new(2.5), Bare: 1, NotBare: 3}, 7}
	assert.Equal(t, new(2.5), field(r, "storm_lb_per_lane_mi"))
	assert.Equal(t, new(0.75), field(r, "not_bare_share"), "3 of 4 not bare, by a method")
	assert.Equal(t, 7, field(r, "rate_per_air"))
	assert.Equal(t, (*float64)(nil), field((*rows.StormRouteCorrected)(nil), "corrected_lb"))
	assert.PanicsWithValue(t, `catalogue: table.row has no "rates"`, func() { field(r, "rates") })
}

func TestOrderOfRows(t *testing.T) {
	list := []rows.Price{{MaterialID: "b", UsdPerTon: new(1.0)}, {MaterialID: "a", UsdPerTon: new(1.0)},
		{MaterialID: "a", UsdPerTon: new(3.0)}, {MaterialID: "a"}}
	var own Own[rows.Price]
	order := func(x, y rows.Price) int {
		return inOrder("material_id -usd_per_ton", func(name string) int { return compare(own.raw(x, name), own.raw(y, name)) })
	}
	assert.Equal(t, []rows.Price{list[2], list[1], list[3], list[0]}, book.Sorted(list, order))
}

// A line of the catalogue says of a column what the common one of its name does not, and a group's columns stand in its place.
func TestLinesOfTheCatalogue(t *testing.T) {
	columns := columnsIn("season\napplications | | per storm\nroad.@air\ncrews | By | | crew\n")
	assert.Equal(t, Heading{Head: "Season", IsPicked: true, IsCrewSafe: true}, columns[0].Heading)
	assert.Equal(t, Heading{Head: "Applications", Unit: "per storm"}, columns[1].Heading)
	assert.True(t, columns[1].is("hundredths"))
	assert.Equal(t, []string{"road.air_f_mean", "road.surface_f_min"}, []string{columns[2].name, columns[3].name})
	assert.Equal(t, Heading{Head: "By", IsCrew: true, IsPicked: true, IsCrewSafe: true}, columns[4].Heading)
}
