package pipeline

import "errors"

// ReferenceTable is one file of reference/, parsed. Rows hold the values in the order of Contract.Fields, defaults filled
// in; Lines holds each row's line in the file. TableName is the table's name in the database.
type ReferenceTable struct {
	Contract  *Contract
	TableName string
	File      string
	Rows      [][]Value
	Lines     []int
}

// Reference holds every reference table, absent optional ones without rows, in the order in which they are loaded.
type Reference struct {
	Tables   []ReferenceTable
	Warnings []LineFault
}

// ReferenceFault holds every fault of the reference tables, sorted; the night ends with exit code 65.
type ReferenceFault struct {
	Faults []LineFault
}

// Error gives one line a fault.
func (f *ReferenceFault) Error() string { return joinFaults(f.Faults) }

// ReadReference reads and checks the folder reference/ of the district folder dir.
func ReadReference(dir string, s *Settings) (*Reference, error) {
	return nil, errors.New("reference tables are not read yet")
}
