package light

import (
	"fmt"
	"strings"
)

// matchName finds text among the known names, each entry being the display
// name followed by what growers also write. Case, hyphens and surrounding
// space do not matter. An unknown name gives an error that lists the display
// names. Entries without names (the unused zero of an enumeration) are passed
// over.
func matchName(kind, text string, known [][]string) (int, error) {
	plain := func(s string) string {
		return strings.Join(strings.Fields(strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(s))), " ")
	}
	wanted := plain(text)
	var display []string
	for i, names := range known {
		for _, name := range names {
			if plain(name) == wanted {
				return i, nil
			}
		}
		if len(names) > 0 {
			display = append(display, names[0])
		}
	}
	return 0, fmt.Errorf("light: unknown %s %q; known are: %s", kind, text, strings.Join(display, ", "))
}

func displayName(i int, known [][]string) string {
	if i < 0 || i >= len(known) || len(known[i]) == 0 {
		return "unknown"
	}
	return known[i][0]
}
