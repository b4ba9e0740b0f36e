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
	p.Sections = append(p.Sections, missingSection(b))
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

// missingSection lists what is not there, so that figures stay empty.
func missingSection(b *book.Book) table.Section {
	var list []rows.FindingRow
	for _, gap := range book.Sorted(b.Data.Gaps, rows.CompareGaps) {
		list = append(list, gap.Finding())
	}
	return table.Section{ID: "missing", Title: "What is missing", Text: []string{words.Say(b.Units, "missing", len(list))},
		Tables: []table.Table{table.Filled(b, table.Place{ID: "missing-table"}, list, findingsOn(b, ""))}}
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
	place := table.Place{ID: "quarantine-table", Without: []string{"raw"}}
	if b.Data.RawLines {
		place.Without = nil
	}
	shown := table.Filled(b, place, list[:min(len(list), book.MostRows)], table.Own[rows.Quarantine]{
		"place": func(q rows.Quarantine) any {
			switch {
			case q.Line == nil:
				return q.Feed + "/" + q.File + ", " + format.Counted(q.Rows, "further row", "further rows")
			case *q.Line == 0:
				return q.Feed + "/" + q.File
			}
			return q.Feed + "/" + q.File + ", line " + strconv.FormatInt(*q.Line, 10)
		},
		"raw": func(q rows.Quarantine) any { return format.Shortened(q.Raw, 160) }})
	return table.Section{ID: "quarantine", Title: "Rows set aside",
		Text: []string{words.Say(b.Units, "quarantine", int(all), len(shown.Rows))}, Tables: []table.Table{shown}}
}

func findingsSection(b *book.Book) table.Section {
	list := shownFindings(b)
	shown := table.Filled(b, table.Place{ID: "findings-table"}, list[:min(len(list), book.MostRows)], findingsOn(b, ""))
	return table.Section{ID: "findings", Title: "Findings", Text: []string{words.Say(b.Units, "findings", len(list), len(shown.Rows))},
		Tables: []table.Table{shown}}
}

func intakeSection(b *book.Book) table.Section {
	shown := table.Filled(b, table.Place{ID: "intake-table"}, b.Data.Intake, table.Own[rows.Intake]{
		"note": func(f rows.Intake) any {
			if f.SameAs == "" {
				return ""
			}
			return "same as " + f.SameAs
		}})
	s := table.Section{ID: "deliveries", Title: "Deliveries", Tables: []table.Table{shown}}
	if ends := words.Say(b.Units, "feed ends", b.Clock, b.Data.FeedEnds); ends != "" {
		s.Text = []string{ends}
	}
	return s
}

// positionsSection shows what became of the trucks' positions, the latest season first.
func positionsSection(b *book.Book) table.Section {
	var points, onRoute int64
	for _, t := range b.Data.PositionTrucks {
		points, onRoute = points+words.OrNone(t.Points), onRoute+words.OrNone(t.OnRoute)
	}
	return table.Section{ID: "positions", Title: "Positions of trucks", Text: []string{words.Say(b.Units, "positions", points, onRoute)},
		Tables: []table.Table{table.Filled[rows.PositionTruck](b, table.Place{ID: "positions-table"}, b.Data.PositionTrucks, nil)}}
}

func unknownSection(b *book.Book) table.Section {
	type column struct {
		rows.UnknownColumn     // of the first delivery that has it
		Deliveries         int // that have it
	}
	var records []column
	for _, u := range book.Sorted(b.Data.UnknownColumns, func(x, y rows.UnknownColumn) int {
		return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.Column, y.Column), cmp.Compare(x.File, y.File))
	}) {
		if n := len(records); n == 0 || records[n-1].Feed != u.Feed || records[n-1].Column != u.Column {
			records = append(records, column{UnknownColumn: u})
		}
		records[len(records)-1].Deliveries++
	}
	return table.Section{ID: "unknown-columns", Title: "Columns not read",
		Tables: []table.Table{table.Filled[column](b, table.Place{ID: "unknown-table"}, records, nil)},
		Text:   []string{"A column that no contract names is kept out; district.toml can map it to one that is read."}}
}

func downloadSection(b *book.Book) table.Section {
	s := table.Section{ID: "downloads", Title: "Files", Text: []string{"The figures as files, in US units, as their columns' names " +
		"say; times in them are UTC. An empty field is a missing value, never 0.",
		words.Say(b.Units, "crew files", b.Data.CrewPages, len(b.Data.CrewFileLabels))}}
	for _, name := range slices.Sorted(slices.Values(b.Data.Downloads)) {
		s.Links = append(s.Links, table.Link(name, "data/"+name))
	}
	if len(s.Links) == 0 {
		s.Text = []string{"No files are published with these pages."}
	}
	return s
}
