package delivery

// faultyRows counts the rows of a file that can never be read, whatever reference tables and settings say, so that a file of nothing else
// fills neither the archive nor the ledger.
type faultyRows struct {
	columns int // cells that a row must have; 0 asks for none
	seen    map[*Fault]int64
	told    int // of rowFaults, by rest
}

// isGiven counts a row with a fault of its own or so many cells, and tells whether it is given.
func (f *faultyRows) isGiven(fault *Fault, cells int) bool {
	if fault == nil {
		switch {
		case f.columns == 0 || cells == f.columns:
			return true
		case cells < f.columns:
			fault = faultFewerCells
		default:
			fault = faultMoreCells
		}
	}
	seen := f.seen[fault] + 1
	f.seen[fault] = seen
	return seen <= MaxFaultyRows
}

// rest gives, at a file's end, the rows that stand for those that were not given, one a call; false after the last.
func (f *faultyRows) rest() (Row, bool) {
	for f.told < len(rowFaults) {
		fault := rowFaults[f.told]
		f.told++
		if rest := f.seen[fault] - MaxFaultyRows; rest > 0 {
			return Row{Fault: fault, Rest: rest}, true
		}
	}
	return Row{}, false
}
