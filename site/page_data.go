package site

import (
	"cmp"
	"slices"
	"strconv"
	"strings"
)

// mostRows bounds the rows of quarantine and findings that the data page writes out; the files hold them all.
const mostRows = 500

// dataPage shows what became of every delivered row.
func (b *book) dataPage() page {
	var read, accepted, duplicates, corrections, quarantined int64
	for _, file := range b.data.Intake {
		read, accepted, duplicates = read+file.RowsRead, accepted+file.Accepted, duplicates+file.Duplicates
		corrections, quarantined = corrections+file.Corrections, quarantined+file.Quarantined
	}
	p := page{Title: "Data", Nav: "data", Lead: dataSentence(len(b.data.Intake), read, accepted, duplicates, corrections, quarantined, b.through())}
	if aside, found := b.asideSection("", b.asideByReason()); found {
		p.Sections = append(p.Sections, aside)
	}
	p.Sections = append(p.Sections, b.changesSection(""))
	if accepted, found := b.acceptedSection(); found {
		p.Sections = append(p.Sections, accepted)
	}
	p.Sections = append(p.Sections, b.quarantineSection(), b.findingsSection(), b.weatherFindingsSection(), b.intakeSection(), b.positionsSection(), b.unknownSection(), b.downloadSection())
	return p
}

func (b *book) quarantineSection() Section {
	list := sorted(b.data.Quarantine, func(x, y Quarantine) int {
		return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.File, y.File), cmp.Compare(x.Line, y.Line), cmp.Compare(x.Column, y.Column))
	})
	place := func(q Quarantine) string {
		if q.Line == 0 {
			return q.Feed + "/" + q.File
		}
		return q.Feed + "/" + q.File + ", line " + strconv.FormatInt(q.Line, 10)
	}
	columns := []Column[Quarantine]{words("File and line", place),
		words("Column", func(q Quarantine) string { return cmp.Or(q.Column, missing) }),
		prose("What was found", func(q Quarantine) string { return q.Reason }),
		prose("Remedy", func(q Quarantine) string { return q.Remedy })}
	if b.data.RawLines {
		columns = append(columns, prose("As delivered", func(q Quarantine) string { return shortened(q.Raw, 160) }))
	}
	table := filled(b, Table{ID: "quarantine-table", Caption: "Rows that are not counted, with what would mend them",
		Download: "quarantine.csv", Empty: "No row is set aside."}, columns, list[:min(len(list), mostRows)])
	return Section{ID: "quarantine", Title: "Rows set aside", Text: []string{quarantineSentence(len(list), len(table.Rows))}, Tables: []Table{table}}
}

func (b *book) findingsSection() Section {
	list := b.shownFindings()
	table := filled(b, Table{ID: "findings-table", Caption: "Findings: what the figures cannot settle by themselves", Empty: "No finding."},
		b.findingColumns(""), list[:min(len(list), mostRows)])
	return Section{ID: "findings", Title: "Findings", Text: []string{findingsSentence(len(list), len(table.Rows))}, Tables: []Table{table}}
}

func (b *book) intakeSection() Section {
	list := sorted(b.data.Intake, func(x, y Intake) int { return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.File, y.File)) })
	note := func(f Intake) string {
		if f.SameAs == "" {
			return ""
		}
		return "same as " + f.SameAs
	}
	table := filled(b, Table{ID: "intake-table", Caption: "Deliveries: rows read = counted + duplicates + corrections + set aside",
		Download: "intake.csv", Empty: "No delivery yet."}, []Column[Intake]{
		words("Delivery", func(f Intake) string { return f.File }), words("Feed", func(f Intake) string { return f.Feed }).picked(),
		wholes("Read", "rows", func(f Intake) int64 { return f.RowsRead }),
		wholes("Counted", "rows", func(f Intake) int64 { return f.Accepted }),
		wholes("Duplicates", "rows", func(f Intake) int64 { return f.Duplicates }),
		wholes("Corrections", "rows", func(f Intake) int64 { return f.Corrections }),
		wholes("Set aside", "rows", func(f Intake) int64 { return f.Quarantined }), prose("Note", note),
	}, list)
	return Section{ID: "deliveries", Title: "Deliveries", Tables: []Table{table}}
}

// positionsSection shows what became of the trucks' positions, the latest season first.
func (b *book) positionsSection() Section {
	list := sorted(b.data.PositionTrucks, func(x, y PositionTruck) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.TruckID, y.TruckID))
	})
	table := filled(b, Table{ID: "positions-table", Caption: "Positions of trucks, by season", Empty: "No positions were delivered."},
		[]Column[PositionTruck]{
			seasonColumn(func(t PositionTruck) string { return t.Season }), truckColumn(func(t PositionTruck) string { return t.TruckID }),
			counts("Positions", "", func(t PositionTruck) *int64 { return t.Points }),
			counts("On a route", "", func(t PositionTruck) *int64 { return t.OnRoute }),
			counts("Off the routes", "", func(t PositionTruck) *int64 { return t.OffNetwork }),
			counts("Jumps", "", func(t PositionTruck) *int64 { return t.Jumps }),
			counts("Frozen", "receiver", func(t PositionTruck) *int64 { return t.Frozen }),
			numbers(b, "On routes, not working", "miles", laneLength, func(t PositionTruck) *float64 { return t.TravelMi }),
			numbers(b, "Off the routes", "miles", laneLength, func(t PositionTruck) *float64 { return t.OffNetworkMi }),
			numbers(b, "Put out", "lb", mass, func(t PositionTruck) *float64 { return t.FedLb }),
			numbers(b, "On no pass", "lb", mass, func(t PositionTruck) *float64 { return t.UnplacedLb }),
			counts("Counter faults", "readings", func(t PositionTruck) *int64 { return t.CounterFaults }),
		}, list)
	var points, onRoute int64
	for _, t := range list {
		points, onRoute = points+orNone(t.Points), onRoute+orNone(t.OnRoute)
	}
	return Section{ID: "positions", Title: "Positions of trucks", Text: []string{positionsSentence(b.units, points, onRoute)}, Tables: []Table{table}}
}

func (b *book) unknownSection() Section {
	list := sorted(b.data.UnknownColumns, func(x, y UnknownColumn) int {
		return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.Column, y.Column), cmp.Compare(x.File, y.File))
	})
	var rows [][]UnknownColumn // of a feed's column, all deliveries that have it
	for i, u := range list {
		if i == 0 || list[i-1].Feed != u.Feed || list[i-1].Column != u.Column {
			rows = append(rows, nil)
		}
		rows[len(rows)-1] = append(rows[len(rows)-1], u)
	}
	table := filled(b, Table{ID: "unknown-table", Caption: "Columns of deliveries that are not read",
		Empty: "Every delivered column is read."}, []Column[[]UnknownColumn]{
		words("Feed", func(u []UnknownColumn) string { return u[0].Feed }).picked(),
		prose("Column", func(u []UnknownColumn) string { return u[0].Column }),
		prose("In", func(u []UnknownColumn) string { return u[0].File }),
		wholes("Deliveries", "files", func(u []UnknownColumn) int { return len(u) }),
	}, rows)
	return Section{ID: "unknown-columns", Title: "Columns not read", Tables: []Table{table},
		Text: []string{"A column that no contract names is kept out; district.toml can map it to one that is read."}}
}

func (b *book) downloadSection() Section {
	s := Section{ID: "downloads", Title: "Files", Text: []string{"The figures as files, in US units, as their columns' names say; times in them are UTC. An empty field is a missing value, never 0.", crewFilesSentence(b.data.CrewPages, len(b.data.CrewFileLabels))}}
	names := slices.Clone(b.data.Downloads)
	slices.Sort(names)
	for _, name := range names {
		s.Links = append(s.Links, link(name, "data/"+name))
	}
	if len(names) == 0 {
		s.Text = []string{"No files are published with these pages."}
	}
	return s
}

// isPublished tells whether the caller puts a file into data/.
func (b *book) isPublished(name string) bool {
	return name != "" && !strings.ContainsAny(name, `/\`) && slices.Contains(b.data.Downloads, name)
}
