package delivery

import "slices"

// faultyRows counts the rows of a file that can never be read, whatever reference tables and settings say, so that a file of nothing else
// fills neither the archive nor the ledger.
type faultyRows struct {
	columns int     // cells that a row must have; 0 asks for none
	seen    []int64 // by the place in rowFaults
	told    int     // of rowFaults, by rest
}

func newFaultyRows(columns int) faultyRows {
	return faultyRows{columns: columns, seen: make([]int64, len(rowFaults))}
}

// isGiven counts a row with a fault of its own, or so many cells and bytes, and tells whether it is given.
func (f *faultyRows) isGiven(fault *Fault, cells, size int) bool {
	place := fewerCellsPlace
	switch {
	case fault != nil:
		place = slices.Index(rowFaults, fault)
	case f.columns > 0 && cells < f.columns:
	case f.columns > 0 && cells > f.columns:
		place = moreCellsPlace
	case size < shortestRow:
		place = shortPlace
	default:
		return true
	}
	f.seen[place]++
	return f.seen[place] <= MaxFaultyRows
}

// rest gives, at a file's end, the rows that stand for those that were not given, one a call; false after the last.
func (f *faultyRows) rest() (Row, bool) {
	for f.told < len(rowFaults) {
		place := f.told
		f.told++
		if rest := f.seen[place] - MaxFaultyRows; rest > 0 {
			return Row{Fault: rowFaults[place], Rest: rest}, true
		}
	}
	return Row{}, false
}
