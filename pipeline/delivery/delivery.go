// Package delivery reads the files of an inbox: CSV, Parquet, and raw weather reports, one a line; text also in gzip.
//
// What comes in: one file, named below an os.Root that it cannot leave. What goes out: a header and rows with the
// line they stand on, their cells as text, and the bytes as delivered. Guarantees: every line is accounted for; a line
// that cannot be split is one faulty row and swallows none of its neighbours; a gzip file is verified whole before
// a row counts; memory stays bounded whatever the file holds. Reading changes nothing.
package delivery

// MaxRecordBytes is the longest row that is read; a longer one is a faulty row.
const MaxRecordBytes = 64 << 10

// A gzip or Parquet file is refused when it expands to more than both of these.
const (
	maxExpandedRatio = 200
	maxExpandedBytes = 64 << 20
)

// Version changes when the same bytes would be read into other rows or cells.
const Version = "1"

// Fault says why a row or a whole file cannot be read: a stable reason, and a remedy that a person can act on.
type Fault struct {
	Reason string
	Remedy string
}

// FileFault is the error for a file of which no row can be used. Rows is how many it holds, where that is known.
type FileFault struct {
	File string
	Fault
	Rows int64
}

// Error names the file, what was found and the remedy.
func (f *FileFault) Error() string {
	return f.File + ": " + f.Reason + "; " + f.Remedy
}

// Row is one record. Cells and Raw are valid until the next call of Next; the cells' texts stay.
type Row struct {
	Line  int64    // first physical line of the record, from 1; in Parquet the row's number + 1, as if under a header
	Cells []string // nil when Fault is not
	Raw   []byte   // as delivered, without the line end; of a line that is too long its first MaxRecordBytes
	Fault *Fault
}

// Row faults. Their reasons are stable: people sort and count by them.
var (
	faultLongLine = &Fault{"line over 64 KiB",
		"look for a missing line end; send the row again with at most 65536 bytes"}
	faultNUL = &Fault{"NUL byte in the line",
		"the line is damaged or no text; export the file again"}
	faultNotUTF8 = &Fault{"not UTF-8",
		"save the file as CSV UTF-8 and send it again"}
	faultOpenQuote = &Fault{"unclosed quote",
		"close the quoted field, or double a quote that belongs to the text"}
	faultAfterQuote = &Fault{"text after a closing quote",
		"double a quote that belongs to the text, or put a comma after the quoted field"}
)

// RowFault gives the row fault with a reason, nil when there is none.
func RowFault(reason string) *Fault {
	for _, fault := range []*Fault{faultLongLine, faultNUL, faultNotUTF8, faultOpenQuote, faultAfterQuote} {
		if fault.Reason == reason {
			return fault
		}
	}
	return nil
}

// File faults.
var (
	faultEmpty      = Fault{"empty file", "send the file again with its header row"}
	faultUTF16      = Fault{"UTF-16, not UTF-8", "save the file as CSV UTF-8 and send it again"}
	faultNotCSV     = Fault{"another kind of file under the name of a CSV file", "name a gzip file .csv.gz and a Parquet file .parquet"}
	faultNotReports = Fault{"another kind of file under the name of a report file",
		"name a gzip file .metar.gz and a Parquet file .parquet"}
	faultGzip = Fault{"damaged gzip",
		"the file was cut or damaged on its way; send it again whole under the same name"}
	faultBomb = Fault{"expands too far",
		"the file expands to over 200 times its size and over 64 MB; send the rows as plain CSV in smaller files"}
	faultNotRegular = Fault{"not a regular file", "put a regular file in its place"}
	faultLink       = Fault{"link out of the folder", "put the file itself into the folder, not a link to it"}
	faultPermission = Fault{"no permission to read", "let the account that runs the nightly job read the file"}
	faultReading    = Fault{"reading broke off", "check the disk and send the file again"}
	faultKind       = Fault{"kind of file that is not read", "send .csv, .csv.gz or .parquet; weather also .metar or .txt"}
	faultChanged    = Fault{"changed while it was read", "none: it is read again the next night"}
	faultCR         = Fault{"lines that end with CR alone", "save the file as CSV UTF-8 with line ends LF or CRLF and send it again"}
	faultParquet    = Fault{"damaged Parquet", "the file was cut or damaged on its way; send it again whole under the same name"}
)

func fileFault(name string, fault Fault) *FileFault { return &FileFault{File: name, Fault: fault} }
