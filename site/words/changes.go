package words

import (
	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// ChangeCounts is what ChangesSentence says: how many figures moved and of which storms, and which storms appeared or vanished in some
// zone.
type ChangeCounts struct {
	Figures                   int
	Moved, Appeared, Vanished map[string]bool
}

// Count adds one change: a storm that appeared or vanished, or else a figure that moved.
func (m *ChangeCounts) Count(c rows.Change) {
	switch {
	case c.Column == "storm" && c.Before == nil:
		m.Appeared[c.StormID] = true
	case c.Column == "storm":
		m.Vanished[c.StormID] = true
	default:
		m.Figures++
		m.Moved[c.StormID] = true
	}
}

// VersionsSentence says whether any definition changed since the list began.
func VersionsSentence(rows []book.VersionRow) string {
	changed := map[string]bool{}
	for _, r := range rows {
		if r.Definition != "" {
			changed[r.Version+r.Definition] = true
		}
	}
	since := "No definition has changed"
	if n := len(changed); n > 0 {
		since = format.Capital(format.Counted(n, "definition", "definitions")) + " changed"
	}
	return since + " since version " + rows[0].Version + "; the first number of a version goes up with each that does."
}
