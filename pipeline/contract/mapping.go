package contract

// Mapping says how the headers of a district's own export become the columns of a feed. Columns that it does not name
// are looked for under their own names. TimeFormat, where set, is the one form of every time without exception
// (package localtime, Format).
type Mapping struct {
	Columns    map[string]ColumnSource
	TimeFormat string
}

// ColumnSource is where one column of a feed comes from: the header From, the lowest number of the headers FromLowest that a row fills, or
// the fixed text Value. Unit is the unit of the delivered numbers where it is not the contract's. Values replaces whole cells before they
// are read.
type ColumnSource struct {
	From       string
	FromLowest []string `json:",omitempty"`
	Value      *string
	Unit       string
	Values     map[string]string
}
