package pipeline

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/disk"
	"lanetally/pipeline/district"
	"lanetally/pipeline/release"
)

func readCrewText(t *testing.T, dir string) string {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(dir, district.CrewFileName))
	require.NoError(t, err)
	return string(text)
}

// TestCrewFileKeepsItsLines: a crew keeps its address and the district its salt; a new crew gets a line, a deleted line a new address.
func TestCrewFileKeepsItsLines(t *testing.T) {
	dir := t.TempDir()
	first, err := district.KeepCrewFile(disk.Layer{}, dir, []string{"north", `o"dd = [x]`})
	require.NoError(t, err)
	text := readCrewText(t, dir)
	info, err := os.Stat(filepath.Join(dir, district.CrewFileName))
	require.NoError(t, err)
	assert.Equal(t, "-rw-------", info.Mode().String())
	require.Len(t, first.Addresses, 2)
	for _, address := range first.Addresses {
		assert.Regexp(t, `^crews/[0-9a-f]{32}\.html$`, address) // 128 bits are 32 hexadecimal digits
	}
	assert.NotEqual(t, first.Addresses["north"], first.Addresses[`o"dd = [x]`])

	_, err = district.KeepCrewFile(disk.Layer{}, dir, []string{"north"})
	require.NoError(t, err)
	assert.Equal(t, text, readCrewText(t, dir), "nothing is new")

	third, err := district.KeepCrewFile(disk.Layer{}, dir, []string{"north", "south"})
	require.NoError(t, err)
	assert.True(t, strings.HasPrefix(readCrewText(t, dir), text), "what stands there is not rewritten")
	assert.Equal(t, first.LabelSalt, third.LabelSalt)

	cut := regexp.MustCompile(`(?m)^"north" = .*\n`).ReplaceAllString(readCrewText(t, dir), "# was north\n")
	require.NotContains(t, cut, first.Addresses["north"])
	require.NoError(t, os.WriteFile(filepath.Join(dir, district.CrewFileName), []byte(cut), 0o600))
	fourth, err := district.KeepCrewFile(disk.Layer{}, dir, []string{"north", "south"})
	require.NoError(t, err)
	assert.NotEqual(t, first.Addresses["north"], fourth.Addresses["north"])
	assert.Equal(t, third.Addresses["south"], fourth.Addresses["south"])
	assert.Contains(t, readCrewText(t, dir), "# was north\n", "remarks stay")

	unsalted := regexp.MustCompile(`(?m)^label_salt.*\n`).ReplaceAllString(readCrewText(t, dir), "")
	require.NoError(t, os.WriteFile(filepath.Join(dir, district.CrewFileName), []byte(unsalted), 0o600))
	fifth, err := district.KeepCrewFile(disk.Layer{}, dir, []string{"north", "south"})
	require.NoError(t, err)
	assert.NotEqual(t, first.LabelSalt, fifth.LabelSalt)
	assert.Equal(t, fourth.Addresses, fifth.Addresses)
}

// TestCrewFileSurvivesEachFault: whichever operation fails, or is the last of a killed run, the file holds what it held or all of the new.
func TestCrewFileSurvivesEachFault(t *testing.T) {
	outcomes := map[bool]int{}
	for n := 1; ; n++ {
		dir := t.TempDir()
		before, err := district.KeepCrewFile(disk.Layer{}, dir, []string{"north"})
		require.NoError(t, err)
		old := readCrewText(t, dir)
		_, err = district.KeepCrewFile(failAt(n, errors.New("broken")), dir, []string{"north", "south"})
		text := readCrewText(t, dir)
		outcomes[text == old]++
		assert.True(t, text == old || strings.HasPrefix(text, old+`"south" = "crews/`) && strings.HasSuffix(text, ".html\"\n"), text)
		after, againErr := district.KeepCrewFile(disk.Layer{}, dir, []string{"north", "south"})
		require.NoError(t, againErr)
		assert.Equal(t, before.Addresses["north"], after.Addresses["north"])
		entries, readErr := os.ReadDir(dir)
		require.NoError(t, readErr)
		assert.Len(t, entries, 1, "no stray file after operation %d", n)
		if err == nil {
			break
		}
	}
	assert.Positive(t, outcomes[true])
	assert.GreaterOrEqual(t, outcomes[false], 1)

	// What a killed run left is taken over with nobody else's right to read.
	dir := t.TempDir()
	require.NoError(t, os.WriteFile(filepath.Join(dir, district.CrewFileName+".tmp"), []byte("half"), 0o644))
	_, err := district.KeepCrewFile(disk.Layer{}, dir, []string{"north"})
	require.NoError(t, err)
	info, err := os.Stat(filepath.Join(dir, district.CrewFileName))
	require.NoError(t, err)
	assert.Equal(t, "-rw-------", info.Mode().String())
}

func TestCrewFileFaultsAreNamed(t *testing.T) {
	address, other := "crews/"+strings.Repeat("0a", 16)+".html", "crews/"+strings.Repeat("0b", 16)+".html"
	for _, c := range []struct{ text, says string }{
		{"label_salt = 'x'\n", "crew_addresses.toml:1: label_salt: this is no salt of 64 hexadecimal digits"},
		{"\n[addresses]\na = '../index.html'\n", "crew_addresses.toml:3: addresses.a: this is no address"},
		{"[addresses]\na = '" + address + "'\nb = '" + address + "'\n",
			`crew_addresses.toml:3: addresses.b: this is also the address of "a"`},
		{"salt = 1\n", `"salt" is not a known key; did you mean "label_salt"?`},
		{"[addresses\n", "crew_addresses.toml:2: expected"},
		{"addresses = { a = '" + other + "' }\n", "finds no place"},
	} {
		dir := t.TempDir()
		require.NoError(t, os.WriteFile(filepath.Join(dir, district.CrewFileName), []byte(c.text), 0o600))
		_, err := district.KeepCrewFile(disk.Layer{}, dir, []string{"c"})
		assert.ErrorContains(t, err, c.says)
		assert.Equal(t, exitSettings, ExitCode(err))
		assert.Equal(t, c.text, readCrewText(t, dir))
	}
}

// TestCrewLabels: labels are HMAC-SHA256 (RFC 2104, computed here apart), differ by salt, and do not stand in the order of the ids.
func TestCrewLabels(t *testing.T) {
	var crewIDs, labels []string
	for i := range 20 {
		crewIDs = append(crewIDs, fmt.Sprintf("crew-%02d", i))
	}
	one, two := district.CrewLabels("salt one", crewIDs), district.CrewLabels("salt two", crewIDs)
	for _, crewID := range crewIDs {
		hash := hmac.New(sha256.New, []byte("salt one"))
		hash.Write([]byte(crewID))
		assert.Equal(t, "c"+hex.EncodeToString(hash.Sum(nil)[:5]), one[crewID])
		assert.NotEqual(t, one[crewID], two[crewID])
		labels = append(labels, one[crewID])
	}
	assert.False(t, slices.IsSorted(labels))
	assert.Len(t, slices.Compact(slices.Sorted(slices.Values(labels))), 20)
	assert.Equal(t, one["crew-03"], district.CrewLabels("salt one", []string{"crew-03"})["crew-03"], "other crews change no label")
}

func TestMembersAreCounted(t *testing.T) {
	for text, wanted := range map[string]int64{"4": 4, " 2 ": 2, "Ada; Bo ;Cy": 3, "Ada;": 1, "Lee, Ada": 1, "-3": -3, ";": 0} {
		n := release.CountMembers(text)
		require.NotNil(t, n, text)
		assert.Equal(t, wanted, *n, text)
	}
	assert.Nil(t, release.CountMembers(" "))
}
