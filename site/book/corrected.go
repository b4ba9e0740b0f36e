package book

import "lanetally/pipeline/rows"

// LeadsCorrected tells whether storm and route pages lead with pounds by weighed loads: the setting pounds_basis.
func (b *Book) LeadsCorrected() bool {
	return b.Data.PoundsBasis == rows.BasisWeighed && b.HasCorrected
}

// withCorrected gives the rows of storm_routes, each with its pounds by weighed loads where there are some.
func (b *Book) withCorrected() []rows.StormRoute {
	byKey := map[stormRouteKey]*rows.StormRouteCorrected{}
	for i := range b.Data.StormRoutesCorrected {
		c := &b.Data.StormRoutesCorrected[i]
		byKey[stormRouteKey{c.StormID, c.RouteID, c.MaterialClass, c.Form}] = c
	}
	rows := make([]rows.StormRoute, len(b.Data.StormRoutes))
	for i, row := range b.Data.StormRoutes {
		row.Corrected = byKey[stormRouteKey{row.StormID, row.RouteID, row.MaterialClass, row.Form}]
		rows[i] = row
	}
	return rows
}
