//go:build !duckdb_arrow

package ledger

// The Arrow interface of DuckDB needs the build tag duckdb_arrow. Use make, or export GOFLAGS=-tags=duckdb_arrow.
var _ = build_with_tag_duckdb_arrow_or_use_make
