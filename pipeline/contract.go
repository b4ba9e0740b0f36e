package pipeline

// Contract is the Table Schema of one feed, reference table or export, read from package schemas.
type Contract struct {
	Name        string   `json:"name"`
	Title       string   `json:"title"`
	Description string   `json:"description"`
	Fields      []Field  `json:"fields"`
	PrimaryKey  []string `json:"primaryKey"`
}

// Field is one column of a contract. Type is one of string, number, integer, boolean, datetime, date.
type Field struct {
	Name        string      `json:"name"`
	Type        string      `json:"type"`
	Description string      `json:"description"`
	Unit        string      `json:"unit,omitempty"`
	Constraints Constraints `json:"constraints"`
}

// Constraints are a field's bounds; absent ones are zero or nil.
type Constraints struct {
	Required bool     `json:"required,omitempty"`
	Minimum  *float64 `json:"minimum,omitempty"`
	Maximum  *float64 `json:"maximum,omitempty"`
	Enum     []string `json:"enum,omitempty"`
	Pattern  string   `json:"pattern,omitempty"`
}

// Fault says why a row or a file cannot be used: a stable reason, and a remedy that a person can act on.
type Fault struct {
	Column string
	Reason string
	Remedy string
}

// Value is one parsed cell. Null means absent or empty. Trace marks a precip_in of T, whose Number is 0.
type Value struct {
	Null   bool
	Text   string  // string
	Number float64 // number, integer
	Micros int64   // datetime: microseconds since 1970 UTC; date: days since 1970
	Bool   bool
	Trace  bool
}
