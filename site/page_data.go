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
	sum := func(total *int64, n *int64) {
		if n != nil {
			*total += *n
		}
	}
	for _, file := range b.data.Intake {
		sum(&read, file.RowsRead)
		sum(&accepted, file.Accepted)
		sum(&duplicates, file.Duplicates)
		sum(&corrections, file.Corrections)
		sum(&quarantined, file.Quarantined)
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
		return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.File, y.File), compareOptional(x.Line, y.Line), cmp.Compare(x.Column, y.Column))
	})
	table := Table{ID: "quarantine-table", Caption: "Rows that are not counted, with what would mend them", Download: "quarantine.csv", Empty: "No row is set aside.",
		Columns: []Column{words("File and line"), words("Column"), prose("What was found"), prose("Remedy"), prose("As delivered")}}
	if !b.data.RawLines {
		table.Columns = table.Columns[:len(table.Columns)-1]
	}
	for _, q := range list[:min(len(list), mostRows)] {
		place := q.Feed + "/" + q.File
		if q.Line != nil {
			place += ", line " + strconv.FormatInt(*q.Line, 10)
		}
		texts := []string{place, cmp.Or(q.Column, missing), q.Reason, q.Remedy, shortened(q.Raw, 160)}
		table.Rows = append(table.Rows, Row{Cells: cells(texts[:len(table.Columns)]...)})
	}
	return Section{ID: "quarantine", Title: "Rows set aside", Text: []string{quarantineSentence(len(list), len(table.Rows))}, Tables: []Table{table}}
}

func (b *book) findingsSection() Section {
	list := b.shownFindings()
	table := Table{ID: "findings-table", Caption: "Findings: what the figures cannot settle by themselves", Empty: "No finding.",
		Columns: []Column{words("Finding"), prose("About"), words("Storm"), words("Since"), prose("Why")}}
	for _, f := range list[:min(len(list), mostRows)] {
		table.Rows = append(table.Rows, Row{Cells: b.findingCells(f, "")})
	}
	return Section{ID: "findings", Title: "Findings", Text: []string{findingsSentence(len(list), len(table.Rows))}, Tables: []Table{table}}
}

func (b *book) intakeSection() Section {
	list := sorted(b.data.Intake, func(x, y Intake) int { return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.File, y.File)) })
	table := Table{ID: "intake-table", Caption: "Deliveries: rows read = counted + duplicates + corrections + set aside", Download: "intake.csv", Empty: "No delivery yet.",
		Columns: []Column{words("Delivery"), words("Feed"), figures("Read", "rows"), figures("Counted", "rows"), figures("Duplicates", "rows"), figures("Corrections", "rows"), figures("Set aside", "rows"), prose("Note")}}
	for _, f := range list {
		note := ""
		if f.SameAs != "" {
			note = "same as " + f.SameAs
		}
		table.Rows = append(table.Rows, Row{Cells: cells(f.File, f.Feed, count(f.RowsRead), count(f.Accepted), count(f.Duplicates), count(f.Corrections), count(f.Quarantined), note)})
	}
	return Section{ID: "deliveries", Title: "Deliveries", Tables: []Table{table}}
}

// positionsSection shows what became of the trucks' positions, the latest season first.
func (b *book) positionsSection() Section {
	list := sorted(b.data.PositionTrucks, func(x, y PositionTruck) int {
		return cmp.Or(cmp.Compare(y.Season, x.Season), cmp.Compare(x.TruckID, y.TruckID))
	})
	table := Table{ID: "positions-table", Caption: "Positions of trucks, by season", Empty: "No positions were delivered.",
		Columns: []Column{words("Season"), words("Truck"), figures("Positions", ""), figures("On a route", ""), figures("Off the routes", ""), figures("Jumps", ""), figures("Frozen", "receiver"), figures("On routes, not working", "miles"), figures("Off the routes", "miles"),
			figures("Put out", "lb"), figures("On no pass", "lb"), figures("Counter faults", "readings")}}
	var points, onRoute int64
	for _, t := range list {
		points, onRoute = points+orNone(t.Points), onRoute+orNone(t.OnRoute)
		table.Rows = append(table.Rows, Row{Cells: cells(t.Season, t.TruckID, count(t.Points), count(t.OnRoute), count(t.OffNetwork), count(t.Jumps), count(t.Frozen), b.laneMiles(t.TravelMi), b.laneMiles(t.OffNetworkMi), b.pounds(t.FedLb), b.pounds(t.UnplacedLb), count(t.CounterFaults))})
	}
	return Section{ID: "positions", Title: "Positions of trucks", Text: []string{positionsSentence(b.units, points, onRoute)}, Tables: []Table{table}}
}

func (b *book) unknownSection() Section {
	list := sorted(b.data.UnknownColumns, func(x, y UnknownColumn) int {
		return cmp.Or(cmp.Compare(x.Feed, y.Feed), cmp.Compare(x.Column, y.Column), cmp.Compare(x.File, y.File))
	})
	table := Table{ID: "unknown-table", Caption: "Columns of deliveries that are not read", Empty: "Every delivered column is read.",
		Columns: []Column{words("Feed"), prose("Column"), prose("In"), figures("Deliveries", "files")}}
	for first := 0; first < len(list); {
		last := first
		for last < len(list) && list[last].Feed == list[first].Feed && list[last].Column == list[first].Column {
			last++
		}
		table.Rows = append(table.Rows, Row{Cells: cells(list[first].Feed, list[first].Column, list[first].File, whole(last-first))})
		first = last
	}
	return Section{ID: "unknown-columns", Title: "Columns not read", Text: []string{"A column that no contract names is kept out; district.toml can map it to one that is read."}, Tables: []Table{table}}
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
