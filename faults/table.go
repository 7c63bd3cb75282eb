package main

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"
)

// tally is what one run counted.
type tally struct {
	Struck       int `json:"struck"`       // times that the fault met the program at work
	Acknowledged int `json:"acknowledged"` // entries or readings that were said to be kept
	Lost         int `json:"lost"`         // of those
	Doubled      int `json:"doubled"`
	// Counts are findings of one fault alone, by their name.
	Counts map[string]int `json:"counts,omitempty"`
}

func (t *tally) count(name string, n int) {
	if t.Counts == nil {
		t.Counts = map[string]int{}
	}
	t.Counts[name] += n
}

func (t *tally) add(o tally) {
	t.Struck += o.Struck
	t.Acknowledged += o.Acknowledged
	t.Lost += o.Lost
	t.Doubled += o.Doubled
	for name, n := range o.Counts {
		t.count(name, n)
	}
}

// row is what became of one fault.
type row struct {
	Name  string `json:"name"`
	Fault string `json:"fault"`
	Runs  int    `json:"runs"`
	tally
	Seconds float64  `json:"seconds"`
	Failed  []string `json:"failed,omitempty"`
	LeftOut string   `json:"left_out,omitempty"` // why it was not run
}

// whole reports whether nothing was lost, doubled or otherwise wrong.
func (r row) whole() bool { return len(r.Failed) == 0 && r.Lost == 0 && r.Doubled == 0 }

// besides lists the findings of a fault alone.
func (r row) besides() string {
	var parts []string
	for name, n := range r.Counts {
		parts = append(parts, fmt.Sprintf("%d %s", n, name))
	}
	slices.Sort(parts)
	return strings.Join(parts, ", ")
}

func (r row) outcome() string {
	switch {
	case r.LeftOut != "":
		return "left out: " + r.LeftOut
	case !r.whole():
		return fmt.Sprintf("FAILED %d times", max(1, len(r.Failed)))
	}
	return "held"
}

// write prints the table.
func write(to io.Writer, rows []row, seed uint64, asMarkdown, asJSON bool) error {
	if asJSON {
		out := json.NewEncoder(to)
		out.SetIndent("", "  ")
		return out.Encode(struct {
			Format string `json:"format"`
			Seed   uint64 `json:"seed"`
			Rows   []row  `json:"faults"`
		}{"velamen-faults-1", seed, rows})
	}
	cells := [][]string{{"fault", "runs", "struck", "acknowledged", "lost", "doubled", "besides", "outcome"}}
	for _, r := range rows {
		cells = append(cells, []string{r.Fault, fmt.Sprint(r.Runs), fmt.Sprint(r.Struck), fmt.Sprint(r.Acknowledged), fmt.Sprint(r.Lost), fmt.Sprint(r.Doubled), r.besides(), r.outcome()})
	}
	var b strings.Builder
	if asMarkdown {
		for i, line := range cells {
			fmt.Fprintf(&b, "| %s |\n", strings.Join(line, " | "))
			if i == 0 {
				b.WriteString("|---|---:|---:|---:|---:|---:|---|---|\n")
			}
		}
	} else {
		widths := make([]int, len(cells[0]))
		for _, line := range cells {
			for i, cell := range line {
				widths[i] = max(widths[i], len([]rune(cell)))
			}
		}
		for _, line := range cells {
			for i, cell := range line {
				pad := strings.Repeat(" ", widths[i]-len([]rune(cell)))
				if i >= 1 && i <= 5 {
					cell = pad + cell
				} else {
					cell += pad
				}
				line[i] = cell
			}
			b.WriteString(strings.TrimRight(strings.Join(line, "  "), " ") + "\n")
		}
	}
	for _, r := range rows {
		for _, f := range r.Failed {
			fmt.Fprintf(&b, "\n- Failed, %s, %s\n", r.Name, strings.TrimSpace(f))
		}
	}
	_, err := io.WriteString(to, b.String())
	return err
}

// failures is the error of a table that shows any.
func failures(rows []row) error {
	var errs []error
	for _, r := range rows {
		if !r.whole() {
			errs = append(errs, fmt.Errorf("%s: %d lost, %d doubled, %d runs failed", r.Name, r.Lost, r.Doubled, len(r.Failed)))
		}
	}
	return errors.Join(errs...)
}
