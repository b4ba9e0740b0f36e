package site

import (
	"time"

	"lanetally/pipeline/rows"
)

// coverage covers each route of four miles once a round, and leaves out or doubles a stretch in some storms.
func (m *maker) coverage() {
	m.data.Downloads = append(m.data.Downloads, "coverage.parquet")
	m.data.Bridges = []rows.Bridge{{RouteID: "R01", FromMi: 1.2, ToMi: 1.5, Name: "Mill bridge"},
		{RouteID: "R01", FromMi: 3.8, ToMi: 4, Name: scriptName}, {RouteID: "R02", FromMi: 0, ToMi: 0.3, Name: ""}}
	for i, row := range m.data.StormRoutes {
		span := rows.CoverageSpan{Season: row.Season, StormID: row.StormID, RouteID: row.RouteID, MaterialClass: row.MaterialClass,
			Form: row.Form, ToMi: 4, Passes: *row.Rounds,
			Applications: *row.Applications, AppliedLb: row.AppliedLb, LastTreatedAt: new(row.FirstApplicationAt.Add(70 * time.Minute))}
		other := span
		switch i % 6 {
		case 1:
			span.ToMi, other.FromMi, other.Passes, other.Applications = 2.75, 2.75, 0, 0
			other.AppliedLb, other.LastTreatedAt, other.State = new(0.0), nil, rows.MissedState
			m.data.Coverage = append(m.data.Coverage, other)
		case 4:
			span.ToMi, other.FromMi, other.State = 3.1, 3.1, rows.DoubledState
			other.Passes, other.Applications = 2*other.Passes, 2*other.Applications
			m.data.Coverage = append(m.data.Coverage, other)
		}
		m.data.Coverage = append(m.data.Coverage, span)
	}
}
