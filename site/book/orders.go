package book

import (
	"cmp"
	"fmt"
	"slices"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/format"
)

// ordersIn lists the orders that took effect from the first storm's season on, oldest first.
func (b *Book) ordersIn() []rows.Order {
	return Sorted(b.Data.Orders, func(x, y rows.Order) int {
		return cmp.Or(x.FromDate.Compare(y.FromDate), cmp.Compare(x.Text, y.Text), cmp.Compare(x.RouteID, y.RouteID))
	})
}

// LocalMidnight is the begin of a calendar date in the district's zone.
func (b *Book) LocalMidnight(date time.Time) time.Time {
	date = date.UTC()
	return time.Date(date.Year(), date.Month(), date.Day(), 0, 0, 0, 0, b.Clock.Zone)
}

// PlacedOrder is an order with the place, among storms in time order, of the first storm it held in.
type PlacedOrder struct {
	rows.Order
	at int
}

// PlaceOrders finds the orders that fall among storms with these begins; keep says which orders count.
func (b *Book) PlaceOrders(begins []time.Time, keep func(rows.Order) bool) []PlacedOrder {
	var placed []PlacedOrder
	for _, order := range b.ordersIn() {
		from := b.LocalMidnight(order.FromDate)
		at := slices.IndexFunc(begins, func(t time.Time) bool { return !t.Before(from) })
		if at < 0 || !keep(order) || from.Before(begins[0].AddDate(0, -1, 0)) {
			continue
		}
		placed = append(placed, PlacedOrder{order, at})
	}
	return placed
}

// Concerns tells whether an order may move the rates of a route that gets these classes of material.
func Concerns(o rows.Order, routeID string, classes map[string]bool) bool {
	return (o.RouteID == "" || o.RouteID == routeID) && (o.MaterialClass == "" || classes[o.MaterialClass])
}

// ClassesOfRoute are the classes of material that a route ever got in storms.
func (b *Book) ClassesOfRoute(routeID string) map[string]bool {
	classes := map[string]bool{}
	for _, row := range b.RowsByRoute[routeID] {
		classes[row.MaterialClass] = true
	}
	return classes
}

// Marks names the orders by number, as the notes under the chart do; orders at one place share a line.
func Marks(placed []PlacedOrder) []OrderMark {
	var list []OrderMark
	for i, order := range placed {
		name := fmt.Sprintf("order %d", i+1)
		if n := len(list); n > 0 && list[n-1].At == order.at {
			list[n-1].Name += fmt.Sprintf(", %d", i+1)
			continue
		}
		list = append(list, OrderMark{order.at, name})
	}
	return list
}

// SeasonBegins lists when each storm with a rated class began, one instant a storm; rows of a storm stand together.
func (b *Book) SeasonBegins(rows []rows.Tally) []time.Time {
	var begins []time.Time
	last := ""
	for _, row := range rows {
		if IsRated(b.Units.Classes, row.MaterialClass) && row.StormID != last {
			begins, last = append(begins, row.BeganAt), row.StormID
		}
	}
	return begins
}

// IsRated tells the classes that charts of rates show.
func IsRated(c format.Classes, class string) bool { return slices.Contains(c.Sides(), class) }

// FittedOrders are the orders that may move acetate rates, oldest first.
func (b *Book) FittedOrders() []rows.Order {
	return slices.DeleteFunc(b.ordersIn(), func(o rows.Order) bool { return o.MaterialClass != "" && o.MaterialClass != b.CompareClass() })
}

// ExperienceAt is what crews had worked when an order took effect: the fewest and the most acetate storms before the
// first of each crew's rates from the order's date on. Found is false where no rate is on both sides of it.
func (b *Book) ExperienceAt(o rows.Order, points []RatePoint) (fewest, most int64, found bool) {
	from, least, isBefore := b.LocalMidnight(o.FromDate), map[string]int64{}, false
	for _, p := range points {
		if o.RouteID != "" && p.RouteID != o.RouteID {
			continue
		}
		if b.Began(p.StormID).Before(from) {
			isBefore = true
			continue
		}
		if n, seen := least[p.CrewID]; !seen || p.Prior < n {
			least[p.CrewID] = p.Prior
		}
	}
	for _, n := range least {
		if !found || n < fewest {
			fewest = n
		}
		most, found = max(most, n), true
	}
	return fewest, most, found && isBefore
}

// OrderMark is an order that took effect before the storm at this place.
type OrderMark struct {
	At   int
	Name string
}
