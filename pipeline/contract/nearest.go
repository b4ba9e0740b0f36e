package contract

import (
	"maps"
	"slices"
	"strconv"
)

// SortedKeys lists the keys of a map in order; empty, not nil, for an empty map.
func SortedKeys[V any](m map[string]V) []string {
	return append([]string{}, slices.Sorted(maps.Keys(m))...)
}

// PlainNumber writes a number in the fewest digits that give it back, without an exponent.
func PlainNumber(number float64) string { return strconv.FormatFloat(number, 'f', -1, 64) }

// Nearest gives the known word with the smallest edit distance to word, the first by the alphabet among equals.
func Nearest(word string, known []string) string {
	best, bestDistance := "", -1
	for _, candidate := range known {
		distance := EditDistance(word, candidate)
		if bestDistance < 0 || distance < bestDistance || distance == bestDistance && candidate < best {
			best, bestDistance = candidate, distance
		}
	}
	return best
}

// EditDistance counts the letters to insert, drop or replace to make b of a.
func EditDistance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := 1; i <= len(a); i++ {
		diagonal := row[0]
		row[0] = i
		for j := 1; j <= len(b); j++ {
			above := row[j]
			replace := diagonal
			if a[i-1] != b[j-1] {
				replace++
			}
			row[j] = min(above+1, row[j-1]+1, replace)
			diagonal = above
		}
	}
	return row[len(b)]
}
