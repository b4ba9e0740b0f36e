// Package delivery reads the files of an inbox: CSV, Parquet, and raw weather reports, one a line; text also in gzip.
//
// What comes in: one file, named below an os.Root that it cannot leave. What goes out: a header and rows with the
// line they stand on, their cells as text, and the bytes as delivered. Guarantees: every line is accounted for; a line
// that cannot be split is one faulty row and swallows none of its neighbours; a gzip file is verified whole before
// a row counts; memory stays bounded whatever the file holds. Reading changes nothing.
package delivery

import "lanetally/pipeline/rows"

// MaxRecordBytes is the longest row that is read; a longer one is a faulty row.
const MaxRecordBytes = 64 << 10

// A gzip or Parquet file is refused when it expands to more than both of these.
const (
	maxExpandedRatio = 200
	maxExpandedBytes = 16 << 20
	rowBytes         = 16 // that a row counts there beyond its own
)

// shortestRow is the number of bytes below which no row holds a name and a time, and no line a weather report.
const shortestRow = 8

// Version changes when the same bytes would be read into other rows or cells.
const Version = "2"

// Fault says why a row or a whole file cannot be read.
type Fault = rows.Fault

// FileFault is the error for a file of which no row can be used. Rows is how many it holds, where that is known.
type FileFault struct {
	File string
	Fault
	Rows int64
}

// Error names the file, what was found and the remedy.
func (f *FileFault) Error() string {
	return f.File + ": " + f.Text()
}

// Row is one record. Cells and Raw are valid until the next call of Next; the cells' texts stay.
type Row struct {
	Line  int64    // first physical line of the record, from 1; in Parquet the row's number + 1, as if under a header
	Cells []string // nil when Fault is not
	Raw   []byte   // as delivered, without the line end; of a line that is too long its first MaxRecordBytes
	Fault *Fault
	Rest  int64 // of a row that only stands for others: how many rows with the same fault are not given; Line is 0
}

// Count is the number of rows that the row is or stands for.
func (r *Row) Count() int64 { return max(1, r.Rest) }

// MaxFaultyRows is how many rows of a file that can never be read are given for each fault; of the others one row tells the number.
const MaxFaultyRows = 1000

// Row faults. Their reasons are stable: the archive keeps them, people sort and count by them.
var (
	faultLongLine   = &Fault{Code: "long_line"}
	faultNUL        = &Fault{Code: "nul"}
	faultNotUTF8    = &Fault{Code: "not_utf8"}
	faultOpenQuote  = &Fault{Code: "open_quote"}
	faultAfterQuote = &Fault{Code: "after_quote"}
	rowFaults       = []*Fault{fewerCellsPlace: {Code: "fewer_cells"}, moreCellsPlace: {Code: "more_cells"},
		shortPlace: {Code: "short_row"}, 3: faultLongLine, faultNUL, faultNotUTF8, faultOpenQuote, faultAfterQuote}
)

// Places in rowFaults of those that only rows which are not given have; those that are given have them from their parser.
const (
	fewerCellsPlace = iota
	moreCellsPlace
	shortPlace
)

// IsOpenQuote tells the fault of a row that may be another once more text follows.
func IsOpenQuote(fault *Fault) bool { return fault == faultOpenQuote }

// RowFault gives the row fault with a reason, nil when there is none.
func RowFault(reason string) *Fault {
	for _, fault := range rowFaults {
		if fault.Reason() == reason {
			return fault
		}
	}
	return nil
}

// File faults.
var (
	faultEmpty      = Fault{Code: "empty_file"}
	faultUTF16      = Fault{Code: "utf16"}
	faultNotCSV     = Fault{Code: "not_csv"}
	faultNotReports = Fault{Code: "not_reports"}
	faultGzip       = Fault{Code: "damaged_gzip"}
	faultBomb       = Fault{Code: "expands"}
	faultWide       = Fault{Code: "wide_parquet"}
	faultNotRegular = Fault{Code: "not_regular"}
	faultLink       = Fault{Code: "link"}
	faultPermission = Fault{Code: "no_permission"}
	faultReading    = Fault{Code: "reading_broke_off"}
	faultKind       = Fault{Code: "kind_not_read"}
	faultChanged    = Fault{Code: "changed"}
	faultCR         = Fault{Code: "cr_lines"}
	faultParquet    = Fault{Code: "damaged_parquet"}
)

func fileFault(name string, fault Fault) *FileFault { return &FileFault{File: name, Fault: fault} }
