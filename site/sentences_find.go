package site

// minorSentence counts the minor storms that a list holds; "" without any.
func minorSentence(u units, n int) string {
	if n == 0 {
		return ""
	}
	return u.sprintf("%s without any pass and under %s %s of water %s among these.", counted(n, "minor storm", "minor storms"), u.inches(new(leastWaterIn)), u.inch(), isOrAre(n))
}

// searchSentence says what can be searched for.
func searchSentence(routes, storms, crews, terms int) string {
	if routes+storms+crews == 0 {
		return "No data has been loaded yet, so only " + counted(terms, "term", "terms") + " of the methods page can be found."
	}
	text := "Find " + counted(routes, "route", "routes") + ", " + counted(storms, "storm", "storms")
	if crews > 0 {
		text += ", " + counted(crews, "crew", "crews")
	}
	return text + " and " + counted(terms, "term", "terms") + " of the methods page."
}

func isOrAre(n int) string {
	if n == 1 {
		return "is"
	}
	return "are"
}
