package pipeline

import "time"

// WxCheck tells whether a present_wx text is readable; nil when it is.
type WxCheck func(string) error

// RowParser turns the cells of one delivery's rows into values. It remembers, per truck or station, where the file
// stands within a repeated hour; so one parser serves one file, rows in file order.
type RowParser struct {
	// Wx checks present_wx; nil accepts every text.
	Wx WxCheck
}

// NewRowParser fits a contract and a mapping to a file's header. The fault rejects the file whole.
func NewRowParser(c *Contract, m Mapping, loc *time.Location, header []string) (*RowParser, *Fault) {
	return &RowParser{}, nil
}

// Parse gives the values of one row in the order of the contract's fields, or the first fault by that order.
func (p *RowParser) Parse(cells []string) ([]Value, *Fault) { return nil, nil }

// UnknownColumns names the header's columns that nothing reads, in header order.
func (p *RowParser) UnknownColumns() []string { return nil }
