package pages

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
	"lanetally/site/table"
	"lanetally/site/words"
)

// evidence is the place on the pages that a kind of finding leads to; the data page for all others.
var evidence = map[string]string{"service slower": "learning.html#curve", "wrong setting": "material.html#settings",
	"calibration due": "material.html#calibrations", "stock running low": "stock.html#outlook",
	"negative stock": "stock.html#counts", "shrinkage": "stock.html#counts", "count above book": "stock.html#counts"}

func evidenceHref(kind string) string { return cmp.Or(evidence[kind], "data.html#findings") }

// shownFindings lists all findings but those about crews: by kind, the latest first.
func shownFindings(b *book.Book) []rows.FindingRow {
	list := slices.DeleteFunc(slices.Concat(b.Data.Findings, judgedFindings(b)),
		func(f rows.FindingRow) bool { return strings.HasPrefix(f.SubjectKind, "crew") })
	slices.SortFunc(list, func(x, y rows.FindingRow) int {
		return cmp.Or(cmp.Compare(rows.KindPlace(x.Kind()), rows.KindPlace(y.Kind())), laterFirst(x.SinceAt, y.SinceAt),
			cmp.Compare(x.SubjectKind, y.SubjectKind), cmp.Compare(x.SubjectID, y.SubjectID), cmp.Compare(x.StormID, y.StormID),
			cmp.Compare(x.Code, y.Code),
			cmp.Compare(x.Name, y.Name), cmp.Compare(x.OtherName, y.OtherName), laterFirst(y.OtherFromAt, x.OtherFromAt))
	})
	return list
}

// laterFirst puts the later instant first and none last.
func laterFirst(x, y *time.Time) int {
	switch {
	case x == nil && y == nil:
		return 0
	case x == nil:
		return 1
	case y == nil:
		return -1
	}
	return y.Compare(*x)
}

// ofSeason keeps the findings about a season's storms; those about no storm belong to the latest season.
func ofSeason(b *book.Book, list []rows.FindingRow, season string) []rows.FindingRow {
	return book.Where(list, func(f rows.FindingRow) bool {
		if e := b.EventByID[f.StormID]; e != nil {
			return e.Season == season
		}
		return season == b.LatestSeason()
	})
}

// AttentionSection shows one line for each kind of finding, the latest of the kind, with how many more there are.
func AttentionSection(b *book.Book, season, root string) table.Section {
	list := ofSeason(b, shownFindings(b), season)
	var latest []rows.FindingRow
	for i, f := range list {
		if i == 0 || list[i-1].Kind() != f.Kind() {
			latest = append(latest, f)
		}
	}
	s := table.Section{ID: "attention", Title: "What needs attention",
		Text: []string{words.Say(b.Units, "attention", len(list), len(latest))}}
	if len(latest) > 0 {
		own := findingsOn(b, root)
		own["evidence"] = func(f rows.FindingRow) any {
			ofKind := book.CountOf(list, func(other rows.FindingRow) bool { return other.Kind() == f.Kind() })
			return table.Link(words.Say(b.Units, "evidence", ofKind-1), root+evidenceHref(f.Kind()))
		}
		s.Tables = []table.Table{table.Filled(b, table.Place{ID: "attention-table"}, latest[:min(len(latest), MostFindings)], own)}
	}
	return s
}

// subject names what a finding is about, with a link where it has a page.
func subject(b *book.Book, f rows.FindingRow, root string) table.Cell {
	switch f.SubjectKind {
	case "route":
		return table.Cell{Text: format.Named("route", b.RouteShort(f.SubjectID)), Href: b.RouteHref(root, f.SubjectID)}
	case "zone":
		return table.Cell{Text: b.NamedZone(f.SubjectID)}
	case "storm":
		return table.Cell{Text: "storm " + f.SubjectID, Href: b.StormHref(root, f.SubjectID)}
	}
	return table.Cell{Text: strings.TrimSpace(f.SubjectKind + " " + f.SubjectID)}
}

// findingsOn computes the columns of findings on a page.
func findingsOn(b *book.Book, root string) table.Own[rows.FindingRow] {
	return table.Own[rows.FindingRow]{
		"finding": func(f rows.FindingRow) any { return format.Capital(f.Kind()) },
		"about":   func(f rows.FindingRow) any { return subject(b, f, root) },
		"storm": func(f rows.FindingRow) any {
			return table.Link(cmp.Or(f.StormID, format.Missing), b.StormHref(root, f.StormID))
		},
		"why": func(f rows.FindingRow) any { return f.Sentence(b.FindingWriter()) }}
}
