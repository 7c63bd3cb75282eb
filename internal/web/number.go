package web

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
)

var (
	errNoNumber  = errors.New("a number comes first")
	errThousands = errors.New("write the number without anything between the thousands")
)

// leadingNumber reads the decimal number at the front of a text and returns the
// rest. The decimal mark is a point or a comma; what could be meant as
// thousands is asked back.
func leadingNumber(text string) (float64, string, error) {
	rest := strings.TrimSpace(text)
	negative := false
	if after, ok := cutAny(rest, "-", "−", "–"); ok {
		rest, negative = after, true
	} else if after, ok := cutAny(rest, "+"); ok {
		rest = after
	}
	whole := digitsOf(rest)
	rest = rest[len(whole):]
	decimals := ""
	comma := strings.HasPrefix(rest, ",")
	if after, ok := cutAny(rest, ".", ","); ok {
		if decimals = digitsOf(after); decimals != "" {
			rest = after[len(decimals):]
		}
	}
	const mostDigits = 9
	switch {
	case whole == "" && decimals == "":
		return 0, "", errNoNumber
	case len(whole) > mostDigits || len(decimals) > mostDigits:
		return 0, "", errors.New("that is more digits than any measurement has")
	case comma && len(decimals) == 3 && strings.Trim(whole, "0") != "":
		return 0, "", fmt.Errorf("this can be read as %s%s or as %s.%s; write one of these", whole, decimals, whole, decimals)
	}
	if after, ok := cutAny(rest, " ", "\u00a0", "\u202f", "'", "’", ".", ","); ok && digitsOf(after) != "" {
		return 0, "", errThousands
	}
	value, err := strconv.ParseFloat("0"+whole+"."+decimals+"0", 64)
	if err != nil {
		return 0, "", errNoNumber
	}
	if negative {
		value = -value
	}
	return value, strings.TrimSpace(rest), nil
}

func cutAny(text string, marks ...string) (after string, ok bool) {
	for _, mark := range marks {
		if after, ok := strings.CutPrefix(text, mark); ok {
			return after, true
		}
	}
	return text, false
}

func digitsOf(text string) string {
	n := 0
	for n < len(text) && '0' <= text[n] && text[n] <= '9' {
		n++
	}
	return text[:n]
}
