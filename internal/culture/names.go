package culture

import (
	"strings"
	"unicode"
)

// nameWords turns a name as people write it into lower-case words of plain
// letters and digits: "Dendrobium × nóbile 'Oka'" gives dendrobium, nobile,
// oka. Digits and letters are parted, so that "12cm" reads like "12 cm".
func nameWords(name string) []string {
	var words []string
	var word strings.Builder
	digits := false
	end := func() {
		if word.Len() > 0 {
			words = append(words, word.String())
			word.Reset()
		}
	}
	for _, r := range name {
		switch {
		case unicode.Is(unicode.Mn, r): // a combining accent
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if isDigit := unicode.IsDigit(r); isDigit != digits {
				end()
				digits = isDigit
			}
			word.WriteString(plainLetter(unicode.ToLower(r)))
		case r == '\'' || r == '’':
			// part of a word, as in "lady's"
		default:
			end()
		}
	}
	end()
	return words
}

// plainLetter drops the accents of Latin letters.
func plainLetter(r rune) string {
	switch {
	case strings.ContainsRune("àáâãäåāăą", r):
		return "a"
	case strings.ContainsRune("çćĉċč", r):
		return "c"
	case strings.ContainsRune("ďđ", r):
		return "d"
	case strings.ContainsRune("èéêëēĕėęě", r):
		return "e"
	case strings.ContainsRune("ìíîïĩīĭį", r):
		return "i"
	case strings.ContainsRune("ñńņň", r):
		return "n"
	case strings.ContainsRune("òóôõöøōŏő", r):
		return "o"
	case strings.ContainsRune("śŝşšș", r):
		return "s"
	case strings.ContainsRune("ùúûüũūŭůűų", r):
		return "u"
	case strings.ContainsRune("ýÿŷ", r):
		return "y"
	case strings.ContainsRune("źżž", r):
		return "z"
	}
	switch r {
	case 'æ':
		return "ae"
	case 'œ':
		return "oe"
	case 'ß':
		return "ss"
	case 'ł':
		return "l"
	}
	return string(r)
}

// contains reports whether all the words stand in the sentence, in order.
func contains(sentence, words []string) bool {
	for _, word := range sentence {
		if len(words) > 0 && words[0] == word {
			words = words[1:]
		}
	}
	return len(words) == 0
}

// editDistance is the fewest insertions, deletions and exchanges of letters
// that turn one word into the other (Levenshtein).
func editDistance(a, b string) int {
	from, to := []rune(a), []rune(b)
	above := make([]int, len(to)+1)
	for j := range above {
		above[j] = j
	}
	for i, r := range from {
		corner := above[0]
		above[0] = i + 1
		for j, s := range to {
			exchange := corner
			if r != s {
				exchange++
			}
			corner = above[j+1]
			above[j+1] = min(exchange, corner+1, above[j]+1)
		}
	}
	return above[len(to)]
}
