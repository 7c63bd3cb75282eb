package readings

import (
	"strconv"
	"strings"
)

// parseNumber reads the number a cell begins with and returns what follows it,
// such as a unit. With comma a decimal comma is read as well as a point.
func parseNumber(cell string, comma bool) (v float64, rest string, ok bool) {
	cell = strings.TrimSpace(cell)
	cell = strings.TrimPrefix(cell, "'") // a guarded cell of an export
	end, marks := 0, 0
	for end < len(cell) {
		c := cell[end]
		switch {
		case c >= '0' && c <= '9':
		case (c == '-' || c == '+') && end == 0:
		case (c == 'e' || c == 'E') && end > 0 && end+1 < len(cell) && (cell[end+1] == '-' || cell[end+1] == '+'):
			end++
		case c == '.' || c == ',' && comma:
			marks++
		default:
			goto done
		}
		end++
	}
done:
	digits := cell[:end]
	if strings.HasPrefix(cell, "\u2212") { // a typeset minus
		v, rest, ok = parseNumber(cell[len("\u2212"):], comma)
		return -v, rest, ok
	}
	if marks > 1 || end == 0 {
		return 0, "", false
	}
	if comma && marks == 1 {
		digits = strings.Replace(digits, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(digits, 64)
	return v, strings.TrimSpace(cell[end:]), err == nil
}

// plainNumber reads a cell that is nothing but a number of few digits, as nearly
// all are, to the same bits as parseNumber: a whole number and a power of ten
// that are both exact have an exactly rounded quotient.
func plainNumber(cell string, comma bool) (v float64, ok bool) {
	const mostDigits = 15 // below 2^53
	i, negative := 0, false
	if cell != "" && cell[0] == '-' {
		i, negative = 1, true
	}
	var whole int64
	digits, behind := 0, -1 // digits behind the mark; -1: no mark yet
	for ; i < len(cell); i++ {
		switch c := cell[i]; {
		case c >= '0' && c <= '9':
			whole = 10*whole + int64(c-'0')
			if digits++; digits > mostDigits {
				return 0, false
			}
			if behind >= 0 {
				behind++
			}
		case (c == '.' || c == ',' && comma) && behind < 0 && digits > 0:
			behind = 0
		default:
			return 0, false
		}
	}
	if digits == 0 || behind == 0 {
		return 0, false
	}
	v = float64(whole)
	if behind > 0 {
		v /= powersOfTen[behind]
	}
	if negative {
		v = -v
	}
	return v, true
}

var powersOfTen = [...]float64{1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15}

// isMissing reports whether a cell says that there is no value.
func isMissing(cell string) bool {
	switch strings.ToLower(strings.TrimSpace(cell)) {
	case "", "-", "--", "---", "nan", "n/a", "na", "#n/a", "null", "none", "err", "error":
		return true
	}
	return false
}
