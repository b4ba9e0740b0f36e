package district

import (
	"cmp"
	"math"
	"slices"
)

// span is a stretch of time that a row of a table claims for its owner.
type span struct {
	owner     string
	from, to  int64
	row, line int
}

// overlaps gives each span that begins before an earlier one of its owner has ended, with that earlier one. With
// isInclusive the last moment belongs to the span.
func overlaps(spans []span, isInclusive bool) [][2]span {
	slices.SortStableFunc(spans, func(a, b span) int {
		return cmp.Or(cmp.Compare(a.owner, b.owner), cmp.Compare(a.from, b.from), cmp.Compare(a.line, b.line))
	})
	var found [][2]span
	var longest span
	for i, s := range spans {
		isSame := i > 0 && s.owner == longest.owner
		if isSame && (s.from < longest.to || isInclusive && s.from == longest.to) {
			found = append(found, [2]span{s, longest})
		}
		if !isSame || s.to > longest.to {
			longest = s
		}
	}
	return found
}

func (r *referenceReader) checkAssignments(table *ReferenceTable) {
	var spans []span
	for row, line := range table.Lines {
		from, to := table.Cell(row, "from_date"), table.Cell(row, "to_date")
		s := span{table.Cell(row, "route_id").Text, from.Micros, math.MaxInt64, row, line}
		if !to.Null {
			s.to = to.Micros
		}
		if s.to < s.from {
			r.fault(table, line, "to_date", "%s lies before from_date, %s; put the two dates right", dateText(s.to), dateText(s.from))
			continue
		}
		spans = append(spans, s)
	}
	for _, pair := range overlaps(spans, true) {
		r.fault(table, pair[0].line, "from_date", "%s falls into the span of route %q on line %d; end that one the day before (both "+
			"dates count)", dateText(pair[0].from), pair[0].owner, pair[1].line)
	}
}

func (r *referenceReader) checkDeclaredStorms(table *ReferenceTable) {
	var spans []span
	for row, line := range table.Lines {
		spans = append(spans, span{table.Cell(row, "zone_id").Text, table.Cell(row, "began_at").Micros, table.Cell(row, "ended_at").Micros,
			row, line})
	}
	for _, pair := range overlaps(spans, false) {
		r.fault(table, pair[0].line, "began_at", "the storm begins before that of zone %q on line %d has ended; end that one earlier, "+
			"or make one storm of the two", pair[0].owner, pair[1].line)
	}
}

func (r *referenceReader) checkPairs(table *ReferenceTable) {
	zones := map[string]string{}
	routes := r.reference.Table("routes")
	for row := range routes.Rows {
		zones[routes.Cell(row, "route_id").Text] = routes.Cell(row, "zone_id").Text
	}
	for row, line := range table.Lines {
		acetate, chloride := table.Cell(row, "acetate_route_id").Text, table.Cell(row, "chloride_route_id").Text
		acetateZone, chlorideZone := zones[acetate], zones[chloride]
		switch {
		case acetate == chloride:
			r.fault(table, line, "chloride_route_id", "%q is paired with itself; name two routes", acetate)
		case acetateZone != "" && chlorideZone != "" && acetateZone != chlorideZone:
			r.fault(table, line, "chloride_route_id", "%q lies in zone %q and %q in zone %q; pair routes of one zone", chloride,
				chlorideZone, acetate, acetateZone)
		}
	}
}

// checkBridges: a bridge has a length and lies within its route's miles.
func (r *referenceReader) checkBridges(table *ReferenceTable) {
	routes, miles := r.reference.Table("routes"), map[string][2]float64{}
	for row := range routes.Rows {
		miles[routes.Cell(row, "route_id").Text] = [2]float64{routes.Cell(row, "from_mi").Number, routes.Cell(row, "to_mi").Number}
	}
	for row, line := range table.Lines {
		from, to := table.Cell(row, "from_mi").Number, table.Cell(row, "to_mi").Number
		if to <= from {
			r.fault(table, line, "to_mi", "%v does not lie after from_mi, %v; write the smaller mile first", to, from)
		}
		if of := miles[table.Cell(row, "route_id").Text]; of[0] < of[1] && (from < of[0] || to > of[1]) {
			r.fault(table, line, "from_mi", "%v to %v is not within the route's miles, %v to %v; put the miles right", from, to,
				of[0], of[1])
		}
	}
}
