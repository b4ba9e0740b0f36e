package site

import (
	"bytes"
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

var (
	picturesDir = flag.String("pictures", "", "folder for the README's pictures")
	demoDir     = flag.String("demo", "", "demo district whose published pages the pictures show")
)

// TestPictures takes the README's pictures from the demo's pages, where `make pictures` asks for them.
func TestPictures(t *testing.T) {
	if *picturesDir == "" || *demoDir == "" {
		t.Skip("make pictures gives -pictures and -demo")
	}
	public, err := filepath.Abs(filepath.Join(*demoDir, "current", "public"))
	require.NoError(t, err)
	ctx := newBrowser(t)
	require.NoError(t, call(ctx, network.Enable, network.EnableParams{}))
	require.NoError(t, os.MkdirAll(*picturesDir, 0o755))
	for _, picture := range []struct {
		name, page    string
		width, height int64
	}{
		{"season", "index.html", 1280, 1560},
		{"storm", latestOf(t, filepath.Join(public, "storms"), 2), 1280, 1400},
	} {
		path := picture.page
		if !filepath.IsAbs(path) {
			path = filepath.Join(public, path)
		}
		require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(picture.width, picture.height), chromedp.Navigate(fileURL(path))))
		content, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
		require.NoError(t, err)
		shown, err := png.DecodeConfig(bytes.NewReader(content))
		require.NoError(t, err)
		assert.Equal(t, int(picture.width), shown.Width, picture.name)
		require.NoError(t, os.WriteFile(filepath.Join(*picturesDir, picture.name+".png"), content, 0o644))
	}
}

// latestOf is the page that stands at this place from the end of a folder, by name.
func latestOf(t *testing.T, dir string, place int) string {
	entries, err := os.ReadDir(dir)
	require.NoError(t, err)
	require.GreaterOrEqual(t, len(entries), place)
	return filepath.Join(dir, entries[len(entries)-place].Name())
}
