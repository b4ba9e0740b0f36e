package pages

import (
	"slices"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
)

func stormsColumn(unit string) table.Column[rows.Tally] {
	return table.Wholes("Storms", unit, func(t rows.Tally) int64 { return t.Storms })
}

func routeStormsColumn() table.Column[rows.Tally] {
	return table.Wholes("Route-storms", "treated", func(t rows.Tally) int64 { return t.RouteStorms })
}

func rateColumn(b *book.Book) table.Column[rows.Tally] {
	return table.Numbers(b, "Rate", "lb per lane-mile", format.MassRate, func(t rows.Tally) *float64 { return t.RateLbPerLaneMi })
}

// useColumns are what a rate does not tell of the pounds.
func useColumns(b *book.Book) []table.Column[rows.Tally] {
	return []table.Column[rows.Tally]{useColumn(b, "per storm"), stormPoundsColumn(b)}
}

func useColumn(b *book.Book, unit string) table.Column[rows.Tally] {
	return table.Numbers(b, "Applications", unit, table.Hundredths, func(t rows.Tally) *float64 { return t.Applications })
}

func stormPoundsColumn(b *book.Book) table.Column[rows.Tally] {
	return table.Numbers(b, "Per storm", "lb per lane-mile of route", format.MassRate,
		func(t rows.Tally) *float64 { return t.StormLbPerLaneMi })
}

// stateColumns are road state and temperature, with the share not bare within the cap.
func stateColumns(b *book.Book) []table.Column[rows.Tally] {
	return slices.Insert(besideColumns(b), 1, table.Shares(b, "Not bare", "% of those reported", rows.Tally.NotBareShare))
}

// besideColumns are what stands beside pounds: road state and temperature.
func besideColumns(b *book.Book) []table.Column[rows.Tally] {
	return []table.Column[rows.Tally]{table.Numbers(b, "Bare lane after", "h, capped at {cap}", table.Tenths,
		func(t rows.Tally) *float64 { return t.RegainH }),
		table.Numbers(b, "Mean air", "°F", format.Temperature, func(t rows.Tally) *float64 { return t.AirFMean }),
		table.Numbers(b, "Lowest pavement", "°F", format.Temperature, func(t rows.Tally) *float64 { return t.SurfaceFMin })}
}

// classPair is what acetate and chloride came to in the same storms.
type classPair struct{ acetate, chloride rows.Tally }

func acetateOf(p classPair) rows.Tally { return p.acetate }

func chlorideOf(p classPair) rows.Tally { return p.chloride }

// pair sets a column of acetate beside the same one of chloride, what as the rest of their heads.
func pair(what string, c table.Column[rows.Tally]) []table.Column[classPair] {
	columns := append(table.At(acetateOf, []table.Column[rows.Tally]{c}), table.At(chlorideOf, []table.Column[rows.Tally]{c})...)
	columns[0].Head, columns[1].Head = "{Acetate} "+what, "{Chloride} "+what
	return columns
}

func pairRates(b *book.Book) []table.Column[classPair] { return pair("rate", rateColumn(b)) }

func pairApplications(b *book.Book) []table.Column[classPair] {
	return pair("applications", table.Numbers(b, "", "per route", table.Hundredths, func(t rows.Tally) *float64 { return t.Applications }))
}

func pairStates(b *book.Book) []table.Column[classPair] {
	return pair("bare after", table.Numbers(b, "", "h, capped at {cap}", table.Tenths,
		func(t rows.Tally) *float64 { return t.RegainH }).Showing(roadState))
}

func appliedColumn(b *book.Book) table.Column[rows.Tally] {
	return table.Numbers(b, "Applied", "lb", format.Mass, func(t rows.Tally) *float64 { return t.AppliedLb })
}
