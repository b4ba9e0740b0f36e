package district

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/localtime"
)

func (r *settingsReader) readFeeds(path []string, value any) {
	for feed, inner := range r.table(path, value) {
		at := []string{path[0], feed}
		if !slices.Contains(contract.FeedNames, feed) {
			r.unknown(at, contract.FeedNames)
			continue
		}
		contract, err := contract.LoadContract("feeds", feed)
		if err != nil {
			r.fault(at, "%v; this is a fault of the program, report it", err)
			continue
		}
		r.settings.Feeds[feed] = r.readMapping(contract, at, inner)
	}
}

func (r *settingsReader) readMapping(c *contract.Contract, path []string, value any) contract.Mapping {
	mapping := contract.Mapping{Columns: map[string]contract.ColumnSource{}}
	for name, inner := range r.table(path, value) {
		at := []string{path[0], path[1], name}
		switch name {
		case "time_format":
			mapping.TimeFormat = r.readTimeFormat(at, inner)
		case "columns":
			r.readColumns(c, at, inner, mapping.Columns)
		default:
			r.unknown(at, []string{"time_format", "columns"})
		}
	}
	return mapping
}

func (r *settingsReader) readTimeFormat(path []string, value any) string {
	text, ok := value.(string)
	if !ok {
		r.fault(path, "%s is not a text; write a form in quotes such as \"MM/DD/YYYY hh:mm\"", quoteSetting(value))
		return ""
	}
	if _, err := localtime.Compile(text); err != nil {
		r.fault(path, "%q is not a form of a time: %v; write one such as \"MM/DD/YYYY hh:mm\"", text, err)
	}
	return text
}

func (r *settingsReader) readColumns(c *contract.Contract, path []string, value any, into map[string]contract.ColumnSource) {
	names := make([]string, len(c.Fields))
	for i := range c.Fields {
		names[i] = c.Fields[i].Name
	}
	for name, inner := range r.table(path, value) {
		at := []string{path[0], path[1], path[2], name}
		place := c.Index(name)
		if place < 0 {
			r.unknown(at, names)
			continue
		}
		switch source := inner.(type) {
		case string:
			if source == "" {
				r.fault(at, "an empty header; write the header of the district's own export")
			}
			into[name] = contract.ColumnSource{From: source}
		case map[string]any:
			into[name] = r.readSource(&c.Fields[place], at, source)
		default:
			r.fault(at,
				"%s is neither a header nor a table; write \"Header\", { value = \"...\" } or "+
					"{ from = \"Header\", unit = \"kg\" }", quoteSetting(inner))
		}
	}
}

func (r *settingsReader) readSource(field *contract.Field, path []string, table map[string]any) contract.ColumnSource {
	source := contract.ColumnSource{}
	for name, inner := range table {
		at := append(slices.Clone(path), name)
		switch name {
		case "from":
			if headers, isList := inner.([]any); isList {
				source.FromLowest = r.readHeaders(field, at, headers)
			} else {
				source.From = r.text(at, inner)
			}
		case "value":
			text, ok := plainText(inner)
			if !ok {
				r.fault(at, "%s is not a fixed value; write a text in quotes", quoteSetting(inner))
			}
			source.Value = &text
		case "unit":
			source.Unit = r.text(at, inner)
			if _, err := contract.UnitChangeTo(field.Unit, source.Unit); err != nil {
				r.fault(at, "%v", err)
			}
		case "values":
			source.Values = r.readValues(at, inner)
		default:
			r.unknown(at, []string{"from", "value", "unit", "values"})
		}
	}
	if (source.From == "" && source.FromLowest == nil) == (source.Value == nil) {
		r.fault(path, "a column needs either from or value; write { from = \"Header\" } or { value = \"...\" }")
	}
	return source
}

// readHeaders reads the headers of several sensors, of which a row takes the lowest number.
func (r *settingsReader) readHeaders(field *contract.Field, path []string, list []any) []string {
	headers := []string{}
	for _, item := range list {
		header, ok := item.(string)
		if !ok || header == "" || slices.Contains(headers, header) {
			r.fault(path, "%s is not another header; write from = [\"Sensor 1\", \"Sensor 2\"]", quoteSetting(item))
			continue
		}
		headers = append(headers, header)
	}
	if field.Type != "number" {
		r.fault(path, "several headers for a column that holds no number; name one")
	}
	if len(list) == 0 {
		r.fault(path, "no header; write from = [\"Sensor 1\", \"Sensor 2\"]")
	}
	return headers
}

func (r *settingsReader) text(path []string, value any) string {
	text, ok := value.(string)
	if !ok {
		r.fault(path, "%s is not a text; write it in quotes", quoteSetting(value))
	}
	return text
}

func (r *settingsReader) readValues(path []string, value any) map[string]string {
	values := map[string]string{}
	for delivered, inner := range r.table(path, value) {
		text, ok := plainText(inner)
		if !ok {
			r.fault(append(slices.Clone(path), delivered), "%s cannot stand in a cell; write a text in quotes", quoteSetting(inner))
		}
		values[strings.TrimSpace(delivered)] = text
	}
	return values
}

// plainText gives the cell text of a fixed value.
func plainText(value any) (string, bool) {
	switch v := value.(type) {
	case string:
		return v, true
	case int64, bool:
		return fmt.Sprint(v), true
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64), true
	}
	return "", false
}
