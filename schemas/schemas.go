// Package schemas holds what goes in and what comes out: the feeds', reference tables' and exports' contracts
// in the open Table Schema format, and the DDL of the tables that loading fills.
package schemas

import "embed"

// FS holds feeds/*.json, reference/*.json, exports/*.json and tables/*.sql.
//
//go:embed feeds/*.json reference/*.json exports/*.json tables/*.sql
var FS embed.FS
