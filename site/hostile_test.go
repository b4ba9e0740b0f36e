package site

import (
	"html"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// hostile are names and ids that must stay inert and readable wherever they stand.
var hostile = []string{
	`<img src=x onerror="document.title='taken'">`, scriptName, `--><script>document.title='taken'</script>`,
	`"><b onclick='document.title="taken"'>x</b>`, functionName, quotedName,
	`{{.District}} ${document.title} %s %!d(MISSING)`, `javascript:document.title='taken'`, `]]></style><style>*{display:none}</style>`,
	"turned \u202egnp.exe", "left \u2067open", "zero\u200bwidth\ufeff", "כביש 7 (צפון)", "طريق ٣", "🧂 plow 👩\u200d🔧",
	strings.Repeat("W", 300), strings.Repeat("wide name ", 30), "CON", "../x", "a/b\\c", "&amp;lt;", "two\nlines", " ",
}

// renamer puts a hostile text in place of each id and name, the same for the same.
type renamer struct {
	given map[string]string
	used  int
}

func (r *renamer) next() string {
	text := hostile[r.used%len(hostile)]
	if r.used >= len(hostile) {
		text += strings.Repeat("\u00b7", r.used/len(hostile)) // ids differ
	}
	r.used++
	return text
}

// rename walks rows and replaces every text that is an id, and every name.
func (r *renamer) rename(v reflect.Value) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			r.rename(v.Elem())
		}
	case reflect.Slice:
		for i := range v.Len() {
			r.rename(v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			field := v.Type().Field(i)
			if v.Field(i).Kind() == reflect.String {
				v.Field(i).SetString(r.renamed(field.Name, v.Field(i).String()))
			} else if v.Field(i).CanSet() {
				r.rename(v.Field(i))
			}
		}
	}
}

// renamed replaces names outright, and ids wherever they stand.
func (r *renamer) renamed(field, text string) string {
	switch field {
	case "Name", "Label", "Text", "Detail", "Watershed", "Source", "Basis", "File", "Raw":
		if text != "" {
			return r.next()
		}
	case "RouteID", "CrewID", "ZoneID", "StationID", "MaterialID", "TruckID", "StormID", "DistrictID", "SubjectID", "StockpileID",
		"CrewIDs":
		if text == "" || text == rows.AllCrews {
			return text
		}
		if r.given[text] == "" {
			r.given[text] = r.next()
		}
		return r.given[text]
	}
	return text
}

func hostileDistrict() *book.Data {
	data := madeSeasons(3)
	data.District = hostile[0] + hostile[9] + hostile[15]
	r := &renamer{given: map[string]string{}}
	rows := reflect.ValueOf(data).Elem()
	for i := range rows.NumField() {
		switch rows.Type().Field(i).Name {
		case "Queries", "Exports", "Settings":
		default:
			r.rename(rows.Field(i))
		}
	}
	return data
}

var plainFile = regexp.MustCompile(`^([a-z-]+/)?[a-z0-9_=-]+\.html$`)

// Hostile names and ids on every page: no file has an unsafe name, nothing runs or becomes an element, nothing turns the text
// around it or spreads the page, and each can be read.
func TestHostileNamesStayInertOnEveryPage(t *testing.T) {
	data := hostileDistrict()
	ids := ""
	for _, route := range data.Routes {
		ids += route.RouteID
	}
	require.Contains(t, ids, "<", "ids are hostile too")
	dir := builtWith(t, data)
	files, err := readFiles(dir)
	require.NoError(t, err)
	ctx := newBrowser(t)
	seen := watch(t, ctx, dir)
	folded := map[string]bool{}
	for _, path := range pagesOf(t, dir) {
		name, err := filepath.Rel(dir, path)
		require.NoError(t, err)
		assert.Regexp(t, plainFile, name)
		assert.False(t, folded[strings.ToLower(name)], "%s: the same name where case is ignored", name)
		folded[strings.ToLower(name)] = true
		holds(t, visit(t, ctx, path, 360), name, 360)
	}
	assert.Len(t, folded, 12+1+2*6+14+2*6)
	assert.Empty(t, seen.all())
	for _, route := range data.Routes {
		page := html.UnescapeString(files["routes/"+format.FileName(route.RouteID)+".html"])
		for _, text := range []string{route.RouteID, route.Name} {
			assert.Contains(t, page, format.Unseen.Replace(text), "the page of the route says its name whole")
		}
	}
}

func TestIsolatedSetsNamesFromTheRightApart(t *testing.T) {
	for name, want := range map[string]string{"Mill bridge": "Mill bridge", "": "", "כביש 7": "\u2068כביש 7\u2069",
		"طريق": "\u2068طريق\u2069", "a\u2068b": "ab", "x\u2069 כ": "\u2068x כ\u2069", "🧂": "🧂"} {
		assert.Equal(t, want, format.Isolated(name))
	}
	assert.Equal(t, "\u2068כבי…\u2069", format.Shortened(format.Isolated("כביש שבע"), 5))
	assert.Equal(t, "ab…", format.Shortened("abcd", 3))
	assert.Equal(t, "abc", format.Shortened("abc", 3))
}
