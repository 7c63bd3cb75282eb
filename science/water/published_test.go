package water

import (
	"fmt"
	"os"
	"strings"
	"testing"
)

// docs/water.md states the errors of the measured cases as the tables here do,
// which the tests of conductivity work out again.
func TestErrorsAreAsPublished(t *testing.T) {
	text, err := os.ReadFile("../../docs/water.md")
	if err != nil {
		t.Fatal(err)
	}
	cases := 0
	check := func(r row, name string) {
		cases++
		line := fmt.Sprintf("| %s | %s | %s | %s |\n", name, r.fields["error_percent"], r.fields["free_error_percent"], r.fields["standard_error_percent"])
		if !strings.Contains(string(text), line) {
			t.Errorf("docs/water.md does not say %q", line)
		}
	}
	for _, r := range reference(t, "natural-waters.csv") {
		check(r, r.fields["name"])
	}
	for _, r := range reference(t, "equivalent-conductances.csv") {
		check(r, r.fields["salt"]+" "+r.fields["mmol_per_L"]+" mmol/L")
	}
	// A heading, its rule and nothing else besides the cases.
	if lines := strings.Count(string(text), "\n|"); lines != cases+2 {
		t.Errorf("docs/water.md has a table of %d lines for %d cases", lines, cases)
	}
}
