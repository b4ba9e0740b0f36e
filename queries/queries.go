// Package queries holds the tally's SQL, one table or view a file, numbered in the order of a night.
//
// Every file runs as it stands in the DuckDB shell on a copy of ledger.duckdb.
package queries

import "embed"

// FS holds every query, by file name.
//
//go:embed *.sql
var FS embed.FS
