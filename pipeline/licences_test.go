package pipeline

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/google/licensecheck"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// permissive are the licences (SPDX) that ask for no more than notice.
var permissive = []string{"0BSD", "Apache-2.0", "BSD-2-Clause", "BSD-3-Clause", "BSL-1.0", "CC0-1.0", "ISC", "MIT", "Unlicense", "Zlib"}

// linkedModules are the modules that the program is made of: path, then folder.
func linkedModules(t *testing.T) [][2]string {
	t.Helper()
	command := exec.Command("go", "list", "-deps", "-f", "{{with .Module}}{{if not .Main}}{{.Path}}\t{{.Dir}}{{end}}{{end}}",
		"./pipeline/lanetally")
	command.Dir = repoRoot
	out, err := command.Output()
	require.NoError(t, err)
	lines := strings.Fields(string(out))
	var modules [][2]string
	for i := 0; i < len(lines); i += 2 {
		modules = append(modules, [2]string{lines[i], lines[i+1]})
	}
	slices.SortFunc(modules, func(a, b [2]string) int { return strings.Compare(a[0], b[0]) })
	return slices.Compact(modules)
}

var licenceName = regexp.MustCompile(`(?i)^(licen[cs]e|copying)([.-].*)?$`)

// licencesIn names the licences of the licence files in a module's folder, each once, in order.
func licencesIn(t *testing.T, folder string) (found []string) {
	t.Helper()
	entries, err := os.ReadDir(folder)
	require.NoError(t, err)
	for _, entry := range entries {
		if entry.IsDir() || !licenceName.MatchString(entry.Name()) {
			continue
		}
		for _, match := range licensecheck.Scan(must(os.ReadFile(filepath.Join(folder, entry.Name())))).Match {
			found = append(found, match.ID)
		}
	}
	slices.Sort(found)
	return slices.Compact(found)
}

// TestLicencesArePermissive: the table of licences that the bill of materials uses names those of each module of the program, as its own
// licence files say, and of each package of the chart script, as its package.json says; all of them are permissive.
func TestLicencesArePermissive(t *testing.T) {
	modules := linkedModules(t)
	require.Greater(t, len(modules), 20)
	table := ""
	for _, module := range modules {
		found := licencesIn(t, module[1])
		assertPermissive(t, module[0], found)
		table += module[0] + "\t" + strings.Join(found, " AND ") + "\n"
	}
	path := filepath.Join(repoRoot, "testdata", "licences.tsv")
	if *update {
		require.NoError(t, os.WriteFile(path, []byte(table), 0o644))
	}
	require.Equal(t, table, string(must(os.ReadFile(path))), "rewrite it with -update")

	var lock struct {
		Packages map[string]struct {
			License string
			Dev     bool
		}
	}
	require.NoError(t, json.Unmarshal(must(os.ReadFile(filepath.Join(repoRoot, "site", "package-lock.json"))), &lock))
	require.Greater(t, len(lock.Packages), 3)
	for name, item := range lock.Packages {
		if name != "" && !item.Dev {
			assertPermissive(t, name, []string{item.License})
		}
	}
	var bill struct {
		Components []struct {
			Name     string
			Licenses []struct{ Expression string }
		}
	}
	command := exec.Command("node", ".ci/sbom.mjs", buildProgram(t), "site/package-lock.json", "testdata/licences.tsv")
	command.Dir = repoRoot
	out, err := command.Output()
	require.NoError(t, err)
	require.NoError(t, json.Unmarshal(out, &bill))
	assert.GreaterOrEqual(t, len(bill.Components), len(modules))
	for _, component := range bill.Components {
		require.Len(t, component.Licenses, 1, component.Name)
		assert.NotEmpty(t, component.Licenses[0].Expression, component.Name)
	}
}

func assertPermissive(t assert.TestingT, name string, found []string) bool {
	return assert.NotEmpty(t, found, "%s: no licence is found", name) && assert.Subset(t, permissive, found, "%s is not permissive", name)
}

// TestLicencesThatAreNot: a module whose licence asks for more than notice, or that has none, is found out.
func TestLicencesThatAreNot(t *testing.T) {
	folder := t.TempDir()
	assert.False(t, assertPermissive(new(assert.CollectT), "without", licencesIn(t, folder)))
	const copyleft = "This program is free software: you can redistribute it and/or modify it under the terms of the GNU General " +
		"Public License as published by the Free Software Foundation, either version 3 of the License, or any later version."
	require.NoError(t, os.WriteFile(filepath.Join(folder, "COPYING"), []byte(copyleft), 0o644))
	found := licencesIn(t, folder)
	require.Len(t, found, 1)
	assert.Contains(t, found[0], "GPL-3.0")
	assert.False(t, assertPermissive(new(assert.CollectT), "copyleft", found))
}
