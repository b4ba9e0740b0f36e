package release

import (
	"context"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"math/big"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/apache/arrow-go/v18/arrow"
	"github.com/apache/arrow-go/v18/arrow/memory"
	"github.com/apache/arrow-go/v18/parquet/file"
	"github.com/apache/arrow-go/v18/parquet/pqarrow"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/intake"
	"lanetally/pipeline/ledger"
)

// VerifyRelease rereads a whole release: every file against the manifest, both forms of every export against each other, every
// link of the pages. Each finding names a file.
func VerifyRelease(ctx context.Context, folder string) ([]string, error) {
	findings, err := CompareRelease(folder)
	if err != nil {
		return nil, err
	}
	tables, err := filepath.Glob(filepath.Join(folder, "data", "*.csv"))
	if err != nil {
		return nil, err
	}
	for _, table := range tables {
		stem := strings.TrimSuffix(table, ".csv")
		if fault := CompareForms(ctx, stem); fault != nil {
			findings = append(findings, "data/"+filepath.Base(stem)+": "+fault.Error())
		}
	}
	broken, err := BrokenLinks(filepath.Join(folder, "public"))
	return append(findings, broken...), err
}

// CompareForms asks that stem.csv and stem.parquet hold the same columns and, cell by cell, the same rows. Both are read a row at a time.
func CompareForms(ctx context.Context, stem string) (err error) {
	texts, err := openCSV(stem + ".csv")
	if err != nil {
		return err
	}
	defer func() { err = errors.Join(err, texts.file.Close()) }()
	row := 0
	err = ReadParquet(ctx, stem+".parquet", func(schema *arrow.Schema) error {
		var names []string
		for _, field := range schema.Fields() {
			names = append(names, field.Name)
		}
		if !slices.Equal(names, texts.header) {
			return errors.New("CSV and Parquet have other columns")
		}
		return nil
	}, func(batch arrow.RecordBatch) error {
		for i := range int(batch.NumRows()) {
			row++
			cells, err := texts.Read()
			if errors.Is(err, io.EOF) {
				return errors.New("more rows in Parquet than in CSV")
			}
			if err != nil {
				return err
			}
			for column, values := range batch.Columns() {
				text, err := exportCell(values, i)
				if err != nil {
					return err
				}
				if text != cells[column] {
					return fmt.Errorf("row %d, %s: CSV has %q and Parquet %q", row, texts.header[column], cells[column], text)
				}
			}
		}
		return nil
	})
	if err != nil {
		return err
	}
	if _, err := texts.Read(); !errors.Is(err, io.EOF) {
		return errors.Join(errors.New("CSV has more rows than Parquet"), err)
	}
	return nil
}

// csvRows reads the rows below a CSV file's header; a row's cells are valid until the next is read.
type csvRows struct {
	*csv.Reader
	file   *os.File
	header []string
}

func openCSV(path string) (*csvRows, error) {
	file, err := os.Open(path)
	if err != nil {
		return nil, err
	}
	r := &csvRows{Reader: csv.NewReader(file), file: file}
	r.ReuseRecord = true
	header, err := r.Read()
	if err != nil {
		return nil, errors.Join(fmt.Errorf("CSV has no header: %w", err), file.Close())
	}
	r.header = slices.Clone(header)
	return r, nil
}

// ReadParquet reads a whole Parquet file. Damage is an error, never a panic.
func ReadParquet(ctx context.Context, path string, begin func(*arrow.Schema) error, use func(arrow.RecordBatch) error) (err error) {
	from, err := os.Open(path)
	if err != nil {
		return err
	}
	defer func() {
		if recover() != nil {
			err = errors.New("damaged Parquet")
		}
		if closing := from.Close(); closing != nil && !errors.Is(closing, os.ErrClosed) {
			err = errors.Join(err, closing)
		}
	}()
	parquetFile, err := file.NewParquetReader(from)
	if err != nil {
		return fmt.Errorf("damaged Parquet: %w", err)
	}
	tables, err := pqarrow.NewFileReader(parquetFile, pqarrow.ArrowReadProperties{BatchSize: ledger.BatchRows}, memory.DefaultAllocator)
	if err != nil {
		return fmt.Errorf("damaged Parquet: %w", err)
	}
	schema, err := tables.Schema()
	if err != nil {
		return fmt.Errorf("damaged Parquet: %w", err)
	}
	if err := begin(schema); err != nil {
		return err
	}
	records, err := tables.GetRecordReader(ctx, nil, nil)
	if err != nil {
		return fmt.Errorf("damaged Parquet: %w", err)
	}
	defer records.Release()
	for records.Next() {
		if err := use(records.RecordBatch()); err != nil {
			return err
		}
	}
	if err := records.Err(); err != nil && !errors.Is(err, io.EOF) {
		return fmt.Errorf("damaged Parquet: %w", err)
	}
	return nil
}

// CheckExportSums asks that the CSV of every export, read back, or the Parquet of one that has no CSV, has the rows of the ledger's table
// and, number by number, its sums. Sums are of whole millionths, so that they are exact in any order.
func CheckExportSums(ctx context.Context, l *ledger.Ledger, folder string) error {
	for _, contract := range contract.Exports() {
		found, err := fileSums(ctx, contract, folder)
		if err != nil {
			return fmt.Errorf("read %s back: %w", contract.ExportFiles()[0], err)
		}
		wanted, err := ledgerSums(ctx, l, contract)
		if err != nil {
			return err
		}
		if found != wanted {
			return fmt.Errorf("export %s: the ledger has %s and the file %s; this is a fault of the program or of the disk", contract.Name,
				wanted, found)
		}
	}
	return nil
}

func ledgerSums(ctx context.Context, l *ledger.Ledger, contract *contract.Contract) (string, error) {
	parts := []string{"concat_ws(' ', 'rows', count(*)"}
	for _, field := range contract.Fields {
		if field.Type == "number" {
			parts = append(parts, ledger.QuoteText(field.Name)+fmt.Sprintf(", coalesce(sum(cast(round_even(%s * 1e6, 0) as hugeint)), 0)",
				ledger.QuoteName(field.Name)))
		}
	}
	rows, err := ledger.ReadTable[struct {
		Sums string `db:"sums"`
	}](ctx, l, "select "+strings.Join(parts, ", ")+") as sums from "+ledger.QuoteName(contract.LedgerTable()))
	if err != nil {
		return "", err
	}
	return rows[0].Sums, nil
}

// fileSums writes the sums of an export's first file as ledgerSums does.
func fileSums(ctx context.Context, contract *contract.Contract, folder string) (string, error) {
	sums := newColumnSums(contract)
	path := filepath.Join(folder, contract.ExportFiles()[0])
	if !contract.ParquetOnly {
		rows, err := openCSV(path)
		if err != nil {
			return "", err
		}
		row, err := rows.Read()
		for ; err == nil; row, err = rows.Read() {
			sums.add(row)
		}
		if errors.Is(err, io.EOF) {
			err = nil
		}
		return sums.text(), errors.Join(err, rows.file.Close())
	}
	cells := make([]string, len(contract.Fields))
	err := ReadParquet(ctx, path, func(*arrow.Schema) error { return nil }, func(batch arrow.RecordBatch) error {
		for row := range int(batch.NumRows()) {
			for i, column := range batch.Columns() {
				text, err := exportCell(column, row)
				if err != nil {
					return err
				}
				cells[i] = text
			}
			sums.add(cells)
		}
		return nil
	})
	return sums.text(), err
}

// columnSums counts rows and sums the number columns of an export in whole millionths.
type columnSums struct {
	contract *contract.Contract
	rows     int
	totals   []*big.Int
}

func newColumnSums(contract *contract.Contract) *columnSums {
	s := &columnSums{contract: contract}
	for range contract.Fields {
		s.totals = append(s.totals, new(big.Int))
	}
	return s
}

func (s *columnSums) add(row []string) {
	s.rows++
	for i := range s.contract.Fields {
		if s.contract.Fields[i].Type != "number" {
			continue
		}
		if number, err := strconv.ParseFloat(row[i], 64); err == nil {
			millionths, _ := big.NewFloat(math.RoundToEven(number * 1e6)).Int(nil)
			s.totals[i].Add(s.totals[i], millionths)
		}
	}
}

func (s *columnSums) text() string {
	text := fmt.Sprintf("rows %d", s.rows)
	for i, field := range s.contract.Fields {
		if field.Type == "number" {
			text += fmt.Sprintf(" %s %s", field.Name, s.totals[i])
		}
	}
	return text
}

// VerifyDistrict rereads every kept release against its manifest, the live one whole, and the archive.
func VerifyDistrict(ctx context.Context, dir string) (findings []string, err error) {
	live, err := LiveRelease(dir)
	if err != nil {
		return nil, err
	}
	if live == "" {
		findings = append(findings, "current: there is no live release; run lanetally nightly "+dir)
	} else {
		found, err := VerifyRelease(ctx, filepath.Join(dir, "current")+string(filepath.Separator))
		if err != nil {
			return nil, err
		}
		findings = prefixed(findings, "current/", found)
	}
	ids, err := ReleaseIDs(dir)
	if err != nil {
		return nil, err
	}
	entries, err := os.ReadDir(filepath.Join(dir, "releases"))
	if err != nil && !errors.Is(err, fs.ErrNotExist) {
		return nil, err
	}
	for _, entry := range entries {
		if !entry.IsDir() {
			findings = append(findings, "releases/"+entry.Name()+": extra")
		}
	}
	for _, id := range ids {
		if id == live {
			continue
		}
		found, err := CompareRelease(filepath.Join(dir, "releases", id))
		if err != nil && !errors.Is(err, fs.ErrNotExist) {
			return nil, err
		}
		findings = prefixed(findings, "releases/"+id+"/", found)
	}
	damaged, err := intake.VerifyArchive(ctx, dir)
	return append(findings, damaged...), err
}

func prefixed(to []string, prefix string, lines []string) []string {
	for _, line := range lines {
		to = append(to, prefix+line)
	}
	return to
}
