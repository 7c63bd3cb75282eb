package readings

import (
	"fmt"
	"strings"
)

// ParseMap reads which column holds what, as in
// temperature=CH1:F,humidity=3,time="Date, Time". A column is named by its
// heading or its number; a unit may follow behind a colon.
func ParseMap(text string) (map[Meaning]ColumnChoice, error) {
	choices := map[Meaning]ColumnChoice{}
	for _, part := range splitOutsideQuotes(text) {
		what, column, ok := strings.Cut(part, "=")
		m := Meaning(strings.ToLower(strings.TrimSpace(what)))
		switch m {
		case When, Day, TimeOfDay, Temperature, Humidity, Light:
		default:
			return nil, fmt.Errorf("%q is not one of time, date, time of day, temperature, humidity, light", strings.TrimSpace(what))
		}
		column = strings.TrimSpace(column)
		choice := ColumnChoice{Heading: column}
		if i := strings.LastIndexByte(column, ':'); i > 0 && column[len(column)-1] != '"' {
			if u, err := ParseUnit(column[i+1:]); err == nil {
				choice.Heading, choice.Unit = column[:i], u
			}
		}
		choice.Heading = strings.Trim(strings.TrimSpace(choice.Heading), `"`)
		if !ok || choice.Heading == "" {
			return nil, fmt.Errorf("%q names no column; expected %s=HEADING or %s=NUMBER", part, m, m)
		}
		choices[m] = choice
	}
	return choices, nil
}

// splitOutsideQuotes cuts a list at its commas.
func splitOutsideQuotes(text string) []string {
	var parts []string
	quoted, start := false, 0
	add := func(end int) {
		if part := strings.TrimSpace(text[start:end]); part != "" {
			parts = append(parts, part)
		}
		start = end + 1
	}
	for i := range len(text) {
		switch text[i] {
		case '"':
			quoted = !quoted
		case ',':
			if !quoted {
				add(i)
			}
		}
	}
	add(len(text))
	return parts
}
