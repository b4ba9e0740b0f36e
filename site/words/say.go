// Package words writes the sentences of the pages and the texts of the methods page.
//
// In: rows and figures. Out: whole sentences, in the units and the names of classes that the pages show.
package words

import (
	"embed"
	"fmt"
	"io/fs"
	"math"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"
	"text/template"
	"text/template/parse"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// Every generated sentence stands in a text below sentences/, by subject: `# key: names` begins one and names the values that it is made
// of, and what follows is a template over them. A line that begins with // is a remark, and a line's end is a space. Tests list what each
// says for none, one, too few and many, and sentences_metric_test.go what it says in metric units.
//
//go:embed sentences
var sentenceFiles embed.FS

// sentence is a text of sentences/ and the names of its values, in the order in which Say takes them.
type sentence struct {
	names []string
	text  string
}

// sentences holds them by key.
var sentences = readSentences()

// readSentences reads all files. It panics on a text without a key and on a key that comes twice: they are part of the program.
func readSentences() map[string]sentence {
	read := map[string]sentence{}
	files, _ := fs.Glob(sentenceFiles, "sentences/*.txt")
	for _, file := range files {
		text, _ := sentenceFiles.ReadFile(file)
		key := ""
		for line := range strings.Lines(string(text)) {
			head, isHead := strings.CutPrefix(strings.TrimSpace(line), "# ")
			switch s, isRead := read[key]; {
			case isHead:
				names := ""
				key, names, _ = strings.Cut(head, ":")
				if _, isTwice := read[key]; isTwice {
					panic(fmt.Sprintf("%s: %q comes twice", file, key))
				}
				read[key] = sentence{names: strings.Fields(names)}
			case strings.HasPrefix(line, "//") || strings.TrimSpace(line) == "":
			case !isRead:
				panic(fmt.Sprintf("%s: %q belongs to no key", file, line))
			default:
				s.text += line
				read[key] = s
			}
		}
	}
	return read
}

// shown is what decides how a sentence is written, beside its values.
type shown struct {
	isMetric        bool
	compare, beside string
	bareCapH        float64
}

// inUnits has the templates of all sentences by key, for each way of writing them that was asked for: a shown to a map.
var inUnits sync.Map

// Say writes the sentence of a key with its values, in the order in which the text names them. The texts' words for units and classes
// become those that the pages show; values stay as they are. It panics on another number of values and on such as the text cannot hold.
func Say(u format.Units, key string, values ...any) string {
	way := shown{u.IsMetric, u.CompareClass(), u.BesideClass(), u.BareCapH}
	templates, isParsed := inUnits.Load(way)
	if !isParsed {
		templates, _ = inUnits.LoadOrStore(way, parseSentences(u))
	}
	names := sentences[key].names
	if len(values) != len(names) {
		panic(fmt.Sprintf("sentence %q has the values %q, not %d", key, names, len(values)))
	}
	named := make(map[string]any, len(names))
	for i, name := range names {
		named[name] = values[i]
	}
	var b strings.Builder
	if err := templates.(map[string]*template.Template)[key].Execute(&b, named); err != nil {
		panic(err)
	}
	return b.String()
}

func parseSentences(u format.Units) map[string]*template.Template {
	parsed, functions := map[string]*template.Template{}, sentenceFunctions(u)
	for key, s := range sentences {
		t := template.Must(template.New(key).Funcs(functions).Option("missingkey=error").Parse(strings.TrimSpace(s.text)))
		putUnits(u, t.Root)
		parsed[key] = t
	}
	return parsed
}

var lineEnd = regexp.MustCompile(`\n\s*`)

// putUnits joins the lines of a template's texts and puts the words for units and classes into them.
func putUnits(u format.Units, list *parse.ListNode) {
	if list == nil {
		return
	}
	for _, node := range list.Nodes {
		switch n := node.(type) {
		case *parse.TextNode:
			n.Text = []byte(u.UnitWords(lineEnd.ReplaceAllString(string(n.Text), " ")))
		case *parse.IfNode:
			putUnits(u, n.List)
			putUnits(u, n.ElseList)
		case *parse.RangeNode:
			putUnits(u, n.List)
		case *parse.WithNode:
			putUnits(u, n.List)
		}
	}
}

// sentenceFunctions are what templates call. Numbers may be of any kind, or missing.
func sentenceFunctions(u format.Units) template.FuncMap {
	functions := template.FuncMap{
		"say": func(key string, values ...any) string { return Say(u, key, values...) }, "words": u.UnitWords,
		"compared": u.CompareClass, "beside": u.BesideClass, "inch": u.Inch,
		"capital": format.Capital, "lowered": Lowered, "date": format.Date, "tick": format.Tick,
		"hundredfold": func(x any) float64 { return 100 * *Number(x) },
		"change":      func(ratio *float64) *float64 { return new(100 * (*ratio - 1)) },
		"atMost":      func(x any) string { return format.Fixed(new(math.Ceil(max(0, *Number(x)))), 0) },
		"whole":       wholeWords, "orZero": func(x any) float64 { return rows.OrZero(Number(x)) },
		"fixed":    func(x any, decimals int) string { return format.Fixed(Number(x), decimals) },
		"ratios":   func(low, high *float64) string { return format.Interval(low, high, format.Ratios) },
		"signeds":  func(low, high *float64) string { return format.Interval(low, high, format.SignedTenth) },
		"tonPrice": func(x *float64) string { return u.Write(format.TonPrice, x) },
		"finding":  func(f *float64) string { return book.FindingWriter{Units: u}.Figure(*f, rows.DegreeF, 0) },
		"rewritten": func(text string) string {
			return u.Rewritten(format.Temperature, text)
		},
		"counted": func(n any, words ...string) string { return u.UnitWords(counted(n, words)) },
		"Counted": func(n any, words ...string) string { return format.Capital(u.UnitWords(counted(n, words))) },
		"sum":     func(x, y any) int { return int(*Number(x) + *Number(y)) }, "less": func(x, y int) int { return x - y },
		"over":   func(x, y any) float64 { return *Number(x) / *Number(y) },
		"orNone": OrNone, "join": strings.Join, "listed": listed, "firstThree": firstThree,
		"joined": func(between string, parts ...string) string {
			return strings.Join(slices.DeleteFunc(parts, func(part string) bool { return part == "" }), between)
		},
		"question": func(fit string) string { _, question, _ := strings.Cut(fit, "beside salt: "); return question },
		"last":     func(events []book.Event) book.Event { return events[len(events)-1] },
		"base":     func(verdict string) string { base, _ := book.PartVerdict(verdict); return base },
		"caveats":  func(verdict string) []string { _, caveats := book.PartVerdict(verdict); return caveats },

		"isWrongSetting": book.IsWrongSetting, "fewSeasons": func(basis string) string { return fewSeasonsWords(u, basis) },
		"fewestForThirds": func() int { return rows.FewestForThirds }, "fewestMembers": func() int { return rows.FewestMembers },
		"fewestCrews": func() int { return rows.FewestCrews }, "fewestAlike": func() int { return book.FewestAlike },
		"likeSeverity": func() float64 { return book.LikeSeverity }, "leastWater": func() float64 { return book.LeastWaterIn },
	}
	for name, write := range map[string]func(*float64) string{"rate": u.Rate, "lb": u.Pounds, "miles": u.LaneMiles, "degrees": u.Degrees,
		"degreesDifference": u.DegreesDifference, "inches": u.Inches, "snow": u.Snow, "mph": u.Mph, "tons": u.Tons, "hours": format.Hours,
		"hundredths": format.Applications, "ratio": format.Ratios, "signed": format.SignedTenth, "percent": format.Percent,
		"dollars": format.Dollars} {
		functions[name] = func(x any) string { return write(Number(x)) }
	}
	return functions
}

// Number is a number of any kind, or nil.
func Number(x any) *float64 {
	switch v := reflect.Indirect(reflect.ValueOf(x)); {
	case !v.IsValid():
		return nil
	case v.CanInt():
		return new(float64(v.Int()))
	default:
		return new(v.Float())
	}
}

// wholeWords writes a number without decimals.
func wholeWords(x any) string { return format.Fixed(Number(x), 0) }

// counted writes a count with the word for one, and the word for many where it is not that with an s.
func counted(n any, words []string) string {
	one, many := words[0], words[len(words)-1]
	if len(words) == 1 {
		many += "s"
	}
	return format.Counted(int64(rows.OrZero(Number(n))), one, many)
}

// listed puts commas between names and a word before the last.
func listed(names []string) string {
	if n := len(names); n > 1 {
		return strings.Join(names[:n-1], ", ") + " and " + names[n-1]
	}
	return strings.Join(names, "")
}

// firstThree names at most three, and how many more there are.
func firstThree(names []string) string {
	if n := len(names) - 3; n > 0 {
		return strings.Join(names[:3], "; ") + fmt.Sprintf("; %d more", n)
	}
	return strings.Join(names, "; ")
}

// Lowered writes the first letter, an ASCII one, small.
func Lowered(s string) string {
	if s == "" {
		return s
	}
	return strings.ToLower(s[:1]) + s[1:]
}

// OrNone is the number, 0 for nil.
func OrNone(n *int64) int64 {
	if n == nil {
		return 0
	}
	return *n
}
