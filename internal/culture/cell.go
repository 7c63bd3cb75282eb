package culture

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// number writes a figure as briefly as it reads back exactly.
func number(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

// span writes a band. The word "to" keeps minus signs readable and spreadsheets
// from turning a band into a date.
func span(low, high float64) string {
	if low == high {
		return number(low)
	}
	return number(low) + " to " + number(high)
}

func spanExpected(low, high float64) string {
	return fmt.Sprintf("a number or a band such as \"%s to %s\", within these limits", number(low), number(high))
}

func parseNumber(cell string, low, high float64) (float64, bool) {
	v, err := strconv.ParseFloat(strings.TrimSpace(cell), 64)
	if err != nil || !(low <= v && v <= high) { // written so that NaN fails
		return 0, false
	}
	return v, true
}

func parseSpan(cell string, low, high float64) (from, to float64, ok bool) {
	first, second, isBand := strings.Cut(cell, " to ")
	if !isBand {
		second = first
	}
	from, okFrom := parseNumber(first, low, high)
	to, okTo := parseNumber(second, low, high)
	return from, to, okFrom && okTo && from <= to
}

func splitList(cell string) []string {
	var parts []string
	for part := range strings.SplitSeq(cell, ";") {
		if part = strings.TrimSpace(part); part != "" {
			parts = append(parts, part)
		}
	}
	return parts
}

// choose returns the allowed word that the cell holds.
func choose[T ~string](cell string, allowed ...T) (T, bool) {
	word := T(strings.TrimSpace(cell))
	return word, slices.Contains(allowed, word)
}

func oneOf[T ~string](allowed ...T) string {
	words := make([]string, len(allowed))
	for i, word := range allowed {
		words[i] = string(word)
	}
	return "one of: " + strings.Join(words, ", ")
}
