package site

// minorSentence counts the minor storms that a list holds; "" without any.
func minorSentence(n int) string {
	if n == 0 {
		return ""
	}
	return counted(n, "minor storm without any pass and under 0.01 in of water is", "minor storms without any pass and under 0.01 in of water are") + " among these."
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
