package main

import (
	"bytes"
	"encoding/json"
	"os"
	"slices"
	"strings"
	"testing"
)

func TestMain(m *testing.M) {
	if path := os.Getenv(clockVariable); path != "" {
		os.Exit(withSetClock(path))
	}
	os.Exit(m.Run())
}

// Faults strike the real program once; the command does it many times. Those that
// take longest are left to it.
func TestFaultsOnce(t *testing.T) {
	if testing.Short() {
		t.Skip("it builds the program and runs it some dozen times")
	}
	h, err := newHarness(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	h.quiet = true
	defer func() {
		if err := h.close(); err != nil {
			t.Error(err)
		}
	}()
	long := []string{"locked", "kill-readings", "kill-import", "clock", "truncated"}
	for _, f := range faults {
		if slices.Contains(long, f.name) {
			continue
		}
		t.Run(f.name, func(t *testing.T) {
			r := h.strike(t.Context(), f, 1, 1)
			if r.LeftOut != "" {
				t.Skip(r.LeftOut)
			}
			if !r.whole() || r.Runs != 1 {
				t.Errorf("%+v", r)
			}
		})
	}
}

func TestTheTableTellsWhatFailed(t *testing.T) {
	rows := []row{
		{Name: "one", Fault: "a fault", Runs: 2, tally: tally{Struck: 3, Acknowledged: 40, Counts: map[string]int{"found": 2, "cut": 1}}},
		{Name: "two", Fault: "another", Runs: 1, tally: tally{Acknowledged: 5, Lost: 1}},
		{Name: "three", Fault: "a third", Runs: 1, Failed: []string{"seed 1, run 0: it crashed"}},
		{Name: "four", Fault: "a fourth", LeftOut: "only root can"},
	}
	var text, table, object bytes.Buffer
	for to, form := range map[*bytes.Buffer][2]bool{&text: {}, &table: {true, false}, &object: {false, true}} {
		if err := write(to, rows, 1, form[0], form[1]); err != nil {
			t.Fatal(err)
		}
	}
	if err := failures(rows); err == nil || strings.Contains(err.Error(), "one:") || !strings.Contains(err.Error(), "two: 1 lost") || !strings.Contains(err.Error(), "three:") || strings.Contains(err.Error(), "four:") {
		t.Errorf("failures: %v", err)
	}
	for _, want := range []string{"1 cut, 2 found", "FAILED 1 times", "left out: only root can", "it crashed", "held"} {
		if !strings.Contains(text.String(), want) || !strings.Contains(table.String(), want) {
			t.Errorf("%q is not in\n%s\n%s", want, &text, &table)
		}
	}
	if !strings.Contains(table.String(), "| a fault | 2 | 3 | 40 | 0 | 0 |") || !json.Valid(object.Bytes()) {
		t.Errorf("got\n%s\n%s", &table, &object)
	}
}

func TestUnknownFaultsAreRefused(t *testing.T) {
	if err := run(t.Context(), []string{"--only", "bits,nothing"}, &bytes.Buffer{}); err == nil || !strings.Contains(err.Error(), `no fault "nothing"`) {
		t.Errorf("got %v", err)
	}
}
