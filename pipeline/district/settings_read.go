package district

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"slices"
	"sort"
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
	r.loadLocation()
	if len(r.faults) > 0 {
		sort.SliceStable(r.faults, func(i, j int) bool {
			a, b := r.faults[i], r.faults[j]
			return a.Line < b.Line || a.Line == b.Line && (a.Column < b.Column || a.Column == b.Column && a.Text < b.Text)
		})
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

func (r *settingsReader) readTop(tree map[string]any) {
	known := []string{"publish", "notify", "feeds", budgetKey, damageCostsKey}
	byName := map[string]settingKey{}
	for _, key := range settingKeys() {
		known = append(known, key.Name)
		byName[key.Name] = key
	}
	for name, value := range tree {
		path := []string{name}
		key, isKey := byName[name]
		switch {
		case isKey:
			r.readKey(key, path, value)
		case name == "publish":
			r.readPublish(path, value)
		case name == "notify":
			r.readNotify(path, value)
		case name == "feeds":
			r.readFeeds(path, value)
		case name == budgetKey:
			r.readBudgets(path, value)
		case name == damageCostsKey:
			r.readDamageCosts(path, value)
		default:
			r.unknown(path, known)
		}
	}
}

// table gives value as a table, or notes that it is none.
func (r *settingsReader) table(path []string, value any) map[string]any {
	table, ok := value.(map[string]any)
	if !ok {
		r.fault(path, "%s is not a table; write [%s] on a line of its own", quoteSetting(value), strings.Join(path, "."))
	}
	return table
}

func (r *settingsReader) readKey(key settingKey, path []string, value any) {
	switch place := key.Place(r.settings).(type) {
	case *string:
		text, ok := value.(string)
		if !ok {
			r.fault(path, "%s is not a text; write it in quotes", quoteSetting(value))
			return
		}
		*place = text
		if key.Name == lastStormDateKey {
			r.checkMonthDay(path, text)
		}
	case *float64:
		if number, ok := r.number(key, path, value); ok {
			*place = number
		}
	case *int:
		number, ok := r.number(key, path, value)
		if ok && number != math.Trunc(number) {
			r.fault(path, "%s is not a whole number; write one", quoteSetting(value))
			return
		}
		if ok {
			*place = int(number)
		}
	}
}

func (r *settingsReader) number(key settingKey, path []string, value any) (float64, bool) {
	number := math.NaN()
	switch v := value.(type) {
	case int64:
		number = float64(v)
	case float64:
		number = v
	}
	if math.IsNaN(number) || math.IsInf(number, 0) {
		r.fault(path, "%s is not a number; write a number from %v to %v (%s)", quoteSetting(value), key.Low, key.High, key.Meaning)
		return 0, false
	}
	if number < key.Low || number > key.High {
		r.fault(path, "%s is out of range; write a number from %v to %v (%s)", quoteSetting(value), key.Low, key.High, key.Meaning)
		return 0, false
	}
	return number, true
}

// checkMonthDay asks for MM-DD in a common year.
func (r *settingsReader) checkMonthDay(path []string, text string) {
	if _, err := time.Parse("2006-01-02", "2001-"+text); err != nil || len(text) != 5 {
		r.fault(path, "%q is not a month and day; write MM-DD such as \"04-15\"", text)
	}
}

func (r *settingsReader) readPublish(path []string, value any) {
	publish := &r.settings.Publish
	for name, inner := range r.table(path, value) {
		at := append(path[:1:1], name)
		switch name {
		case "crew_pages":
			r.readChoice(at, inner, "choice of crew pages", &publish.CrewPages, rows.CrewPagesOwn, rows.CrewPagesAll, rows.CrewPagesNone)
		case "crew_labels":
			r.readFlag(at, inner, &publish.CrewLabels)
		case "raw_lines":
			r.readFlag(at, inner, &publish.RawLines)
		case "lead_with":
			r.readChoice(at, inner, "choice of pounds", &publish.LeadWith, LeadReported, LeadCorrected)
		case "units":
			r.readChoice(at, inner, "choice of units", &publish.Units, UnitsUS, UnitsMetric)
		default:
			r.unknown(at, []string{"crew_pages", "crew_labels", "raw_lines", "lead_with", "units"})
		}
	}
}

func (r *settingsReader) readFlag(path []string, value any, into *bool) {
	flag, ok := value.(bool)
	if !ok {
		r.fault(path, "%s is neither true nor false; write true or false without quotes", quoteSetting(value))
	}
	*into = flag
}

// readChoice takes one of the choices; what names them in a fault.
func (r *settingsReader) readChoice(path []string, value any, what string, into *string, choices ...string) {
	if choice, ok := value.(string); ok && slices.Contains(choices, choice) {
		*into = choice
		return
	}
	last := len(choices) - 1
	r.fault(path, "%s is no %s; write \"%s\" or %q", quoteSetting(value), what, strings.Join(choices[:last], `", "`), choices[last])
}

func (r *settingsReader) readNotify(path []string, value any) {
	for name, inner := range r.table(path, value) {
		at := append(path[:1:1], name)
		if name != "command" {
			r.unknown(at, []string{"command"})
			continue
		}
		words, ok := inner.([]any)
		for _, word := range words {
			text, isText := word.(string)
			ok = ok && isText
			r.settings.Notify.Command = append(r.settings.Notify.Command, text)
		}
		if !ok || len(words) > 0 && r.settings.Notify.Command[0] == "" {
			r.fault(at,
				"%s is not a list of texts; write the program and its arguments, such as [\"/usr/local/bin/tell-us\", \"--night\"]",
				quoteSetting(inner))
		}
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
	case int64, float64, bool:
		return fmt.Sprint(v)
	case map[string]any:
		return "a table"
	case []any:
		return "a list"
	default:
		return fmt.Sprint(v)
	}
}
