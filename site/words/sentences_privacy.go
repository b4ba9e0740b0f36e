package words

import (
	"fmt"

	"lanetally/pipeline/rows"
	"lanetally/site/book"
	"lanetally/site/format"
)

// CrewFolderSentence stands where somebody asks for the folder of the crews' pages.
const CrewFolderSentence = "Each crew's page has an address of its own. A crew learns it from its superintendent."

// SmallCrewSentence says why a crew's page has no figures of its own.
func SmallCrewSentence(name string, members *int64, through string) string {
	why := fmt.Sprintf("has fewer than %d members", rows.FewestMembers)
	if members == nil {
		why = "has no number of members in crews.csv and counts as a small one"
	}
	return fmt.Sprintf("Crew %s %s, so no figure of its own is shown: it would be one of persons. What its routes got in all stands "+
		"below; %s.", name, why, reach(through))
}

// SmallCrewWords stand in a list in place of a small crew's figures.
func SmallCrewWords(members *int64) string {
	if members == nil {
		return "members not given"
	}
	return fmt.Sprintf("fewer than %d members", rows.FewestMembers)
}

// SideBySideSentence heads the crews' pictures, or says why there are none.
func SideBySideSentence(namesCrews bool, compared, shown int) string {
	switch {
	case !namesCrews:
		return "Crews are not set side by side on these pages."
	case compared == 0:
		return fmt.Sprintf("Crews are not set side by side: it takes %d crews of %d members or more, and there %s.", rows.FewestCrews,
			rows.FewestMembers, isCounted(shown))
	}
	return fmt.Sprintf("Every picture has the same scale; the thin line is the common curve. Crews are not ranked: a crew's rates "+
		"follow its routes, storms and pavement too. Crews of fewer than %d members are left out.", rows.FewestMembers)
}

func isCounted(n int) string {
	switch n {
	case 0:
		return "is none"
	case 1:
		return "is 1"
	}
	return "are " + format.Whole(n)
}

// FileLabelSentence tells a crew how the files name it.
func FileLabelSentence(label string, namesCrews bool) string {
	switch {
	case label == "":
		return "The files beside these pages hold no rows of this crew."
	case namesCrews:
		return ""
	}
	return fmt.Sprintf("In the files beside these pages this crew is %s; no other page says so.", label)
}

// CrewFilesSentence says what the files hold about crews.
func CrewFilesSentence(pages string, labels int) string {
	small := fmt.Sprintf("rows of crews of fewer than %d members are left out", rows.FewestMembers)
	switch {
	case pages == rows.CrewPagesAll:
		return format.Capital(small) + " of the files."
	case pages == rows.CrewPagesOwn && labels > 0:
		return fmt.Sprintf("In place of crews the files have labels that mean nothing elsewhere and stay from night to night; %s, and "+
			"such crews are other.", small)
	}
	return "No row of the files is about one crew, and a crew is other in all of them."
}

// SharedRate stands in place of one crew's rate on a route that several crews treated.
const SharedRate = "one of several crews"

// dotsSentence says what a dot of the common curve is.
func dotsSentence(namesCrews bool) string {
	if namesCrews {
		return "Dots: rates of one crew on one route in one storm, as they were, weather and route included."
	}
	return "Dots: rates of one route in one storm, all its crews together, at the mean of their experience; weather and route " +
		"included. The line was fitted to each crew's rates."
}

// UnnamedRateTitle is a dot's rate where pages name no crew.
func UnnamedRateTitle(u format.Units, p book.RatePoint) string {
	return u.Sprintf("%s lb per lane-mile after %s", u.Rate(&p.Rate), format.Counted(p.Prior, "storm", "storms"))
}

// ratesNotPublicSentence says which rates a picture leaves out.
func ratesNotPublicSentence(rates int) string {
	return format.Capital(format.Counted(rates, "rate is", "rates are")) +
		fmt.Sprintf(" fitted and not drawn: of crews of fewer than %d members, on shared routes.", rows.FewestMembers)
}
