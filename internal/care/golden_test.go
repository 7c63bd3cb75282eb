package care_test

import (
	"encoding/json"
	"flag"
	"os"
	"strconv"
	"testing"

	"github.com/google/go-cmp/cmp"

	"velamen/internal/care"
)

var update = flag.Bool("update", false, "write the golden files anew")

// The courses of the example case as they stand on one day, without their
// reasons: a change of the engine or of its parameters shows as a difference.
func TestExampleGolden(t *testing.T) {
	const path = "testdata/example.golden"
	kase := exampleCase(t)
	var courses []care.Course
	for _, p := range kase.Plants {
		c, err := care.NewCourse(kase, p, tables, day("2026-11-24"))
		if err != nil {
			t.Fatal(err)
		}
		holds(t, c)
		courses = append(courses, c.WithoutBecause())
	}
	got, err := json.MarshalIndent(rounded(t, courses), "", "\t")
	if err != nil {
		t.Fatal(err)
	}
	got = append(got, '\n')
	if *update {
		if err := os.WriteFile(path, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(string(want), string(got)); diff != "" {
		t.Errorf("the example's courses have changed; if that is meant, run go test ./internal/care -run Golden -update\n%s", diff)
	}
}

// rounded returns v as it reads from JSON with every number to six figures, so
// that the last digits, which differ from one processor to another, do not show.
func rounded(t *testing.T, v any) any {
	t.Helper()
	text, err := json.Marshal(v)
	if err != nil {
		t.Fatal(err)
	}
	var tree any
	if err := json.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	return roundTree(tree)
}

func roundTree(v any) any {
	switch v := v.(type) {
	case map[string]any:
		for key, inside := range v {
			v[key] = roundTree(inside)
		}
	case []any:
		for i, inside := range v {
			v[i] = roundTree(inside)
		}
	case float64:
		short, err := strconv.ParseFloat(strconv.FormatFloat(v, 'g', 6, 64), 64)
		if err == nil {
			return short
		}
	}
	return v
}
