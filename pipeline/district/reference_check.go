package district

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"time"

	"lanetally/pipeline/contract"
	"lanetally/pipeline/rows"
)

// laneMilesTolerance is the share by which a route's lane_miles may differ from miles x lanes without a warning (contracts).
const laneMilesTolerance = 0.05

// checkTables holds the tables against each other and against the rules that one row cannot show.
func (r *referenceReader) checkTables() {
	for i := range r.reference.Tables {
		table := &r.reference.Tables[i]
		r.checkKeys(table)
		for _, key := range table.Contract.ForeignKeys {
			r.checkForeignKey(table, key)
		}
	}
	r.checkRoutes(r.reference.Table("routes"))
	r.checkCrews(r.reference.Table("crews"))
	r.checkMaterials(r.reference.Table("materials"))
	r.checkAssignments(r.reference.Table("assignments"))
	r.checkCatchTests(r.reference.Table("catch_tests"))
	r.checkPairs(r.reference.Table("pairs"))
	r.checkDeclaredStorms(r.reference.Table("declared_storms"))
	r.checkBridges(r.reference.Table("bridges"))
}

// Cell gives one value of a row by its column.
func (t *ReferenceTable) Cell(row int, column string) contract.Value {
	return t.Rows[row][t.Contract.Index(column)]
}

// valueText writes a value as a person would, for messages and keys.
func valueText(field *contract.Field, value contract.Value) string {
	switch {
	case value.Null:
		return ""
	case field.Type == "number" || field.Type == "integer":
		return strconv.FormatFloat(value.Number, 'g', -1, 64)
	case field.Type == "boolean":
		return strconv.FormatBool(value.Bool)
	case field.Type == "datetime":
		return time.UnixMicro(value.Micros).UTC().Format(time.RFC3339Nano)
	case field.Type == "date":
		return dateText(value.Micros)
	default:
		return value.Text
	}
}

func dateText(days int64) string { return time.Unix(days*86400, 0).UTC().Format(time.DateOnly) }

func (t *ReferenceTable) keyText(row int, columns []string) string {
	parts := make([]string, len(columns))
	for i, column := range columns {
		place := t.Contract.Index(column)
		parts[i] = valueText(&t.Contract.Fields[place], t.Rows[row][place])
	}
	return strings.Join(parts, ", ")
}

func (r *referenceReader) checkKeys(table *ReferenceTable) {
	key := table.Contract.PrimaryKey
	if len(key) == 0 {
		return
	}
	first := map[string]int{}
	for row := range table.Rows {
		text := table.keyText(row, key)
		if before, ok := first[text]; ok {
			r.fault(table, table.Lines[row], strings.Join(key, ", "),
				"%s stands already on line %d; keep one of the two rows, or give this one a name of its own", contract.Show(text), before)
			continue
		}
		first[text] = table.Lines[row]
	}
}

func (r *referenceReader) checkForeignKey(table *ReferenceTable, key contract.ForeignKey) {
	if r.broken[key.Reference.Resource] {
		return
	}
	target := r.reference.Table(key.Reference.Resource)
	known := map[string]bool{}
	var names []string
	for row := range target.Rows {
		name := target.keyText(row, key.Reference.Fields)
		known[name] = true
		names = append(names, name)
	}
	for row := range table.Rows {
		name := table.keyText(row, key.Fields)
		if name == "" || known[name] {
			continue
		}
		if target.TableName == materialClassesName && target.Lines[0] == 0 {
			r.fault(table, table.Lines[row], key.Fields[0],
				"%s is not a class; put the name right (the nearest of %s is %q), or write %s with all classes",
				contract.Show(name), strings.Join(names, ", "), contract.Nearest(name, names), target.File)
			continue
		}
		hint := ""
		if r.compared += len(names); len(names) > 0 && r.compared <= maxCompared {
			hint = fmt.Sprintf(" (the nearest there is %q)", contract.Nearest(name, names))
		}
		r.fault(table, table.Lines[row], key.Fields[0], "%s is not in %s; add it there, or put the name right%s", contract.Show(name),
			target.File, hint)
	}
}

func (r *referenceReader) checkRoutes(table *ReferenceTable) {
	for row, line := range table.Lines {
		from, to, lanes := table.Cell(row, "from_mi"), table.Cell(row, "to_mi"), table.Cell(row, "lanes")
		laneMiles, bridge := table.Cell(row, "lane_miles").Number, table.Cell(row, "bridge_lane_miles")
		if !bridge.Null && bridge.Number > laneMiles {
			r.warn(table, line, "bridge_lane_miles", "%v is more than the route's lane_miles, %v; bridge decks are a part of the route",
				bridge.Number, laneMiles)
		}
		if from.Null || to.Null {
			continue
		}
		if to.Number <= from.Number {
			r.fault(table, line, "to_mi", "%v does not lie after from_mi, %v; write the smaller mile first", to.Number, from.Number)
			continue
		}
		if lanes.Null {
			continue
		}
		product := (to.Number - from.Number) * lanes.Number
		if math.Abs(laneMiles-product) > laneMilesTolerance*product {
			r.warn(table, line, "lane_miles", "%v is over %v %% from miles x lanes, %.4g; look whether lanes counts both directions",
				laneMiles, 100*laneMilesTolerance, product)
		}
	}
}

func (r *referenceReader) checkCrews(table *ReferenceTable) {
	for row, line := range table.Lines {
		if table.Cell(row, "crew_id").Text == rows.AllCrews {
			r.fault(table, line, "crew_id", "%q is reserved for the district as a whole; give the crew another name", rows.AllCrews)
		}
	}
}

func (r *referenceReader) checkMaterials(table *ReferenceTable) {
	for row, line := range table.Lines {
		if table.Cell(row, "form").Text == "liquid" && table.Cell(row, "dry_lb_per_gal").Null {
			r.fault(table, line, "dry_lb_per_gal", "the cell is empty; a liquid needs its dry pounds per gallon")
		}
		if table.Cell(row, "class").Text == "chloride" && table.Cell(row, "chloride_fraction").Null {
			r.fault(table, line, "chloride_fraction",
				"the cell is empty; a chloride needs its chloride fraction, such as 0.6066 for sodium chloride")
		}
	}
}

func (r *referenceReader) checkCatchTests(table *ReferenceTable) {
	for row, line := range table.Lines {
		if table.Cell(row, "seconds").Null && table.Cell(row, "revolutions").Null {
			r.fault(table, line, "seconds", "seconds and revolutions are both empty; say for how long or for how many turns the sample "+
				"was caught")
		}
	}
}
