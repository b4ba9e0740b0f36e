package release

import (
	"context"
	"fmt"
	"io/fs"
	"slices"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
	"lanetally/pipeline/ledger"
	"lanetally/pipeline/rows"
	"lanetally/queries"
	"lanetally/site/book"
)

// ReadSiteData reads everything that the pages show from the night's tables.
func ReadSiteData(ctx context.Context, l *ledger.Ledger, s *district.Settings, public *publicView) (*book.Data, error) {
	data := &book.Data{District: s.Name, TimeZone: s.TimeZone, PoundsBasis: s.PoundsBasis, Units: s.Publish.Units,
		Settings: siteSettings(s), Compare: s.Compare, Beside: s.Beside}
	asOf, err := ledger.ReadAsOf(ctx, l)
	if err != nil {
		return nil, err
	}
	data.AsOf = asOf
	if err := ledger.FillTables(ctx, l, data, publicTable); err != nil {
		return nil, err
	}
	if data.UnknownColumns, err = readUnknownColumns(ctx, l); err != nil {
		return nil, err
	}
	if err := public.fillSiteData(ctx, l, data); err != nil {
		return nil, err
	}
	describeExports(data, public)
	return data, addQueryTexts(data)
}

// readUnknownColumns lists the columns of deliveries in force that nothing reads.
func readUnknownColumns(ctx context.Context, l *ledger.Ledger) ([]rows.UnknownColumn, error) {
	return ledger.ReadTable[rows.UnknownColumn](ctx, l, `
		select delivery_files.feed, file, trim(unnest(string_split(unknown_columns, ','))) as "column"
		from delivery_files inner join contents using (feed, sha256)
		where unknown_columns <> ''
		order by all`)
}

// siteSettings gives the settings in force under their names in district.toml.
func siteSettings(s *district.Settings) []book.Setting {
	var settings []book.Setting
	values := s.RunValues()
	for i, name := range district.RunColumns() {
		settings = append(settings, book.Setting{Name: name, Value: fmt.Sprint(values[i])})
	}
	return settings
}

// describeExports adds each published export's description and the names of its files.
func describeExports(data *book.Data, public *publicView) {
	for _, contract := range contract.Exports() {
		if !public.isPublished(contract) {
			continue
		}
		export := book.Export{Name: contract.Name, Title: contract.Title, Description: contract.Description}
		for _, field := range contract.Fields {
			export.Columns = append(export.Columns,
				book.ExportColumn{Name: field.Name, Type: field.Type, Unit: field.Unit, Description: field.Description})
		}
		data.Exports = append(data.Exports, export)
		data.Downloads = append(data.Downloads, contract.ExportFiles()...)
	}
}

// addQueryTexts adds the text of every query.
func addQueryTexts(data *book.Data) error {
	names, err := fs.Glob(queries.FS, "*.sql")
	if err != nil {
		return err
	}
	slices.Sort(names)
	for _, name := range names {
		text, err := queries.FS.ReadFile(name)
		if err != nil {
			return err
		}
		data.Queries = append(data.Queries, book.Query{Name: name, Text: string(text)})
	}
	return nil
}
