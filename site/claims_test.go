package site

import (
	"math/rand/v2"
	"regexp"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/pages"
	"lanetally/site/table"
	"lanetally/site/words"
)

// claimed is the made district after its second season, with that season's answers changed.
func claimed(t *testing.T, edit func(claims []rows.ClaimRow, season *rows.SeasonVerdicts)) *book.Book {
	data := madeSeasons(6)
	data.AsOf = new(time.Date(2031, 8, 1, 0, 0, 0, 0, time.UTC))
	b, err := book.NewBook(data)
	require.NoError(t, err)
	at := 0
	for data.Claims[at].Season != "2030-31" {
		at++
	}
	edit(data.Claims[at:at+5], &b.ComparisonOf("2030-31").SeasonVerdicts)
	return b
}

// 4.56 % is at most 5 % later, 3.38 points at most 4; 0.9519 is 4.8 % less a doubling.
func TestClaimWords(t *testing.T) {
	roads := "; roads no worse: at most 5 % later, 4 points more not bare"
	b := claimed(t, func([]rows.ClaimRow, *rows.SeasonVerdicts) {})
	list := words.Claims(b, "2030-31")
	require.Len(t, list, 5)
	var texts, last []string
	for _, c := range list {
		texts, last = append(texts, c.Words), append(last, c.Last)
	}
	assert.Equal(t, []string{
		"acetate routes came bare no later: at most 5 % later, 4 points more not bare (−0.1 h from storm to storm, 90 % interval −0.2 to " +
			"0.0 h, capped at 24 h)",
		"in a first storm acetate went down at 1.41 times the salt rate (90 % interval 1.34 to 1.48), against the usual 1.25 to 1.50 " +
			"(common practice)" + roads,
		"with each doubling of storms worked acetate rates moved by −4.8 % beyond salt's own (90 % interval −5.7 to −3.9 %)" + roads,
		"acetate got 0.93 times the applications of salt (90 % interval 0.88 to 0.98)" + roads,
		"acetate got 0.97 times the pounds of salt (90 % interval 0.93 to 1.03): about the same, within 10 %; at the latest " +
			"experience on " +
			"the path" + roads}, texts)
	assert.Equal(t, []string{"2029-30: yes", "2029-30: yes", "2029-30: yes", "2029-30: yes", "2029-30: cannot tell yet"}, last,
		"the season before stands beside")
	assert.Empty(t, words.Claims(b, "2028-29"), "before acetate began nothing is claimed")
	first := words.Claims(b, "2029-30")[4]
	assert.Equal(t, "acetate got 0.97 times the pounds of salt (90 % interval 0.93 to 1.03); at the latest experience on the path"+roads,
		first.Words, "the first winter is held against the path alone")
	assert.Equal(t, "–", first.Last)
	for want, edit := range map[string]func(*rows.SeasonVerdicts){
		"; no answer while roads are worse; roads worse: at most 5 %": func(v *rows.SeasonVerdicts) { v.RegainVerdict = rows.RoadsWorse },
		"; no answer without road reports enough; roads not known: at most 5 % later, 4 points more not bare, " +
			"with reports of under four": func(v *rows.SeasonVerdicts) {
			v.RegainVerdict, v.AcetateReportedShare = rows.RoadsNotKnown, new(0.5)
		},
		"; no answer, for the pounds are by settings only; roads": func(v *rows.SeasonVerdicts) { v.Verdict = rows.BySettings }} {
		b := claimed(t, func(claims []rows.ClaimRow, season *rows.SeasonVerdicts) {
			for i := range claims[1:] {
				claims[i+1].Answer = rows.ClaimCannot
			}
			edit(season)
		})
		assert.Contains(t, words.Claims(b, "2030-31")[2].Words, want)
	}
	assert.Equal(t, "no figure yet"+roads, words.Say(us, "claim", rows.ClaimRow{Claim: 4}, b.RoadsOf("2030-31"), true, 0.1))
}

func TestCourseSentence(t *testing.T) {
	empty, err := book.NewBook(&book.Data{})
	require.NoError(t, err)
	assert.Equal(t, "No data has been loaded yet, so there is no season to show.", words.CourseSentence(empty, "", nil))
	say := func(b *book.Book) string { return words.CourseSentence(b, "2030-31", words.Claims(b, "2030-31")) }
	b := claimed(t, func([]rows.ClaimRow, *rows.SeasonVerdicts) {})
	assert.Contains(t, say(b), "The 2030-31 season was on course (of 5 claims 5 yes): acetate routes came bare no later: at most 5 "+
		"% later, ")
	b.Data.AsOf = new(time.Date(2031, 6, 1, 0, 0, 0, 0, time.UTC))
	assert.Contains(t, say(b), "The 2030-31 season is on course so far (of 5 claims 5 yes): ")
	assert.Contains(t, words.CourseSentence(b, "2030-31", nil), "It cannot be told yet whether the 2030-31 season is on course; the data")
	for want, answers := range map[string][2]string{
		"The 2030-31 season is not on course, for the numbers contradict that roads come bare no later and that acetate routes get fewer " +
			"applications (of 5 claims 3 yes, 2 no): ": {rows.ClaimNo, rows.ClaimNo},
		"It cannot be told whether the 2030-31 season is on course (of 5 claims 4 yes, 1 cannot tell yet): " +
			"": {rows.ClaimCannot, rows.ClaimYes},
	} {
		assert.Contains(t, say(claimed(t, func(claims []rows.ClaimRow, _ *rows.SeasonVerdicts) {
			claims[0].Answer, claims[3].Answer = answers[0], answers[1]
		})), want)
	}
}

// The page's table holds the rows of claims, so far while the season is open, and names the zones that are no part of them.
func TestTheClaimsTableHoldsTheRows(t *testing.T) {
	files := made(t)
	list := parsedTable(t, files["index.html"], "claims")
	require.Len(t, list, 5)
	for i, cells := range list {
		assert.Equal(t, "yes, so far", cells[1])
		assert.Contains(t, cells[2], "at most 5 % later, 4 points more not bare", "the roads stand beside each")
		assert.Equal(t, "2029-30: "+[]string{"yes", "yes", "yes", "yes", "cannot tell yet"}[i], cells[3])
	}
	assert.Contains(t, files["index.html"], "No part of these answers: ")
	assert.Contains(t, files["index.html"], "they are of other routes and storms than the answers above")
}

// called are the words that call pounds equal or rates falling; besideRoads are those of the roads. A crew that comes down slower than the
// others is only set beside them.
var called = regexp.MustCompile(`(?i)about the same|are about salt|\b(come|came|coming) down|\bfall(s|ing|en)?\b|\bfell\b`)
var besideRoads = regexp.MustCompile(`(?i)\broads?\b|came bare`)

// TestNothingIsCalledEqualOrFallingWithoutTheRoads: over 500 random results, whatever the rows hold, no paragraph, title, caption or row of
// the pages of season, comparison and learning does so without the roads beside it.
func TestNothingIsCalledEqualOrFallingWithoutTheRoads(t *testing.T) {
	rng := rand.New(rand.NewPCG(19, 500))
	data := madeSeasons(2)
	seen := map[string]int{}
	for range 500 {
		drawResults(rng, data)
		b, err := book.NewBook(data)
		require.NoError(t, err)
		season, err := pages.SeasonPage(b, b.LatestSeason(), "")
		require.NoError(t, err)
		for _, page := range []table.Page{season, pages.ComparisonPage(b), pages.LearningPage(b)} {
			for _, text := range textsOf(page) {
				for _, found := range called.FindAllString(text, -1) {
					seen[strings.ToLower(found)]++
					require.Regexp(t, besideRoads, text, page.Title)
				}
			}
		}
	}
	for _, text := range []string{"about the same", "are about salt", "coming down", "came down", "come down"} {
		assert.Greater(t, seen[text], 100, text)
	}
}

// textsOf are a page's paragraphs, titles and captions, and each row of its tables as one text.
func textsOf(page table.Page) []string {
	texts := []string{page.Lead}
	for _, s := range page.Sections {
		texts = append(texts, append(append(s.Text, s.Title), s.List...)...)
		for _, f := range s.Figures {
			texts = append(texts, f.Title, f.Caption, string(f.Drawing))
		}
		for _, shown := range s.Tables {
			texts = append(texts, shown.Caption, shown.Note)
			for _, row := range shown.Rows {
				text := ""
				for _, cell := range row.Cells {
					text += cell.Text + "\n"
				}
				texts = append(texts, text)
			}
		}
	}
	return texts
}

// drawResults gives data's verdicts any words that they can hold and any numbers, each missing once in four.
func drawResults(rng *rand.Rand, data *book.Data) {
	one := func(list ...string) string { return list[rng.IntN(len(list))] }
	number := func(low, high float64) *float64 {
		if rng.IntN(4) == 0 {
			return nil
		}
		return new(low + (high-low)*rng.Float64())
	}
	interval := func(figure, low, high **float64) {
		if *figure, *low, *high = nil, nil, nil; rng.IntN(4) > 0 {
			x := 0.7 + rng.Float64()
			*figure, *low, *high = new(x), new(x*0.9), new(x*1.1)
		}
	}
	trend := func() string {
		verdict := one(rows.TooEarly, rows.Falling, rows.Falling, rows.Falling, rows.Rising, rows.Settled, rows.NoTrend, rows.FromOrder,
			rows.FromInstruction, rows.FromSettings)
		return verdict + one("", "; so far", "; so far; "+rows.Unweighed)
	}
	roads := func() string { return one(rows.RoadsNoWorse, rows.RoadsWorse, rows.RoadsNotKnown, "") }
	for i := range data.Claims {
		c := &data.Claims[i]
		c.Answer = one(rows.ClaimYes, rows.ClaimNo, rows.ClaimCannot)
		interval(&c.Figure, &c.Low90, &c.High90)
	}
	for i := range data.BesideSalt {
		interval(&data.BesideSalt[i].Ratio, &data.BesideSalt[i].Low90, &data.BesideSalt[i].High90)
	}
	for i := range data.Comparison {
		if c := &data.Comparison[i]; c.StormID == "" {
			v := &c.SeasonVerdicts
			v.Verdict = one(rows.TooEarly, rows.AboutTheSame, rows.Less, rows.More, rows.NotYetKnown, rows.NotOfMaterial, rows.BySettings)
			v.ApplicationsVerdict = one(rows.TooEarly, rows.AboutTheSame, rows.Fewer, rows.More, rows.NotYetKnown)
			v.RegainVerdict, v.PathVerdict = roads(), one(rows.PathAbove, rows.PathBelow, rows.PathOn, rows.PathNotAbove, "")
			interval(&v.TotalRatio, &v.Low90, &v.High90)
			interval(&v.MaterialRatio, &v.MaterialLow90, &v.MaterialHigh90)
			interval(&v.RegainDiffH, &v.RegainLow90H, &v.RegainHigh90H)
			interval(&v.NotBareDiff, &v.NotBareLow90, &v.NotBareHigh90)
			v.AcetateReportedShare, v.ChlorideReportedShare, v.AcetateSetRateShare = number(0.6, 1), number(0.6, 1), number(0, 0.3)
			v.WithinTenShare, v.WithinMarginShare, v.MarginShownPct = number(0, 1), number(0, 1), number(5, 50)
			v.PoundsBasis, v.RoutesChanged = one(rows.BasisReported, rows.BasisWeighed), int64(rng.IntN(5))
		}
	}
	for i := range data.Learning {
		l := &data.Learning[i]
		if l.CrewID != rows.AllCrews {
			l.Verdict = one(rows.CrewSlower, rows.CrewFaster, rows.CrewLikeOthers)
			continue
		}
		l.Verdict, l.ServiceVerdict = trend(), roads()
		l.ControlVerdict = one(rows.ControlBeyond, rows.ControlBeyond, rows.ControlNoMore, rows.ControlNotKnown, rows.ControlNone,
			rows.FromOrder, rows.FromInstruction, rows.BySettings)
		l.StartVerdict = one(rows.StartWithin, rows.StartAbove, rows.StartBelow, rows.NotYetKnown, rows.BySettings)
		interval(&l.NetChangePct, &l.NetLow90Pct, &l.NetHigh90Pct)
		interval(&l.StartRatio, &l.StartRatioLow90, &l.StartRatioHigh90)
		interval(&l.ChangePct, &l.ChangeLow90Pct, &l.ChangeHigh90Pct)
	}
	for i := range data.LearningBases {
		data.LearningBases[i].Verdict = trend()
	}
}
