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
	feeds := readers{}
	for _, feed := range contract.FeedNames {
		feeds[feed] = func(at []string, value any) {
			contract, err := contract.LoadContract("feeds", feed)
			if err != nil {
				r.fault(at, "%v; this is a fault of the program, report it", err)
				return
			}
			r.settings.Feeds[feed] = r.readMapping(contract, at, value)
		}
	}
	r.section(path, value, nil, feeds)
}

func (r *settingsReader) readMapping(c *contract.Contract, path []string, value any) contract.Mapping {
	mapping := contract.Mapping{Columns: map[string]contract.ColumnSource{}}
	columns := readers{}
	for i := range c.Fields {
		field := &c.Fields[i]
		columns[field.Name] = func(at []string, value any) { mapping.Columns[field.Name] = r.readColumn(field, at, value) }
	}
	r.section(path, value, nil, readers{
		"stale_h": func(at []string, value any) {
			if hours, ok := r.number(at, value); ok {
				r.settings.FeedLimits = append(r.settings.FeedLimits, FeedLimit{path[1], hours})
			}
		},
		"time_format": func(at []string, value any) { mapping.TimeFormat = r.readTimeFormat(at, value) },
		"columns":     func(at []string, value any) { r.section(at, value, nil, columns) },
	})
	return mapping
}

func (r *settingsReader) readTimeFormat(path []string, value any) string {
	text, ok := value.(string)
	if !ok {
		r.fault(path, "%s is not a text; write a form in quotes such as \"MM/DD/YYYY hh:mm\"", quoteSetting(value))
	} else if _, err := localtime.Compile(text); err != nil {
		r.fault(path, "%q is not a form of a time: %v; write one such as \"MM/DD/YYYY hh:mm\"", text, err)
	}
	return text
}

// readColumn reads where a column comes from: a header, or a table that says more.
func (r *settingsReader) readColumn(field *contract.Field, path []string, value any) (source contract.ColumnSource) {
	switch value := value.(type) {
	case string:
		if source.From = value; value == "" {
			r.fault(path, "an empty header; write the header of the district's own export")
		}
		return source
	case map[string]any:
	default:
		r.fault(path, "%s is neither a header nor a table; write \"Header\", { value = \"...\" } or { from = \"Header\", unit = \"kg\" }",
			quoteSetting(value))
		return source
	}
	r.section(path, value, nil, readers{
		"from": func(at []string, value any) {
			if headers, isList := value.([]any); isList {
				source.FromLowest = r.readHeaders(field, at, headers)
			} else {
				source.From, _ = r.text(at, value)
			}
		},
		"value": func(at []string, value any) {
			text := r.cell(at, value, "is not a fixed value")
			source.Value = &text
		},
		"unit": func(at []string, value any) {
			source.Unit, _ = r.text(at, value)
			if _, err := contract.UnitChangeTo(field.Unit, source.Unit); err != nil {
				r.fault(at, "%v", err)
			}
		},
		"values": func(at []string, value any) {
			source.Values = map[string]string{}
			table := r.table(at, value)
			for _, delivered := range contract.SortedKeys(table) {
				under := append(slices.Clone(at), delivered)
				source.Values[strings.TrimSpace(delivered)] = r.cell(under, table[delivered], "cannot stand in a cell")
			}
		},
	})
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

// cell gives the cell text of a fixed value; otherwise says what is wrong with one that is none.
func (r *settingsReader) cell(path []string, value any, otherwise string) string {
	switch v := value.(type) {
	case string:
		return v
	case int64, bool:
		return fmt.Sprint(v)
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	r.fault(path, "%s %s; write a text in quotes", quoteSetting(value), otherwise)
	return ""
}
