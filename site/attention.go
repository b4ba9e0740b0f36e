package site

import (
	"cmp"
	"slices"
	"strings"
	"time"

	"lanetally/pipeline/rows"
)

// evidence is the place on the pages that a kind of finding leads to; the data page for all others.
var evidence = map[string]string{"service slower": "learning.html#curve", "wrong setting": "material.html#settings", "calibration due": "material.html#calibrations", "stock running low": "stock.html#outlook",
	"negative stock": "stock.html#counts", "shrinkage": "stock.html#counts", "count above book": "stock.html#counts"}

func evidenceHref(kind string) string { return cmp.Or(evidence[kind], "data.html#findings") }

// shownFindings lists all findings but those about crews: by kind, the latest first.
func (b *book) shownFindings() []Finding {
	list := slices.DeleteFunc(slices.Concat(b.data.Findings, b.judgedFindings()), func(f Finding) bool { return strings.HasPrefix(f.SubjectKind, "crew") })
	slices.SortFunc(list, func(x, y Finding) int {
		return cmp.Or(cmp.Compare(rows.KindPlace(x.Kind()), rows.KindPlace(y.Kind())), laterFirst(x.SinceAt, y.SinceAt),
			cmp.Compare(x.SubjectKind, y.SubjectKind), cmp.Compare(x.SubjectID, y.SubjectID), cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.Code, y.Code),
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
func (b *book) ofSeason(list []Finding, season string) []Finding {
	var kept []Finding
	for _, f := range list {
		e := b.eventByID[f.StormID]
		if (e != nil && e.Season == season) || (e == nil && season == b.latestSeason()) {
			kept = append(kept, f)
		}
	}
	return kept
}

// attentionSection shows one line for each kind of finding, the latest of the kind, with how many more there are.
func (b *book) attentionSection(season, root string) Section {
	list := b.ofSeason(b.shownFindings(), season)
	var latest []Finding
	for i, f := range list {
		if i == 0 || list[i-1].Kind() != f.Kind() {
			latest = append(latest, f)
		}
	}
	s := Section{ID: "attention", Title: "What needs attention", Text: []string{attentionSentence(len(list), len(latest))}}
	if len(latest) > 0 {
		evidence := func(f Finding) Cell {
			return link(evidenceWords(len(b.ofKind(list, f.Kind()))-1), root+evidenceHref(f.Kind()))
		}
		s.Tables = []Table{filled(b, Table{ID: "attention-table", Caption: "What needs attention, the latest of each kind"},
			append(b.findingColumns(root), cells("Evidence", evidence)), latest[:min(len(latest), mostFindings)])}
	}
	return s
}

func (b *book) ofKind(list []Finding, kind string) []Finding {
	return slices.DeleteFunc(slices.Clone(list), func(f Finding) bool { return f.Kind() != kind })
}

// subject names what a finding is about, with a link where it has a page.
func (b *book) subject(f Finding, root string) Cell {
	switch f.SubjectKind {
	case "route":
		return Cell{Text: named("route", b.routeShort(f.SubjectID)), Href: b.routeHref(root, f.SubjectID)}
	case "zone":
		return Cell{Text: b.namedZone(f.SubjectID)}
	case "storm":
		return Cell{Text: "storm " + f.SubjectID, Href: b.stormHref(root, f.SubjectID)}
	}
	return Cell{Text: strings.TrimSpace(f.SubjectKind + " " + f.SubjectID)}
}

func (b *book) findingColumns(root string) []Column[Finding] {
	return []Column[Finding]{words("Finding", func(f Finding) string { return capital(f.Kind()) }).picked(),
		cells("About", func(f Finding) Cell { return b.subject(f, root) }).asProse(),
		cells("Storm", func(f Finding) Cell { return link(cmp.Or(f.StormID, missing), b.stormHref(root, f.StormID)) }),
		moments(b, "Since", func(f Finding) *time.Time { return f.SinceAt }),
		prose("Why", func(f Finding) string { return f.Sentence(b.findingWriter()) })}
}
