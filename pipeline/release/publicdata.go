package release

import (
	"cmp"
	"context"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/site/book"
)

// otherCrew stands in public files for every crew without a label there; labels are longer.
const otherCrew = "other"

// publicView says what of the night's tables leaves the district's machine. Full exports stay in data/.
type publicView struct {
	publish   district.Publish
	crews     []rows.Crew
	addresses map[string]string // pages of the crews, by crew_id; with CrewPagesOwn only
	labels    map[string]string // what stands for the crews whose rows are published, by crew_id
	compared  bool              // whether crews may be set side by side
}

// ReadPublicView reads who is in which crew, and keeps the district's crew file where pages have addresses of their own.
func ReadPublicView(ctx context.Context, l *ledger.Ledger, files disk.Layer, dir string, publish district.Publish) (*publicView, error) {
	list, err := ledger.ReadTable[struct {
		CrewID  string `db:"crew_id"`
		Label   string `db:"label"`
		Members string `db:"members"`
	}](ctx, l, "select crew_id, label, coalesce(members, '') as members from crews order by crew_id")
	if err != nil {
		return nil, err
	}
	v := &publicView{publish: publish, labels: map[string]string{}}
	var crewIDs, shown, small []string
	for _, row := range list {
		crew := rows.Crew{CrewID: row.CrewID, Label: row.Label, Members: CountMembers(row.Members)}
		v.crews, crewIDs = append(v.crews, crew), append(crewIDs, crew.CrewID)
		if crew.ShowsFigures() {
			shown = append(shown, crew.CrewID)
		} else {
			small = append(small, crew.CrewID)
		}
	}
	v.compared = len(shown) >= rows.FewestCrews && publish.CrewPages != rows.CrewPagesNone
	switch publish.CrewPages {
	case rows.CrewPagesAll:
		for _, crewID := range shown {
			v.labels[crewID] = crewID
		}
	case rows.CrewPagesOwn:
		file, err := district.KeepCrewFile(files, dir, crewIDs)
		if err != nil {
			return nil, err
		}
		v.addresses = file.Addresses
		if v.compared { // of two crews each would know the other's label
			v.labels = district.CrewLabels(file.LabelSalt, shown)
		}
	}
	return v, makePublicTables(ctx, l, small)
}

// CountMembers is how many are in a crew: a whole number, or names with ; between. Nil where crews.csv does not say.
func CountMembers(text string) *int64 {
	text = strings.TrimSpace(text)
	if text == "" {
		return nil
	}
	if n, err := strconv.ParseInt(text, 10, 64); err == nil {
		return &n
	}
	n := int64(0)
	for _, name := range strings.Split(text, ";") {
		if strings.TrimSpace(name) != "" {
			n++
		}
	}
	return &n
}

// isPublished tells whether an export is published at all: one whose contract says so of a column, in the modes in which it may be.
// weak_passes gives the minutes of single trucks, whose drivers their yard knows.
func (v *publicView) isPublished(c *contract.Contract) bool {
	switch c.Name {
	case "crew_storms":
		return v.publish.CrewPages != rows.CrewPagesNone
	case "weak_passes":
		return v.publish.CrewPages == rows.CrewPagesAll
	}
	return slices.ContainsFunc(c.Fields, func(f contract.Field) bool { return f.Public != "" })
}

// source selects what is published of an export, "" for nothing.
func (v *publicView) source(c *contract.Contract) string {
	if !v.isPublished(c) {
		return ""
	}
	crewIDs, from := contract.SortedKeys(v.labels), publicTable(c.LedgerTable())
	switch c.Name {
	case "crew_storms":
		from = "(select * replace (" + v.labelOf("crew_id") + " as crew_id) from " + from + " where crew_id in " + textTuple(crewIDs) + ")"
	case "learning":
		if !v.compared {
			return "(select * from learning where crew_id = " + ledger.QuoteText(rows.AllCrews) + ")"
		}
		from = "(select * replace (coalesce(" + v.labelOf("crew_id") + ", crew_id) as crew_id) from learning where crew_id in " +
			textTuple(append(crewIDs, rows.AllCrews)) + ")"
	case "storm_routes":
		if v.publish.CrewPages != rows.CrewPagesAll {
			from = fmt.Sprintf(`(select * replace (array_to_string(list_sort(list_distinct(list_transform(string_split(crew_ids, ';'),
				lambda crew_id: coalesce(%s, %s)))), ';') as crew_ids) from %s)`, v.labelOf("crew_id"), ledger.QuoteText(otherCrew), from)
		}
	case "quarantine":
		from = cmp.Or(v.quarantineSource(), from)
	}
	var silent []string
	for _, f := range c.Fields {
		if f.Public == "" {
			silent = append(silent, fmt.Sprintf("case when false then %[1]s end as %[1]s", ledger.QuoteName(f.Name)))
		}
	}
	if len(silent) > 0 {
		from = "(select * replace (" + strings.Join(silent, ", ") + ") from " + from + ")"
	}
	return from
}

// quarantineSource leaves out what was delivered; where rows are published as delivered, it leaves out what remedies quote of crews that
// pages do not name.
func (v *publicView) quarantineSource() string {
	if !v.publish.RawLines {
		return `(select * replace (cast(null as varchar) as raw, public_column as "column", public_reason as reason, ` +
			`public_remedy as remedy) from quarantine)`
	}
	if v.publish.CrewPages == rows.CrewPagesAll {
		return ""
	}
	var quoted []string
	for _, crew := range v.crews {
		quoted = append(quoted, strconv.Quote(crew.CrewID), strconv.Quote(crew.Label), `"`+crew.CrewID+`"`, `"`+crew.Label+`"`)
	}
	return fmt.Sprintf(`(select * replace (case when "column" = 'crew_id' and contains(remedy, '"')
		then 'the full remedy quotes the cell: see current/data/quarantine.csv, or run lanetally check'
		else list_reduce(%s, lambda text, name: replace(text, name, '"..."'), remedy) end as remedy) from quarantine)`,
		ledger.TextList(quoted))
}

// labelOf is the label of the crew in a column, null where it has none.
func (v *publicView) labelOf(column string) string {
	crewIDs, labels := contract.SortedKeys(v.labels), []string{}
	for _, crewID := range crewIDs {
		labels = append(labels, v.labels[crewID])
	}
	return fmt.Sprintf("list_extract(%s, list_position(%s, %s))", ledger.TextList(labels), ledger.TextList(crewIDs), column)
}

// textTuple is what a column can be asked to be in.
func textTuple(texts []string) string { return "(select unnest(" + ledger.TextList(texts) + "))" }

// PublishData writes what is published of every export to the public folder.
func PublishData(ctx context.Context, l disk.Layer, ledger *ledger.Ledger, building string, v *publicView) error {
	return writeExports(ctx, ledger, l, filepath.Join(building, "public", "data"), contract.Exports(), v.source)
}

// unknownTruck stands on pages for a truck that reference/ does not know: its name may be any delivered text.
const unknownTruck = "(not in trucks.csv)"

// notPublished stands on pages for a header that nothing reads, and for the number of a pass or ticket that holds no digit.
const notPublished = "(not published)"

// numbered is the number of a pass or a ticket where it looks like one: a name that slipped into its column has no digit.
func numbered(id string) string {
	if strings.ContainsAny(id, "0123456789") {
		return id
	}
	return notPublished
}

// hideDelivered leaves out of data the names of unknown trucks, of headers that nothing reads and of passes and tickets without a digit.
func hideDelivered(ctx context.Context, l *ledger.Ledger, data *book.Data) error {
	unknown, err := ledger.ReadTable[struct {
		TruckID string `db:"truck_id"`
	}](ctx, l, "select distinct truck_id from set_aside anti join trucks using (truck_id) where truck_id is not null")
	if err != nil {
		return err
	}
	hide := map[string]string{}
	for _, truck := range unknown {
		hide[truck.TruckID] = unknownTruck
	}
	for i := range data.SetAside {
		data.SetAside[i].TruckID = cmp.Or(hide[data.SetAside[i].TruckID], data.SetAside[i].TruckID)
	}
	for i := range data.SetAsideTrucks {
		data.SetAsideTrucks[i].TruckID = cmp.Or(hide[data.SetAsideTrucks[i].TruckID], data.SetAsideTrucks[i].TruckID)
	}
	for i, f := range data.Findings {
		switch f.SubjectKind {
		case "truck":
			data.Findings[i].SubjectID = cmp.Or(hide[f.SubjectID], f.SubjectID)
		case "pass":
			data.Findings[i].SubjectID = numbered(f.SubjectID)
		}
	}
	for i, e := range data.StockBook {
		if e.Reference != e.Event {
			data.StockBook[i].Reference = numbered(e.Reference)
		}
	}
	for i := range data.UnknownColumns {
		data.UnknownColumns[i].Column = notPublished
	}
	data.UnknownColumns = slices.Compact(data.UnknownColumns)
	return nil
}

// fillSiteData puts what the pages may know of crews, deliveries and files into data.
func (v *publicView) fillSiteData(ctx context.Context, l *ledger.Ledger, data *book.Data) (err error) {
	data.Crews = slices.Clone(v.crews)
	data.CrewPages, data.CrewLabels, data.RawLines = v.publish.CrewPages, v.publish.CrewLabels, v.publish.RawLines
	data.CrewAddresses, data.CrewFileLabels = v.addresses, v.labels
	for i := range data.Findings {
		if v.publish.CrewPages != rows.CrewPagesAll {
			data.Findings[i].Finding = data.Findings[i].Finding.WithoutCrews()
		}
	}
	contract, err := contract.LoadContract("exports", "quarantine")
	if err != nil {
		return err
	}
	data.Quarantine, err = ledger.ReadTable[rows.Quarantine](ctx, l, exportQuery(contract, v.source(contract)))
	if err != nil || v.publish.RawLines {
		return err
	}
	return hideDelivered(ctx, l, data)
}
