package pages

import (
	"cmp"
	"slices"
	"strconv"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// DataPage shows what became of every delivered row.
func DataPage(b *book.Book) table.Page {
	var read, accepted, duplicates, corrections, quarantined int64
	for _, file := range b.Data.Intake {
		read, accepted, duplicates = read+file.RowsRead, accepted+file.Accepted, duplicates+file.Duplicates
		corrections, quarantined = corrections+file.Corrections, quarantined+file.Quarantined
	}
	p := table.Page{Title: "Data", Nav: "data",
		Lead: words.Say(b.Units, "data", len(b.Data.Intake), read, accepted, duplicates, corrections,
			quarantined, b.Through())}
	if aside, found := asideSection(b, "", asideByReason(b)); found {
		p.Sections = append(p.Sections, aside)
	}
	p.Sections = append(p.Sections, changesSection(b, ""))
	if accepted, found := acceptedSection(b); found {
		p.Sections = append(p.Sections, accepted)
	}
	p.Sections = append(p.Sections, quarantineSection(b), findingsSection(b), weatherFindingsSection(b), intakeSection(b),
		positionsSection(b), unknownSection(b), downloadSection(b))
	return p
}

// compareLines orders rows of a file by their lines, those that stand for others last.
func compareLines(x, y rows.Quarantine) int {
	if (x.Line == nil) != (y.Line == nil) {
		return -book.CompareOptional(x.Line, y.Line)
	}
	return book.CompareOptional(x.Line, y.Line)
}

func quarantineSection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.Quarantine, func(x, y rows.Quarantine) int {
		return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.File, y.File), compareLines(x, y),
			cmp.Compare(x.Column, y.Column))
	})
	var all int64
	for _, q := range list {
		all += q.Rows
	}
	place := func(q rows.Quarantine) string {
		switch {
		case q.Line == nil:
			return q.Feed + "/" + q.File + ", " + format.Counted(q.Rows, "further row", "further rows")
		case *q.Line == 0:
			return q.Feed + "/" + q.File
		}
		return q.Feed + "/" + q.File + ", line " + strconv.FormatInt(*q.Line, 10)
	}
	columns := []table.Column[rows.Quarantine]{table.Words("File and line", place),
		table.Words("Column", func(q rows.Quarantine) string { return cmp.Or(q.Column, format.Missing) }),
		table.Prose("What was found", func(q rows.Quarantine) string { return q.Reason }),
		table.Prose("Remedy", func(q rows.Quarantine) string { return q.Remedy })}
	if b.Data.RawLines {
		columns = append(columns, table.Prose("As delivered", func(q rows.Quarantine) string { return format.Shortened(q.Raw, 160) }))
	}
	shown := table.Filled(b, table.Table{ID: "quarantine-table", Caption: "Rows that are not counted, with what would mend them",
		Download: "quarantine.csv", Empty: "No row is set aside."}, columns, list[:min(len(list), book.MostRows)])
	return table.Section{ID: "quarantine", Title: "Rows set aside",
		Text: []string{words.Say(b.Units, "quarantine", int(all), len(shown.Rows))}, Tables: []table.Table{shown}}
}

func findingsSection(b *book.Book) table.Section {
	list := shownFindings(b)
	shown := table.Filled(b, table.Table{ID: "findings-table", Caption: "Findings: what the figures cannot settle by themselves",
		Empty: "No finding."},
		findingColumns(b, ""), list[:min(len(list), book.MostRows)])
	return table.Section{ID: "findings", Title: "Findings", Text: []string{words.Say(b.Units, "findings", len(list), len(shown.Rows))},
		Tables: []table.Table{shown}}
}

func intakeSection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.Intake, func(x, y rows.Intake) int {
		return cmp.Or(cmp.Compare(x.Feed, y.Feed),
			cmp.Compare(x.File, y.File))
	})
	note := func(f rows.Intake) string {
		if f.SameAs == "" {
			return ""
		}
		return "same as " + f.SameAs
	}
	shown := table.Filled(b, table.Table{ID: "intake-table",
		Caption:  "Deliveries: rows read = counted + duplicates + corrections + set aside",
		Download: "intake.csv", Empty: "No delivery yet."}, []table.Column[rows.Intake]{
		table.Words("Delivery", func(f rows.Intake) string { return f.File }),
		table.Words("Feed", func(f rows.Intake) string { return f.Feed }).Picked(),
		table.Wholes("Read", "rows", func(f rows.Intake) int64 { return f.RowsRead }),
		table.Wholes("Counted", "rows", func(f rows.Intake) int64 { return f.Accepted }),
		table.Wholes("Duplicates", "rows", func(f rows.Intake) int64 { return f.Duplicates }),
		table.Wholes("Corrections", "rows", func(f rows.Intake) int64 { return f.Corrections }),
		table.Wholes("Set aside", "rows", func(f rows.Intake) int64 { return f.Quarantined }), table.Prose("Note", note),
	}, list)
	s := table.Section{ID: "deliveries", Title: "Deliveries", Tables: []table.Table{shown}}
	if ends := words.Say(b.Units, "feed ends", b.Clock, b.Data.FeedEnds); ends != "" {
		s.Text = []string{ends}
	}
	return s
}

// positionsSection shows what became of the trucks' positions, the latest season first.
func positionsSection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.PositionTrucks, func(x, y rows.PositionTruck) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.TruckID, y.TruckID))
	})
	shown := table.Filled(b, table.Table{ID: "positions-table", Caption: "Positions of trucks, by season",
		Empty: "No positions were delivered."},
		[]table.Column[rows.PositionTruck]{
			table.SeasonColumn(func(t rows.PositionTruck) string { return t.Season }),
			table.TruckColumn(func(t rows.PositionTruck) string { return t.TruckID }),
			table.Counts("Positions", "", func(t rows.PositionTruck) *int64 { return t.Points }),
			table.Counts("On a route", "", func(t rows.PositionTruck) *int64 { return t.OnRoute }),
			table.Counts("Off the routes", "", func(t rows.PositionTruck) *int64 { return t.OffNetwork }),
			table.Counts("Jumps", "", func(t rows.PositionTruck) *int64 { return t.Jumps }),
			table.Counts("Frozen", "receiver", func(t rows.PositionTruck) *int64 { return t.Frozen }),
			table.Numbers(b, "On routes, not working", "miles", format.LaneLength,
				func(t rows.PositionTruck) *float64 { return t.TravelMi }),
			table.Numbers(b, "Off the routes", "miles", format.LaneLength, func(t rows.PositionTruck) *float64 { return t.OffNetworkMi }),
			table.Numbers(b, "Put out", "lb", format.Mass, func(t rows.PositionTruck) *float64 { return t.FedLb }),
			table.Numbers(b, "On no pass", "lb", format.Mass, func(t rows.PositionTruck) *float64 { return t.UnplacedLb }),
			table.Counts("Counter faults", "readings", func(t rows.PositionTruck) *int64 { return t.CounterFaults }),
		}, list)
	var points, onRoute int64
	for _, t := range list {
		points, onRoute = points+words.OrNone(t.Points), onRoute+words.OrNone(t.OnRoute)
	}
	return table.Section{ID: "positions", Title: "Positions of trucks", Text: []string{words.Say(b.Units, "positions", points, onRoute)},
		Tables: []table.Table{shown}}
}

func unknownSection(b *book.Book) table.Section {
	list := book.Sorted(b.Data.UnknownColumns, func(x, y rows.UnknownColumn) int {
		return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.Column, y.Column), cmp.Compare(x.File, y.File))
	})
	var records [][]rows.UnknownColumn // of a feed's column, all deliveries that have it
	for i, u := range list {
		if i == 0 || list[i-1].Feed != u.Feed || list[i-1].Column != u.Column {
			records = append(records, nil)
		}
		records[len(records)-1] = append(records[len(records)-1], u)
	}
	shown := table.Filled(b, table.Table{ID: "unknown-table", Caption: "Columns of deliveries that are not read",
		Empty: "Every delivered column is read."}, []table.Column[[]rows.UnknownColumn]{
		table.Words("Feed", func(u []rows.UnknownColumn) string { return u[0].Feed }).Picked(),
		table.Prose("Column", func(u []rows.UnknownColumn) string { return u[0].Column }),
		table.Prose("In", func(u []rows.UnknownColumn) string { return u[0].File }),
		table.Wholes("Deliveries", "files", func(u []rows.UnknownColumn) int { return len(u) }),
	}, records)
	return table.Section{ID: "unknown-columns", Title: "Columns not read", Tables: []table.Table{shown},
		Text: []string{"A column that no contract names is kept out; district.toml can map it to one that is read."}}
}

func downloadSection(b *book.Book) table.Section {
	s := table.Section{ID: "downloads", Title: "Files", Text: []string{"The figures as files, in US units, as their columns' names " +
		"say; times in them are UTC. An empty field is a missing value, never 0.",
		words.Say(b.Units, "crew files", b.Data.CrewPages, len(b.Data.CrewFileLabels))}}
	names := slices.Clone(b.Data.Downloads)
	slices.Sort(names)
	for _, name := range names {
		s.Links = append(s.Links, table.Link(name, "data/"+name))
	}
	if len(names) == 0 {
		s.Text = []string{"No files are published with these pages."}
	}
	return s
}
