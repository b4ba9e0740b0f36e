package words

import (
	"lanetally/site/book"
	"lanetally/site/format"
)

// MinorSentence counts the minor storms that a list holds; "" without any.
func MinorSentence(u format.Units, n int) string {
	if n == 0 {
		return ""
	}
	return u.Sprintf("%s without any pass and under %s %s of water %s among these.", format.Counted(n, "minor storm", "minor storms"),
		u.Inches(new(book.LeastWaterIn)), u.Inch(), isOrAre(n))
}

// SearchSentence says what can be searched for.
func SearchSentence(routes, storms, crews, terms int) string {
	if routes+storms+crews == 0 {
		return "No data has been loaded yet, so only " + format.Counted(terms, "term", "terms") + " of the methods page can be found."
	}
	text := "Find " + format.Counted(routes, "route", "routes") + ", " + format.Counted(storms, "storm", "storms")
	if crews > 0 {
		text += ", " + format.Counted(crews, "crew", "crews")
	}
	return text + " and " + format.Counted(terms, "term", "terms") + " of the methods page."
}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
