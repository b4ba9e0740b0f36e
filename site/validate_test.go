package site

import (
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// validate runs html-validate (npm: html-validate) over pages.
func validate(pages ...string) (string, error) {
	script := filepath.Join(checkers, "..", "validate.mjs")
	output, err := exec.Command("node", append([]string{script}, pages...)...).CombinedOutput()
	return string(output), err
}

// Every page is valid HTML; half of them in each of two processes.
func TestEveryPageIsValidHTML(t *testing.T) {
	require.DirExists(t, filepath.Join(checkers, "html-validate"), "run npm ci --ignore-scripts in testdata/checkers")
	pages := pagesOf(t, builtWith(t, madeSeasons(8)))
	require.Len(t, pages, 12+1+2*16+14+2*6)
	type result struct {
		output string
		err    error
	}
	results := make(chan result)
	for part := range 2 {
		var half []string
		for i := part; i < len(pages); i += 2 {
			half = append(half, pages[i])
		}
		go func() {
			output, err := validate(half...)
			results <- result{output, err}
		}()
	}
	for range 2 {
		r := <-results
		assert.NoError(t, r.err)
		assert.Empty(t, r.output)
	}
}

func TestTheCheckerOfHTMLFindsFaults(t *testing.T) {
	page := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, os.WriteFile(page, []byte("<!DOCTYPE html>\n<html lang=\"en\"><head><title>A</title></head><body><p "+
		"id=\"a\"><div id=\"a\"></div></p></body></html>\n"), 0o644))
	output, err := validate(page)
	assert.Error(t, err)
	assert.Contains(t, output, "no-dup-id")
}
