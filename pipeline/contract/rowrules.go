package contract

import "fmt"

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
			return end, &Fault{"ended_at", ReasonEndBeforeBegin,
				fmt.Sprintf("ended_at lies %.2f h before began_at; put the two times right", float64(-lasted)/MicrosPerHour)}
		case isPass && lasted > maxPassH*MicrosPerHour:
			return end, &Fault{"ended_at", ReasonTooLong, fmt.Sprintf("ended_at lies %.2f h after began_at; a pass lasts at most %d h: "+
				"put the times right, or split the row", float64(lasted)/MicrosPerHour, maxPassH)}
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
			return from, &Fault{"from_mi", ReasonHalfMiles, "from_mi is empty and to_mi is not; give both or neither"}
		}
		return to, &Fault{"to_mi", ReasonHalfMiles, "to_mi is empty and from_mi is not; give both or neither"}
	}
}
