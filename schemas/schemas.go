// Package schemas holds what goes in and what comes out: the feeds', reference tables' and exports' contracts
// in the open Table Schema format, and the DDL of the tables that loading fills.
package schemas

import (
	"embed"
	"io/fs"
)

// FS holds feeds/*.json, reference/*.json, exports/*.json, tables/*.sql, and in new/ what a new district's reference/ begins with: the
// common materials, each value with its source, and two rows of each other table for an example.
//
//go:embed feeds/*.json reference/*.json exports/*.json tables/*.sql new/*
var FS embed.FS

// Public is public.sql: what is withheld of tables for the sake of crews too small for figures.
//
//go:embed public.sql
var Public string

// NewReference is the folder of what a new district's reference/ begins with.
func NewReference() fs.FS {
	folder, err := fs.Sub(FS, "new")
	if err != nil {
		panic(err) // new is a folder's name
	}
	return folder
}
