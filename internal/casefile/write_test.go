package casefile

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"velamen/internal/care"
	"velamen/science/basis"
)

// roundTrip checks that a file, written and read again, tells the same.
func roundTrip(t *testing.T, text string) {
	t.Helper()
	before, units, err := Read(strings.NewReader(text), "before", tables)
	if err != nil {
		return
	}
	again := Write(before, units)
	after, unitsAfter, err := Read(strings.NewReader(again), "after", tables)
	if err != nil {
		t.Fatalf("%v\nwritten as\n%s", err, again)
	}
	// The range of a unit whose factor is not exact is lost, as Write says.
	values := cmp.Comparer(func(a, b basis.Value) bool {
		return (a.Grade == 0) == (b.Grade == 0) && math.Abs(a.Value-b.Value) <= 1e-6*math.Max(1, math.Abs(a.Value)) && a.Unit == b.Unit
	})
	if d := cmp.Diff(before, after, values, cmpopts.EquateApprox(1e-6, 1e-6), cmpopts.EquateEmpty()); d != "" {
		t.Errorf("(-before +after)\n%s\nwritten as\n%s", d, again)
	}
	if units != unitsAfter && units.Words() != unitsAfter.Words() {
		t.Errorf("units %+v became %+v", units, unitsAfter)
	}
}

func TestWrittenCasesReadBack(t *testing.T) {
	roundTrip(t, Example())
	roundTrip(t, readFile(t, "testdata/full.toml"))
	if text := Write(care.Case{}, care.MetricUnits()); !strings.Contains(text, "[units]") {
		t.Errorf("an empty case is %q", text)
	}
}

func FuzzWrite(f *testing.F) {
	f.Add(Example())
	f.Add(readFile(f, "testdata/full.toml"))
	f.Add("[[plant]]\nname = \"a \\\"quoted\\\" \\\\ name\"\ngroup = \"Phalaenopsis\"\nrepot = { date = 2026-11-01, to = { pot = \"4.5 in\", medium = \"sphagnum\" } }")
	f.Fuzz(roundTrip)
}
