package casefile

import (
	"slices"
	"strings"
	"unicode/utf8"
)

// nearest returns the known word that a mistyped one was most likely meant for,
// or "" when none is close: about one slip in three letters. Words in another
// order, as in humidity_day, count as one slip.
func nearest(written string, known []string) string {
	const longest, most = 40, 2000 // a word and a list beyond this are not searched
	length := utf8.RuneCountInString(written)
	if length == 0 || length > longest {
		return ""
	}
	best, fewest := "", max(1, (length+1)/3)+1
	for i, word := range known[:min(len(known), most)] {
		if difference := utf8.RuneCountInString(word) - length; difference >= fewest || -difference >= fewest {
			continue
		}
		for swapped, written := range []string{written, inOrder(written)} {
			if swapped == 1 {
				word = inOrder(word)
			}
			if slips := swapped + slips([]rune(strings.ToLower(written)), []rune(strings.ToLower(word))); slips < fewest {
				best, fewest = known[i], slips
			}
		}
	}
	return best
}

// inOrder puts the words of a key or name into alphabetical order.
func inOrder(text string) string {
	words := strings.FieldsFunc(text, func(r rune) bool { return strings.ContainsRune("_- ", r) })
	slices.Sort(words)
	return strings.Join(words, "_")
}

// slips counts the letters left out, added, replaced or swapped with their
// neighbour between two words (the optimal string alignment distance).
func slips(a, b []rune) int {
	before, last, row := make([]int, len(b)+1), make([]int, len(b)+1), make([]int, len(b)+1)
	for j := range last {
		last[j] = j
	}
	for i := range a {
		row[0] = i + 1
		for j := range b {
			replaced := last[j]
			if a[i] != b[j] {
				replaced++
			}
			row[j+1] = min(replaced, last[j+1]+1, row[j]+1)
			if i > 0 && j > 0 && a[i] == b[j-1] && a[i-1] == b[j] {
				row[j+1] = min(row[j+1], before[j-1]+1)
			}
		}
		before, last, row = last, row, before
	}
	return last[len(b)]
}
