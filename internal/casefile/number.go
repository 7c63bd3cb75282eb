package casefile

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

// number is a decimal number read from the front of a quantity.
type number struct {
	value float64
	// doubtful is set for a point before exactly three digits, as in 1.200,
	// which many countries write for twelve hundred.
	doubtful bool
}

var (
	errNoNumber  = errors.New("a number comes first")
	errThousands = errors.New("write the number without a space, point, comma or apostrophe between the thousands")
)

// readNumber reads the number at the front of a text and returns the rest. The
// decimal mark is a point or a comma.
func readNumber(text string) (number, string, error) {
	rest := strings.TrimSpace(text)
	sign := ""
	for _, mark := range []string{"-", "−", "+"} {
		if after, ok := strings.CutPrefix(rest, mark); ok {
			rest = after
			if mark != "+" {
				sign = "-"
			}
			break
		}
	}
	whole := leadingDigits(rest)
	rest = rest[len(whole):]
	mark, decimals := byte(0), ""
	if rest != "" && (rest[0] == '.' || rest[0] == ',') {
		if decimals = leadingDigits(rest[1:]); decimals != "" {
			mark = rest[0]
			rest = rest[1+len(decimals):]
		}
	}
	switch {
	case whole == "" && decimals == "":
		return number{}, "", errNoNumber
	case goesOn(rest):
		return number{}, "", errThousands
	case len(whole) > 9 || len(decimals) > 9:
		return number{}, "", errors.New("the number has more digits than any measurement")
	}
	value, err := strconv.ParseFloat(sign+"0"+whole+"."+decimals+"0", 64)
	if err != nil {
		return number{}, "", errNoNumber
	}
	grouped := len(decimals) == 3 && strings.Trim(whole, "0") != ""
	if grouped && mark == ',' {
		return number{}, "", bothReadings(whole, decimals)
	}
	return number{value: value, doubtful: grouped}, rest, nil
}

// bothReadings says how to write a number that may be meant as thousands.
func bothReadings(whole, decimals string) error {
	fraction := strings.TrimRight(decimals, "0")
	if fraction == "" {
		fraction = "0"
	}
	return fmt.Errorf("this can be read as %s%s or as %s.%s; write one of these", whole, decimals, whole, fraction)
}

// goesOn reports whether digits go on behind a space or another mark, as they
// do when thousands are set apart.
func goesOn(rest string) bool {
	for _, mark := range []string{" ", "\u00a0", "\u202f", "'", "’", ".", ","} {
		if after, ok := strings.CutPrefix(rest, mark); ok {
			return leadingDigits(after) != ""
		}
	}
	return false
}

func leadingDigits(text string) string {
	n := 0
	for n < len(text) && '0' <= text[n] && text[n] <= '9' {
		n++
	}
	return text[:n]
}
