package district

import (
	"errors"
	"fmt"
	"io/fs"
	"maps"
	"math"
	"os"
	"path/filepath"
	"reflect"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/BurntSushi/toml"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/rows"
)

// ReadSettings reads and checks district.toml. All faults come at once, as a *SettingsFault; another error is one of
// reading the file.
func ReadSettings(path string) (*Settings, error) {
	text, err := os.ReadFile(path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, &SettingsFault{[]contract.LineFault{{File: filepath.Base(path),
			Text: fmt.Sprintf("%q does not exist; name a district folder, or write a new one with `lanetally new`", path)}}}
	}
	if err != nil {
		return nil, fmt.Errorf("read settings: %w", err)
	}
	classes, err := readMaterialClasses(filepath.Dir(path))
	if err != nil {
		return nil, err
	}
	return parseSettings(filepath.Base(path), string(text), classes)
}

// settingsReader fills Settings from the decoded file and collects what is wrong.
type settingsReader struct {
	file     string
	lines    map[string]int
	settings *Settings
	classes  []materialClass // nil where they are not known: their table is at fault
	faults   []contract.LineFault
}

func parseSettings(file, text string, classes []materialClass) (*Settings, error) {
	tree := map[string]any{}
	if _, err := toml.Decode(text, &tree); err != nil {
		return nil, &SettingsFault{[]contract.LineFault{syntaxFault(file, err)}}
	}
	r := &settingsReader{file: file, lines: keyLines(text), settings: DefaultSettings(), classes: classes}
	r.readTop(tree)
	r.checkSides()
	r.checkLastStorm()
	r.loadLocation()
	if len(r.faults) > 0 {
		sortFaults(r.faults)
		return nil, &SettingsFault{r.faults}
	}
	return r.settings, nil
}

func syntaxFault(file string, err error) contract.LineFault {
	fault := contract.LineFault{File: file, Text: err.Error() + "; mend the line, or compare it with a file of `lanetally new`"}
	var parse toml.ParseError
	if errors.As(err, &parse) {
		fault.Line = parse.Position.Line
		fault.Column = parse.LastKey
		fault.Text = parse.Message + "; mend the line, or compare it with a file of `lanetally new`"
	}
	return fault
}

// fault notes a fault of the key at path; its line is that of the key, else of the nearest table around it.
func (r *settingsReader) fault(path []string, format string, values ...any) {
	line := 0
	for n := len(path); n > 0 && line == 0; n-- {
		line = r.lines[joinPath(path[:n])]
	}
	r.faults = append(r.faults, contract.LineFault{File: r.file, Line: line, Column: strings.Join(path, "."),
		Text: fmt.Sprintf(format, values...)})
}

func (r *settingsReader) unknown(path []string, known []string) {
	last := path[len(path)-1]
	r.fault(path, "%q is not a known key; did you mean %q?", last, contract.Nearest(last, known))
}

// readers are functions that each read the value of one key.
type readers map[string]func(path []string, value any)

// section reads the keys of a table: those of special by its functions, the others into the fields of a struct.
func (r *settingsReader) section(path []string, value any, fields map[string]reflect.Value, special readers) {
	table := r.table(path, value)
	for _, name := range slices.Sorted(maps.Keys(table)) {
		at := append(slices.Clone(path), name)
		field, isField := fields[name]
		switch read := special[name]; {
		case read != nil:
			read(at, table[name])
		case isField:
			r.plain(at, table[name], field)
		default:
			r.unknown(at, slices.Concat(contract.SortedKeys(fields), contract.SortedKeys(special)))
		}
	}
}

func (r *settingsReader) readTop(tree map[string]any) {
	settings := r.settings
	r.section(nil, tree, fieldsOf(settings), readers{
		"pounds_basis": func(at []string, value any) {
			r.readChoice(at, value, "choice of pounds", reflect.ValueOf(&settings.PoundsBasis).Elem(),
				[]string{rows.BasisWeighed, rows.BasisReported})
		},
		"notify": r.readNotify, "feeds": r.readFeeds, "budget": r.readBudgets, damageCostsKey: r.readDamageCosts,
		"publish": func(path []string, value any) {
			publish := fieldsOf(&settings.Publish)
			choice := func(what string, choices ...string) func([]string, any) {
				return func(at []string, value any) { r.readChoice(at, value, what, publish[at[1]], choices) }
			}
			r.section(path, value, publish, readers{
				"crew_pages": choice("choice of crew pages", rows.CrewPagesOwn, rows.CrewPagesAll, rows.CrewPagesNone),
				"units":      choice("choice of units", UnitsUS, UnitsMetric),
			})
		},
	})
}

// table gives value as a table, or notes that it is none.
func (r *settingsReader) table(path []string, value any) map[string]any {
	table, ok := value.(map[string]any)
	if !ok {
		r.fault(path, "%s is not a table; write [%s] on a line of its own", quoteSetting(value), strings.Join(path, "."))
	}
	return table
}

// plain reads one text, number, yes or no into a field; it stays as it is where value is none.
func (r *settingsReader) plain(path []string, value any, into reflect.Value) {
	switch into.Kind() {
	case reflect.String:
		if text, ok := r.text(path, value); ok {
			into.SetString(text)
		}
	case reflect.Bool:
		flag, ok := value.(bool)
		if !ok {
			r.fault(path, "%s is neither true nor false; write true or false without quotes", quoteSetting(value))
		}
		into.SetBool(flag)
	default:
		number, ok := r.number(path, value)
		switch {
		case ok && into.CanFloat():
			into.SetFloat(number)
		case ok && number != math.Trunc(number):
			r.fault(path, "%s is not a whole number; write one", quoteSetting(value))
		case ok:
			into.SetInt(int64(number))
		}
	}
}

func (r *settingsReader) text(path []string, value any) (text string, ok bool) {
	if text, ok = value.(string); !ok {
		r.fault(path, "%s is not a text; write it in quotes", quoteSetting(value))
	}
	return text, ok
}

// number reads a number within the bounds of its key; what is no top-level key is an amount of dollars.
func (r *settingsReader) number(path []string, value any) (float64, bool) {
	key := settingKey{Low: 0, High: 1e9, Meaning: "US dollars"}
	if i := slices.IndexFunc(settingKeys(), func(k settingKey) bool { return k.Name == path[len(path)-1] }); i >= 0 {
		key = settingKeys()[i]
	}
	number := math.NaN()
	switch v := value.(type) {
	case int64:
		number = float64(v)
	case float64:
		number = v
	}
	found := ""
	if math.IsNaN(number) || math.IsInf(number, 0) {
		found = "not a number"
	} else if number < key.Low || number > key.High {
		found = "out of range"
	}
	if found != "" {
		r.fault(path, "%s is %s; write a number from %v to %v (%s)", quoteSetting(value), found, key.Low, key.High, key.Meaning)
	}
	return number, found == ""
}

// readChoice takes one of the choices; what names them in a fault.
func (r *settingsReader) readChoice(path []string, value any, what string, into reflect.Value, choices []string) {
	if choice, ok := value.(string); ok && slices.Contains(choices, choice) {
		into.SetString(choice)
		return
	}
	last := len(choices) - 1
	r.fault(path, "%s is no %s; write \"%s\" or %q", quoteSetting(value), what, strings.Join(choices[:last], `", "`), choices[last])
}

func (r *settingsReader) readNotify(path []string, value any) {
	r.section(path, value, nil, readers{"command": func(at []string, value any) {
		words, ok := value.([]any)
		for _, word := range words {
			text, isText := word.(string)
			ok = ok && isText
			r.settings.Notify.Command = append(r.settings.Notify.Command, text)
		}
		if !ok || len(words) > 0 && r.settings.Notify.Command[0] == "" {
			r.fault(at,
				"%s is not a list of texts; write the program and its arguments, such as [\"/usr/local/bin/tell-us\", \"--night\"]",
				quoteSetting(value))
		}
	}})
}

// checkLastStorm asks for MM-DD in a common year.
func (r *settingsReader) checkLastStorm() {
	text := r.settings.LastStormDate
	if _, err := time.Parse(time.DateOnly, "2001-"+text); err != nil {
		r.fault([]string{"last_storm_date"}, "%q is not a month and day; write MM-DD such as \"04-15\"", text)
	}
}

// loadLocation checks the time zone, which has no default: a wrong one would shift every local time in silence.
func (r *settingsReader) loadLocation() {
	path := []string{timeZoneKey}
	zone := r.settings.TimeZone
	if zone == "" {
		r.fault(path, "no time zone; write one of the tz database such as %s = \"America/Denver\"", timeZoneKey)
		return
	}
	location, err := time.LoadLocation(zone)
	if err != nil || zone == "Local" {
		r.fault(path, "%q is not a time zone of the tz database; write one such as \"America/Denver\"", zone)
		return
	}
	r.settings.Location = location
}

// quoteSetting writes a decoded value as it would stand in district.toml.
func quoteSetting(value any) string {
	switch v := value.(type) {
	case string:
		return strconv.Quote(v)
	case map[string]any:
		return "a table"
	case []any:
		return "a list"
	}
	return fmt.Sprint(value)
}

// tomlText writes a basic TOML string.
func tomlText(text string) string {
	b := &strings.Builder{}
	for _, r := range text {
		switch {
		case r == '"' || r == '\\':
			b.WriteRune('\\')
			b.WriteRune(r)
		case r < 0x20 || r == 0x7f:
			fmt.Fprintf(b, "\\u%04X", r)
		default:
			b.WriteRune(r)
		}
	}
	return `"` + b.String() + `"`
}
