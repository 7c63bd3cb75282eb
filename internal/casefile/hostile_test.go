package casefile

import (
	"fmt"
	"strings"
	"testing"
)

// TestHostileFiles reads files made to waste time or memory, 128 KB each. A reader that does more than one pass per line or name would not come
// to an end here.
func TestHostileFiles(t *testing.T) {
	const size = 1 << 17
	repeat := func(text string) string { return strings.Repeat(text, size/len(text)) }
	numbered := func(format string) string {
		var text strings.Builder
		for i := 0; text.Len() < size; i++ {
			fmt.Fprintf(&text, format, i)
		}
		return text.String()
	}
	const plant = "[[plant]]\nlabel = 'A'\ngroup = 'Phalaenopsis'\nrepot.date = 2026-11-01\n"
	for _, test := range []struct{ name, text string }{
		{"lines without quotation marks", repeat("a = 28 x\n")},
		{"broken escapes", repeat("a = \"\\z\n")},
		{"lists never closed", repeat("a = [\n[b\n")},
		{"tables never closed", repeat("a = {\n[b]\n")},
		{"long strings never closed", repeat("a = \"\"\"x\\q\n")},
		{"headers never closed", repeat("[[a\n")},
		{"text behind headers", repeat("[a] x\n")},
		{"unknown keys", numbered("a%d = 1\n")},
		{"one key again and again", repeat("a = 1\n")},
		{"one header again and again", repeat("[a]\n")},
		{"a key of many parts", "a" + repeat(".a") + " = 1\n" + plant},
		{"lists within lists", "a = " + strings.Repeat("[", 9000) + strings.Repeat("]", 9000) + "\n" + plant},
		{"lists beyond the parser's patience", repeat("a = " + strings.Repeat("[", 20_000) + "\n")},
		{"a long key", repeat("a") + " = 1\n" + plant},
		{"a long number", plant + "leaf_length = '" + repeat("1") + " cm'\n"},
		{"a long unit", plant + "leaf_length = '1 " + repeat("° ") + "'\n"},
		{"a mix of unknown media", plant + "repot.to.medium = { " + numbered("m%d = 1, ") + "x = 1 }\n"},
		{"many unknown names", numbered("[[plant]]\nname = 'p'\nrepot.date = 2026-11-01\ngroup = 'xyz%d'\n")},
		{"many unknown waters", numbered("[[plant]]\nname = 'p'\ngroup = 'Phalaenopsis'\nrepot.date = 2026-11-01\nroutine.water = 'z%d'\n")},
		{"empty plants", "plant = [" + repeat("{},") + "]\n"},
		{"plants in none of many spaces", numbered("[[space]]\nname = 's%d'\n[[plant]]\ngroup = 'Phalaenopsis'\nrepot.date = 2026-11-01\n")},
		{"feeds no stronger than any of many waters", numbered("[[water]]\nname = 'w%d'\nec = '1 mS/cm'\n[[plant]]\ngroup = 'Phalaenopsis'\nrepot.date = 2026-11-01\nroutine.strength = '1 mS/cm'\n")},
		{"empty lines", repeat("\n") + "x y\n"},
		{"notes between errors", repeat("# note\nx y\n")},
	} {
		t.Run(test.name, func(t *testing.T) {
			c, units, err := Read(strings.NewReader(test.text), "hostile.toml", tables)
			if err == nil {
				t.Fatal("the file was read without a problem")
			}
			checkFailure(t, test.text, c, units, err)
			if len(err.Error()) > 20_000 {
				t.Errorf("the message has %d bytes", len(err.Error()))
			}
		})
	}
}
