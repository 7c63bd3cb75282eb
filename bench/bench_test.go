package main

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"velamen/science/pot"
)

func TestSpan(t *testing.T) {
	for _, c := range []struct {
		d    time.Duration
		want string
	}{
		{0, "0 s"},
		{490 * time.Nanosecond, "490 ns"},
		{1890 * time.Nanosecond, "1.89 µs"},
		{87_600 * time.Nanosecond, "87.6 µs"},
		{2123 * time.Millisecond, "2.12 s"},
		{212 * time.Second, "212 s"},
	} {
		if got := span(c.d); got != c.want {
			t.Errorf("span(%d) = %q, expected %q", c.d, got, c.want)
		}
	}
}

func TestMedianOfEach(t *testing.T) {
	got := median([]cost{{CPU: 3, Wall: 10}, {CPU: 1, Wall: 30}, {CPU: 2, Wall: 20}})
	if got != (cost{CPU: 2, Wall: 20}) {
		t.Errorf("got %v", got)
	}
}

// A row that falls short of its aim says so, and why; one that does not says
// nothing of it.
func TestShortRowsGiveTheirReason(t *testing.T) {
	r := report{Title: "A task", Rows: []row{
		{Task: "quick", Peer: "a tool", Ours: cost{10, 10}, Their: cost{40, 40}, Short: "never shown"},
		{Task: "slow", Peer: "a tool", Ours: cost{40, 40}, Their: cost{10, 10}, Short: "it keeps what it read"},
		{Task: "near", Peer: "a loop", Ours: cost{20, 20}, Their: cost{10, 10}, Least: 1.0 / 3},
	}}
	var text bytes.Buffer
	r.write(&text)
	if strings.Count(text.String(), "short of the aim") != 1 || !strings.Contains(text.String(), "Short of the aim, slow beside a tool: it keeps what it read.") || strings.Contains(text.String(), "never shown") {
		t.Errorf("got\n%s", &text)
	}
}

func TestUnknownPartsAreRefused(t *testing.T) {
	err := run(t.Context(), []string{"--only", "pot,nothing"}, &bytes.Buffer{})
	if err == nil || !strings.Contains(err.Error(), `no part "nothing"`) {
		t.Errorf("got %v", err)
	}
}

// What the peers are told of a pot is what the pot itself holds.
func TestPeersGetThePotsOwnFigures(t *testing.T) {
	pots, err := potsOf(3)
	if err != nil {
		t.Fatal(err)
	}
	for _, one := range pots {
		if len(one.figures) != len(potHeadings) {
			t.Fatalf("%d figures under %d headings", len(one.figures), len(potHeadings))
		}
		if capacity := one.figures[0] + one.figures[1]; capacity != one.pot.CapacityML() {
			t.Errorf("the peers fill %g mL, the pot %g", capacity, one.pot.CapacityML())
		}
		if _, err := pot.Simulate(one.pot, one.start, one.forcing, one.pours, pot.Series{}); err != nil {
			t.Error(err)
		}
	}
}
