package site

import (
	"bytes"
	"flag"
	"image/png"
	"os"
	"path/filepath"
	"slices"
	"strings"
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
		{"storm", latestClosed(t, filepath.Join(public, "storms")) + "#zone-ridge", 1280, 1060},
	} {
		page, place, _ := strings.Cut(picture.page, "#")
		address := fileURL(filepath.Join(public, page))
		if place != "" {
			text, err := os.ReadFile(filepath.Join(public, page))
			require.NoError(t, err)
			require.Contains(t, string(text), `id="`+place+`"`)
			address += "#" + place
		}
		require.NoError(t, chromedp.Do(ctx, chromedp.EmulateViewport(picture.width, picture.height), chromedp.Navigate(address)))
		content, err := chromedp.Run(ctx, chromedp.CaptureScreenshot())
		require.NoError(t, err)
		shown, err := png.DecodeConfig(bytes.NewReader(content))
		require.NoError(t, err)
		assert.Equal(t, int(picture.width), shown.Width, picture.name)
		require.NoError(t, os.WriteFile(filepath.Join(*picturesDir, picture.name+".png"), content, 0o644))
	}
}

// latestClosed is the page of the last storm but one: the demo's last is still open.
func latestClosed(t *testing.T, dir string) string {
	pages, err := filepath.Glob(filepath.Join(dir, "*.html"))
	require.NoError(t, err)
	pages = slices.DeleteFunc(pages, func(path string) bool { return strings.HasSuffix(path, "-sheet.html") })
	require.GreaterOrEqual(t, len(pages), 2)
	return filepath.Join(filepath.Base(dir), filepath.Base(pages[len(pages)-2]))
}
