package site

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"time"
)

// ordersIn lists the orders that took effect from the first storm's season on, oldest first.
func (b *book) ordersIn() []Order {
	return sorted(b.data.Orders, func(x, y Order) int {
		return cmp.Or(x.FromDate.Compare(y.FromDate), cmp.Compare(x.Text, y.Text), cmp.Compare(x.RouteID, y.RouteID))
	})
}

// localMidnight is the begin of a calendar date in the district's zone.
func (b *book) localMidnight(date time.Time) time.Time {
	date = date.UTC()
	return time.Date(date.Year(), date.Month(), date.Day(), 0, 0, 0, 0, b.clock.zone)
}

// placedOrder is an order with the place, among storms in time order, of the first storm it held in.
type placedOrder struct {
	Order
	at int
}

// placeOrders finds the orders that fall among storms with these begins; keep says which orders count.
func (b *book) placeOrders(begins []time.Time, keep func(Order) bool) []placedOrder {
	var placed []placedOrder
	for _, order := range b.ordersIn() {
		from := b.localMidnight(order.FromDate)
		at := slices.IndexFunc(begins, func(t time.Time) bool { return !t.Before(from) })
		if at < 0 || !keep(order) || from.Before(begins[0].AddDate(0, -1, 0)) {
			continue
		}
		placed = append(placed, placedOrder{order, at})
	}
	return placed
}

// concerns tells whether an order may move the rates of a route that gets these classes of material.
func concerns(o Order, routeID string, classes map[string]bool) bool {
	return (o.RouteID == "" || o.RouteID == routeID) && (o.MaterialClass == "" || classes[o.MaterialClass])
}

// classesOfRoute are the classes of material that a route ever got in storms.
func (b *book) classesOfRoute(routeID string) map[string]bool {
	classes := map[string]bool{}
	for _, row := range b.rowsByRoute[routeID] {
		classes[row.MaterialClass] = true
	}
	return classes
}

// marks names the orders by number, as the notes under the chart do; orders at one place share a line.
func marks(placed []placedOrder) []orderMark {
	var list []orderMark
	for i, order := range placed {
		name := fmt.Sprintf("order %d", i+1)
		if n := len(list); n > 0 && list[n-1].at == order.at {
			list[n-1].name += fmt.Sprintf(", %d", i+1)
			continue
		}
		list = append(list, orderMark{order.at, name})
	}
	return list
}

// notes writes out the orders that marks names.
func (b *book) notes(placed []placedOrder) []string {
	var list []string
	for i, order := range placed {
		list = append(list, orderSentence(i+1, date(order.FromDate), order.Text, order.MaterialClass, order.RouteID))
	}
	return list
}

func (b *book) seasonBegins(rows []Tally) []time.Time {
	var begins []time.Time
	last := ""
	for _, row := range rows {
		if b.isRated(row.MaterialClass) && row.StormID != last {
			begins, last = append(begins, row.BeganAt), row.StormID
		}
	}
	return begins
}

// isRated tells the classes that charts of rates show.
func (c classes) isRated(class string) bool { return slices.Contains(c.sides(), class) }

// fittedOrders are the orders that may move acetate rates, oldest first.
func (b *book) fittedOrders() []Order {
	return slices.DeleteFunc(b.ordersIn(), func(o Order) bool { return o.MaterialClass != "" && o.MaterialClass != b.compareClass() })
}

// orderNotes writes out the orders that the pictures of learning name by number; "" without any.
func (b *book) orderNotes() string {
	var list []string
	for i, o := range b.fittedOrders() {
		list = append(list, orderSentence(i+1, date(o.FromDate), o.Text, o.MaterialClass, o.RouteID))
	}
	return strings.Join(list, " ")
}

// experienceAt is what crews had worked when an order took effect: the fewest and the most acetate storms before the
// first of each crew's rates from the order's date on. Found is false where no rate is on both sides of it.
func (b *book) experienceAt(o Order, points []ratePoint) (fewest, most int64, found bool) {
	from, least, isBefore := b.localMidnight(o.FromDate), map[string]int64{}, false
	for _, p := range points {
		if o.RouteID != "" && p.routeID != o.RouteID {
			continue
		}
		if b.began(p.stormID).Before(from) {
			isBefore = true
			continue
		}
		if n, seen := least[p.crewID]; !seen || p.prior < n {
			least[p.crewID] = p.prior
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
