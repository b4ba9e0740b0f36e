package contract

import (
	"fmt"
	"strconv"
)

// maxPassH is the longest that a pass may last (contracts: passes).
const maxPassH = 12

const MicrosPerHour = 3600 * 1_000_000

// rowRule checks columns of one row against each other; it gives the place of the column at fault.
type rowRule func(values []Value) (int, *Fault)

// rulesOf gives the rules of a contract's rows that need no other table.
func rulesOf(c *Contract) []rowRule {
	var rules []rowRule
	if begin, end := c.Index("began_at"), c.Index("ended_at"); begin >= 0 && end >= 0 {
		rules = append(rules, endAfterBegin(begin, end, c.Name == "passes"))
	}
	if from, to := c.Index("from_mi"), c.Index("to_mi"); from >= 0 && to >= 0 {
		rules = append(rules, bothMiles(from, to))
	}
	return rules
}

func endAfterBegin(begin, end int, isPass bool) rowRule {
	return func(values []Value) (int, *Fault) {
		if values[begin].Null || values[end].Null {
			return end, nil
		}
		lasted := values[end].Micros - values[begin].Micros
		switch {
		case lasted < 0:
			return end, &Fault{Column: "ended_at", Code: ReasonEndBeforeBegin, Found: fmt.Sprintf("%.2f", float64(-lasted)/MicrosPerHour)}
		case isPass && lasted > maxPassH*MicrosPerHour:
			return end, &Fault{Column: "ended_at", Code: ReasonTooLong,
				Found: fmt.Sprintf("%.2f", float64(lasted)/MicrosPerHour), Wanted: strconv.Itoa(maxPassH)}
		}
		return end, nil
	}
}

// bothMiles asks for both ends of a stretch or none; the fault belongs to the empty one.
func bothMiles(from, to int) rowRule {
	return func(values []Value) (int, *Fault) {
		if values[from].Null == values[to].Null {
			return from, nil
		}
		if values[from].Null {
			return from, &Fault{Column: "from_mi", Code: ReasonHalfMiles, Wanted: "to_mi"}
		}
		return to, &Fault{Column: "to_mi", Code: ReasonHalfMiles, Wanted: "from_mi"}
	}
}
