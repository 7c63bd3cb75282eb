package casefile

import (
	"strings"
	"testing"
)

// FuzzRead feeds the reader anything. It must not fail in another way than with
// problems that lie inside the file, and what it reads must be sound.
func FuzzRead(f *testing.F) {
	f.Add(Example())
	f.Add(readFile(f, "testdata/full.toml"))
	for _, bad := range badCases(f) {
		f.Add(bad.text)
	}
	for _, text := range []string{
		"", "\x00", "\xff\xfe", "\uFEFF[[plant]]", "a\r", "\"", "'''", "[[", "[a]\r\n", "a = \"\\", "a.\"b\\\"=\" = 1",
		"[[plant]]\nrepot.\"da\\u0074e\" = 2026-11-01", "x = '''\n'''\n[[plant]]", "plant = [{}]", "plant = [[]]",
		"[[plant]]\nrepot = {date = 2026-11-01, # note\n}", "# \u00e4\n\tday = 28 \u00b0C",
	} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		c, units, err := Read(strings.NewReader(text), "case.toml", tables)
		if err != nil {
			checkFailure(t, text, c, units, err)
			return
		}
		for _, p := range c.Plants {
			if p.Repot.Date.IsZero() || p.Label == "" && p.Name == "" || p.Group == "" {
				t.Errorf("a plant without a date, a name or a group was read: %+v", p)
			}
			for _, kept := range []float64{p.Repot.RootsKept.Value, p.Repot.LeavesKept.Value} {
				if !(kept >= 0 && kept <= 1) {
					t.Errorf("a share of %v was read", kept)
				}
			}
		}
		for _, s := range c.Spaces {
			if !(s.DayRHPercent.Value >= 0 && s.DayRHPercent.Value <= 100) || !(s.DayC.Value >= -20 && s.DayC.Value <= 55) {
				t.Errorf("an impossible climate was read: %+v", s)
			}
		}
	})
}
