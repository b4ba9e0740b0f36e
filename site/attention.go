package site

import (
	"cmp"
	"slices"
	"strings"
)

// findingOrder puts pounds that are not counted and missing logs first, then service, settings, stock and calibrations; kinds that are not listed come before `open storm`.
var findingOrder = []string{"set aside", "no route lines", "no log", "service slower", "wrong setting", "stock running low", "negative stock", "shrinkage", "count above book", "calibration due",
	"zone without station", "no weather", "weather not read", "same truck and begin",
	"route without line", "pounds off the routes", "weak passes", "sheet and positions differ", "lanes or direction"}

// evidence is the place on the pages that a kind of finding leads to; the data page for all others.
var evidence = map[string]string{"service slower": "learning.html#curve", "wrong setting": "material.html#settings", "calibration due": "material.html#calibrations", "stock running low": "stock.html#outlook",
	"negative stock": "stock.html#counts", "shrinkage": "stock.html#counts", "count above book": "stock.html#counts"}

func evidenceHref(kind string) string { return cmp.Or(evidence[kind], "data.html#findings") }

// lastFinding is the kind that needs a look only after all others.
const lastFinding = "open storm"

func findingPlace(kind string) int {
	if kind == lastFinding {
		return len(findingOrder) + 1
	}
	if place := slices.Index(findingOrder, kind); place >= 0 {
		return place
	}
	return len(findingOrder)
}

// shownFindings lists all findings but those about crews: by kind, the latest first.
func (b *book) shownFindings() []Finding {
	list := slices.DeleteFunc(slices.Concat(b.data.Findings, b.judgedFindings()), func(f Finding) bool { return strings.HasPrefix(f.SubjectKind, "crew") })
	slices.SortFunc(list, func(x, y Finding) int {
		return cmp.Or(cmp.Compare(findingPlace(x.Kind), findingPlace(y.Kind)), cmp.Compare(x.Kind, y.Kind), laterFirst(x, y),
			cmp.Compare(x.SubjectKind, y.SubjectKind), cmp.Compare(x.SubjectID, y.SubjectID), cmp.Compare(x.StormID, y.StormID), cmp.Compare(x.Detail, y.Detail))
	})
	return list
}

// laterFirst puts the later since_at first and findings without one last.
func laterFirst(x, y Finding) int {
	switch {
	case x.SinceAt == nil && y.SinceAt == nil:
		return 0
	case x.SinceAt == nil:
		return 1
	case y.SinceAt == nil:
		return -1
	}
	return y.SinceAt.Compare(*x.SinceAt)
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
	table := Table{ID: "attention", Caption: "What needs attention, the latest of each kind",
		Columns: []Column{words("Finding"), prose("About"), words("Storm"), words("Since"), prose("Why"), words("Evidence")}}
	kinds := 0
	for i, f := range list {
		if i > 0 && list[i-1].Kind == f.Kind {
			continue
		}
		kinds++
		if kinds > mostFindings {
			continue
		}
		like := len(b.ofKind(list, f.Kind)) - 1
		table.Rows = append(table.Rows, Row{Cells: append(b.findingCells(f, root), link(evidenceWords(like), root+evidenceHref(f.Kind)))})
	}
	s := Section{ID: "attention", Title: "What needs attention", Text: []string{attentionSentence(len(list), kinds)}}
	if len(table.Rows) > 0 {
		table.ID = "attention-table"
		s.Tables = []Table{table}
	}
	return s
}

func (b *book) ofKind(list []Finding, kind string) []Finding {
	return slices.DeleteFunc(slices.Clone(list), func(f Finding) bool { return f.Kind != kind })
}

func (b *book) findingCells(f Finding, root string) []Cell {
	return []Cell{{Text: capital(f.Kind)}, b.subject(f, root), {Text: cmp.Or(f.StormID, missing), Href: b.stormHref(root, f.StormID)},
		{Text: b.clock.momentOf(f.SinceAt)}, {Text: findingSentence(b.units, f.Amount, f.Detail)}}
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
