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

// isMissing reports whether a cell says that there is no value.
func isMissing(cell string) bool {
	switch strings.ToLower(strings.TrimSpace(cell)) {
	case "", "-", "--", "---", "nan", "n/a", "na", "#n/a", "null", "none", "err", "error":
		return true
	}
	return false
}
