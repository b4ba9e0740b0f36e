package site

import "time"

// coverage covers each route of four miles once a round, and leaves out or doubles a stretch in some storms.
func (m *maker) coverage() {
	m.data.Downloads = append(m.data.Downloads, "coverage.parquet")
	m.data.Bridges = []Bridge{{"R01", 1.2, 1.5, "Mill bridge"}, {"R01", 3.8, 4, scriptName}, {"R02", 0, 0.3, ""}}
	for i, row := range m.data.StormRoutes {
		span := CoverageSpan{Season: row.Season, StormID: row.StormID, RouteID: row.RouteID, MaterialClass: row.MaterialClass, Form: row.Form, ToMi: 4, Passes: *row.Rounds,
			Applications: *row.Applications, AppliedLb: row.AppliedLb, LastTreatedAt: new(row.FirstApplicationAt.Add(70 * time.Minute))}
		other := span
		switch i % 6 {
		case 1:
			span.ToMi, other.FromMi, other.Passes, other.Applications, other.AppliedLb, other.LastTreatedAt, other.State = 2.75, 2.75, 0, 0, new(0.0), nil, missedState
			m.data.Coverage = append(m.data.Coverage, other)
		case 4:
			span.ToMi, other.FromMi, other.Passes, other.Applications, other.State = 3.1, 3.1, 2*other.Passes, 2*other.Applications, doubledState
			m.data.Coverage = append(m.data.Coverage, other)
		}
		m.data.Coverage = append(m.data.Coverage, span)
	}
}
