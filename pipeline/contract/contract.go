// Package contract is what deliveries, reference tables and exports promise: columns, types, units and bounds, read from schemas/.
//
// In: cells of text. Out: values in the contract's units, or a fault that names what was found, what is wanted and the remedy. Nothing
// here touches a disk or a database.
package contract

import (
	"cmp"
	"encoding/json"
	"fmt"

	"lanetally/pipeline/rows"
	"lanetally/schemas"
)

// Contract is the Table Schema of one feed, reference table or export, read from package schemas.
// Keys holds, for a feed whose rows may be told apart in more than one way, the alternatives in the order in which they
// are tried: the first whose columns are all filled is the row's key. It is empty where PrimaryKey says it all. An export
// that is ParquetOnly has no CSV.
type Contract struct {
	Name        string       `json:"name"`
	Title       string       `json:"title"`
	Description string       `json:"description"`
	Fields      []Field      `json:"fields"`
	PrimaryKey  []string     `json:"primaryKey"`
	Keys        [][]string   `json:"alternativeKeys,omitempty"`
	ForeignKeys []ForeignKey `json:"foreignKeys,omitempty"`
	ParquetOnly bool         `json:"parquetOnly,omitempty"`
	Table       string       `json:"table,omitempty"` // of the ledger, of an export; the contract's name where it is empty
}

// ForeignKey says that the columns Fields must stand in the columns of another table.
type ForeignKey struct {
	Fields    []string     `json:"fields"`
	Reference KeyReference `json:"reference"`
}

// KeyReference names the table and columns that a foreign key points to.
type KeyReference struct {
	Resource string   `json:"resource"`
	Fields   []string `json:"fields"`
}

// Field is one column of a contract. Type is one of string, number, integer, boolean, datetime, date.
// Default is what an empty cell of a reference table means; nil where an empty cell stays empty.
// Public says, of an export's column, whether and where it is published; one that is silent is not.
// TraceText is the text that a number column also accepts for an amount too small to measure.
type Field struct {
	Name        string      `json:"name"`
	Type        string      `json:"type"`
	Description string      `json:"description"`
	Unit        string      `json:"unit,omitempty"`
	Default     *float64    `json:"default,omitempty"`
	Public      string      `json:"public,omitempty"`
	TraceText   string      `json:"traceText,omitempty"`
	Constraints Constraints `json:"constraints"`
}

// Constraints are a field's bounds; absent ones are zero or nil.
type Constraints struct {
	Required         bool     `json:"required,omitempty"`
	Minimum          *float64 `json:"minimum,omitempty"`
	ExclusiveMinimum *float64 `json:"exclusiveMinimum,omitempty"`
	Maximum          *float64 `json:"maximum,omitempty"`
	Enum             []string `json:"enum,omitempty"`
	Pattern          string   `json:"pattern,omitempty"`
}

// Fault says why a row, or a whole file, cannot be used.
type Fault = rows.Fault

// Value is one parsed cell. Null means absent or empty. Trace marks a precip_in of T, whose Number is 0.
type Value struct {
	Null   bool
	Text   string  // string
	Number float64 // number, integer
	Micros int64   // datetime: microseconds since 1970 UTC; date: days since 1970
	Bool   bool
	Trace  bool
}

// LoadContract reads the embedded contract of one table. Kind is feeds, reference or exports; name is the table's name
// as it stands in the contracts, without ending (reference/storms for the declared storms).
func LoadContract(kind, name string) (*Contract, error) {
	path := kind + "/" + name + ".json"
	text, err := schemas.FS.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("contract %q: %w", path, err)
	}
	contract := &Contract{}
	if err := json.Unmarshal(text, contract); err != nil {
		return nil, fmt.Errorf("contract %q: %w", path, err)
	}
	return contract, nil
}

// FeedNames, ReferenceNames and ExportNames are the contracts of each kind. The reference tables stand in an order in which
// every table comes after those that it points to.
var (
	FeedNames      = []string{"passes", "weather", "tickets", "stock", "conditions", "breadcrumbs"}
	ReferenceNames = []string{"zones", "stations", "routes", "crews", "material_classes", "assignments", "trucks", "materials", "prices",
		"calibrations", "catch_tests", "pairs", "orders", "storms", "route_lines", "other_roads", "bridges"}
	ExportNames = []string{"storms", "storm_routes", "outside_storms", "crew_storms", "learning", "claims", "beside_salt",
		"comparison_seasons", "comparison_storms", "plans", "reconciliation", "stock_outlook", "season_severity", "season_costs",
		"break_even", "watershed_storms", "watershed_seasons", "timing", "frosts",
		"weather_findings", "coverage", "passes", "weak_passes", "intake", "quarantine"}
)

// LedgerTable is the table of the ledger that an export is written from.
func (c *Contract) LedgerTable() string { return cmp.Or(c.Table, c.Name) }

// Exports are the contracts of all exports. It panics where one does not read: they are part of the program.
func Exports() (list []*Contract) {
	for _, name := range ExportNames {
		c, err := LoadContract("exports", name)
		if err != nil {
			panic(err)
		}
		list = append(list, c)
	}
	return list
}

// ExportFiles are the files of an export.
func (c *Contract) ExportFiles() []string {
	if c.ParquetOnly {
		return []string{c.Name + ".parquet"}
	}
	return []string{c.Name + ".csv", c.Name + ".parquet"}
}

// Index gives the place of a column in Fields, or -1.
func (c *Contract) Index(column string) int {
	for i := range c.Fields {
		if c.Fields[i].Name == column {
			return i
		}
	}
	return -1
}
