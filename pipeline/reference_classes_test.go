package pipeline

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/district"
)

// Without the file and with its header alone the classes are today's three.
func TestUsualMaterialClasses(t *testing.T) {
	for _, text := range []string{"", "class,compared\n"} {
		files := wholeReference()
		if text != "" {
			files["material_classes.csv"] = text
		}
		reference, err := readReference(t, files)
		require.NoError(t, err, text)
		table := reference.Table("material_classes")
		require.Len(t, table.Rows, 3)
		want := [][]contract.Value{{{Text: "acetate"}, {Bool: true}}, {{Text: "chloride"}, {Bool: true}},
			{{Text: "abrasive"}, {Bool: false}}}
		assert.Equal(t, want, table.Rows)
	}
}

const orYes = ", or yes beside it in reference/material_classes.csv"

const notThere = " is not in reference/material_classes.csv; add it there, or put the name right (the nearest there is "

// Each fault with its neighbour that is just valid.
func TestMaterialClassFaults(t *testing.T) {
	const four = "class,compared\nchloride,yes\nacetate,yes\nformate,yes\nsand mix,no\n"
	cases := []struct{ classes, file, old, valid, faulty, want string }{
		{four, "materials.csv", "cma,CMA,acetate", "cma,CMA,formate", "cma,CMA,formiate",
			`reference/materials.csv:3: class: "formiate"` + notThere + `"formate")`},
		{four, "assignments.csv", "acetate,A", "formate,A", "abrasive,A",
			`reference/assignments.csv:3: material_class: "abrasive"` + notThere + `"acetate")`},
		{four, "orders.csv", "from_date,text\n2030-01-10,Hold back on bridges", "from_date,text,material_class\n2030-01-10,x,sand mix",
			"from_date,text,material_class\n2030-01-10,x,sand",
			`reference/orders.csv:2: material_class: "sand"` + notThere + `"sand mix")`},
		{"", "materials.csv", "cma,CMA,acetate", "cma,CMA,abrasive", "cma,CMA,formate",
			`reference/materials.csv:3: class: "formate" is not a class; put the name right ` +
				`(the nearest of acetate, chloride, abrasive is "acetate"), or write reference/material_classes.csv with all classes`},
		{four, "material_classes.csv", "formate,yes", "formate,no", "formate,maybe",
			`reference/material_classes.csv:4: compared: "maybe" is neither yes nor no; use true or false, yes or no, 1 or 0`},
		{four, "material_classes.csv", "sand mix,no", "sand-mix,no", "Sand,no",
			`reference/material_classes.csv:5: class: "Sand" does not have the form [a-z][a-z0-9 -]*; write it so`},
		{four, "material_classes.csv", "formate,yes", "formate 2,yes", "acetate,yes",
			`reference/material_classes.csv:4: class: "acetate" stands already on line 3; ` +
				`keep one of the two rows, or give this one a name of its own`},
	}
	for _, c := range cases {
		for _, text := range []string{c.valid, c.faulty} {
			files := wholeReference()
			if c.classes != "" {
				files["material_classes.csv"] = c.classes
			}
			require.Equal(t, 1, strings.Count(files[c.file], c.old), "%s holds %q once", c.file, c.old)
			files[c.file] = strings.Replace(files[c.file], c.old, text, 1)
			_, err := readReference(t, files)
			if text == c.valid {
				assert.NoError(t, err, text)
				continue
			}
			var fault *district.ReferenceFault
			require.ErrorAs(t, err, &fault, c.want)
			assert.Equal(t, c.want, fault.Error())
		}
	}
}

// The sides of the comparison, budgets and costs of damage name classes of the district.
func TestSettingsNameClassesOfTheDistrict(t *testing.T) {
	const four = "class,compared\nchloride,yes\nacetate,yes\nformate,yes\nsand mix,no\n"
	cases := []struct{ classes, valid, faulty, want string }{
		{four, "compare = 'formate'", "compare = 'formiate'",
			`district.toml:2: compare: "formiate" is not a class; write one of chloride, acetate, formate`},
		{four, "beside = 'formate'", "beside = 'sand mix'",
			`district.toml:2: beside: "sand mix" is not compared; write one of chloride, acetate, formate` + orYes},
		{four, "beside = 'formate'", "beside = 'acetate'", `district.toml:2: beside: "acetate" is compared with itself; name two classes`},
		{"", "compare = 'chloride'\nbeside = 'acetate'", "compare = 'chloride'\nbeside = 'abrasive'",
			`district.toml:3: beside: "abrasive" is not compared; write one of acetate, chloride` + orYes},
		{"class,compared\nchloride,yes\nformate,yes\n", "compare = 'formate'", "",
			`district.toml: compare: "acetate" is not a class; write one of chloride, formate`},
		{four, "[budget.'2028-29']\nformate_usd = 1", "[budget.'2028-29']\nabrasive_usd = 1",
			`district.toml:3: budget.2028-29.abrasive_usd: "abrasive_usd" is not a known key; did you mean "acetate_usd"?`},
		{four, "[[damage_costs]]\nname = 'x'\nusd_per_ton = 1\nmaterial_class = 'sand mix'\nsource = 'y'",
			"[[damage_costs]]\nname = 'x'\nusd_per_ton = 1\nmaterial_class = 'sand'\nsource = 'y'",
			`district.toml:5: damage_costs.material_class: "sand" is not a class; write one of chloride, acetate, formate, sand mix`},
	}
	for _, c := range cases {
		dir := t.TempDir()
		if c.classes != "" {
			require.NoError(t, os.Mkdir(filepath.Join(dir, "reference"), 0o755))
			require.NoError(t, os.WriteFile(filepath.Join(dir, "reference", "material_classes.csv"), []byte(c.classes), 0o644))
		}
		path := filepath.Join(dir, "district.toml")
		require.NoError(t, os.WriteFile(path, []byte("time_zone = 'UTC'\n"+c.valid+"\n"), 0o644))
		_, err := district.ReadSettings(path)
		require.NoError(t, err, c.valid)
		require.NoError(t, os.WriteFile(path, []byte("time_zone = 'UTC'\n"+c.faulty+"\n"), 0o644))
		_, err = district.ReadSettings(path)
		var fault *district.SettingsFault
		require.ErrorAs(t, err, &fault, c.want)
		assert.Equal(t, c.want, fault.Error())
	}
}

// Classes at fault are told once, with the reference tables: the settings that name one are not blamed for it.
func TestFaultyClassesDoNotBlameTheSettings(t *testing.T) {
	dir := t.TempDir()
	require.NoError(t, os.Mkdir(filepath.Join(dir, "reference"), 0o755))
	faulty := []byte("class,compared\nformate,perhaps\n")
	require.NoError(t, os.WriteFile(filepath.Join(dir, "reference", "material_classes.csv"), faulty, 0o644))
	path := filepath.Join(dir, "district.toml")
	require.NoError(t, os.WriteFile(path, []byte("time_zone = 'UTC'\ncompare = 'formate'\n"), 0o644))
	settings, err := district.ReadSettings(path)
	require.NoError(t, err)
	assert.Equal(t, "formate", settings.Compare)
}

// exportLines are the lines of every exported CSV, by file, in the order of their text: rows may stand in the order of classes.
func exportLines(t *testing.T, dir string, rename func(string) string) map[string][]string {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join(dir, "current", "data", "*.csv"))
	require.NoError(t, err)
	lines := map[string][]string{}
	for _, path := range paths {
		text, err := os.ReadFile(path)
		require.NoError(t, err)
		lines[filepath.Base(path)] = slices.Sorted(slices.Values(strings.Split(rename(string(text)), "\n")))
	}
	require.Greater(t, len(lines), 15)
	return lines
}

// rewrite puts a file of the district into other words.
func rewrite(t *testing.T, path string, change func(string) string) {
	t.Helper()
	text, err := os.ReadFile(path)
	require.NoError(t, err)
	require.NoError(t, os.WriteFile(path, []byte(change(string(text))), 0o644))
}

var (
	classInTable = regexp.MustCompile(`,acetate(,|\n)`)
	// Tags, names of materials, the colour's name, the text of the demo's order, and the reason why wind carries pellets off the lane.
	tagOrName = regexp.MustCompile(`<[^>]*>|[Pp]otassium acetate|[Cc]alcium magnesium acetate|var\(--acetate\)|` +
		`Acetate: set no more than the card|light acetate first`)
	acetateWord = regexp.MustCompile(`(?i)\bacetates?\b.{0,40}`)
)

// The demo district with the word formate for acetate, and a fourth class that nothing is of, has the same figures, and its
// pages say formate.
func TestAnotherClassIsComparedAlike(t *testing.T) {
	dir := copyDemoNight(t).dir
	before := exportLines(t, dir, func(text string) string { return text })
	for _, table := range []string{"materials", "assignments", "orders"} {
		rewrite(t, filepath.Join(dir, "reference", table+".csv"), func(text string) string {
			return classInTable.ReplaceAllString(text, ",formate$1")
		})
	}
	rewrite(t, filepath.Join(dir, "district.toml"), func(text string) string {
		return "compare = \"formate\"\n" + strings.ReplaceAll(text, "acetate_usd", "formate_usd")
	})
	classes := "class,compared\nformate,yes\nchloride,yes\nabrasive,no\ncarbonate,yes\n"
	require.NoError(t, os.WriteFile(filepath.Join(dir, "reference", "material_classes.csv"), []byte(classes), 0o644))
	_, words, code := lanetally(t, "nightly", dir, "--now", "2029-03-07T09:15:00Z")
	require.Zero(t, code, words)

	after := exportLines(t, dir, func(text string) string { return strings.ReplaceAll(text, "formate", "acetate") })
	require.Len(t, after, len(before))
	for name, lines := range before {
		assert.Equal(t, lines, after[name], name)
	}
	for _, page := range []string{"index", "comparison", "learning", "cost", "routes", "storms", "crews", "material", "stock"} {
		text, err := os.ReadFile(filepath.Join(dir, "current", "public", page+".html"))
		require.NoError(t, err)
		shown := tagOrName.ReplaceAllString(string(text), "")
		assert.Empty(t, acetateWord.FindAllString(shown, -1), page)
		assert.NotRegexp(t, `\{[A-Za-z]+\}`, shown[:strings.Index(shown, "\n")], page)
		if page != "material" && page != "stock" {
			assert.Contains(t, strings.ToLower(shown), "formate", page)
		}
	}
}
