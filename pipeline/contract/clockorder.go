package contract

import "lanetally/pipeline/localtime"

// clockOwners names, per contract, the column whose rows follow one clock in file order: the truck, station or place.
var clockOwners = map[string]string{
	"passes": "truck_id", "weather": "station_id", "tickets": "truck_id", "stock": "stockpile_id", "conditions": "route_id",
	"breadcrumbs": "truck_id", "calibrations": "truck_id", "catch_tests": "truck_id", "storms": "zone_id",
}

// clockOrder decides between the two readings of a local time in the repeated hour of the autumn change. Rows are read in
// file order per truck, station or place. A begin takes the second reading when its first one does not lie after the
// begin of the row before it in that hour, or lies before that row's end; an end takes the second when its first one
// lies before its begin. Rows outside that hour, and times with an offset, decide nothing.
type clockOrder struct {
	owner, begin, end int // places in the contract, -1 for none
	last              map[string]clockPlace
}

// clockPlace is where one truck's rows stand within the repeated hour of one change of the clocks.
type clockPlace struct {
	changeAt         int64
	hasBegin, hasEnd bool
	begin, end       int64
}

func newClockOrder(c *Contract) clockOrder {
	order := clockOrder{owner: -1, begin: -1, end: -1, last: map[string]clockPlace{}}
	if name, ok := clockOwners[c.Name]; ok {
		order.owner = c.Index(name)
	}
	for i := range c.Fields {
		if c.Fields[i].Type != "datetime" {
			continue
		}
		if order.begin < 0 {
			order.begin = i
		} else if order.end < 0 {
			order.end = i
		}
	}
	return order
}

// readingsAt gives the slot for the readings of the column at place.
func (o *clockOrder) readingsAt(place int, readings *[2]localtime.Readings) *localtime.Readings {
	if place == o.end {
		return &readings[1]
	}
	return &readings[0]
}

// settle replaces first readings by second ones where the order asks for it, and remembers the row.
func (o *clockOrder) settle(values []Value, readings *[2]localtime.Readings) {
	begin, end := readings[0], readings[1]
	if begin.Count < 2 && end.Count < 2 {
		return
	}
	owner := ""
	if o.owner >= 0 {
		owner = values[o.owner].Text
	}
	if begin.Count == 2 {
		place := o.placeAt(owner, begin.ChangeAt)
		isTaken := place.hasBegin && begin.First <= place.begin || place.hasEnd && begin.First < place.end
		if isTaken {
			values[o.begin].Micros = begin.Second
		}
		place.hasBegin, place.begin = true, values[o.begin].Micros
		o.last[owner] = place
	}
	if end.Count == 2 {
		if !values[o.begin].Null && end.First < values[o.begin].Micros {
			values[o.end].Micros = end.Second
		}
		place := o.placeAt(owner, end.ChangeAt)
		place.hasEnd, place.end = true, values[o.end].Micros
		o.last[owner] = place
	}
}

// placeAt is where an owner's rows stand in the repeated hour of the change at changeAt.
func (o *clockOrder) placeAt(owner string, changeAt int64) clockPlace {
	if place := o.last[owner]; place.changeAt == changeAt {
		return place
	}
	return clockPlace{changeAt: changeAt}
}
