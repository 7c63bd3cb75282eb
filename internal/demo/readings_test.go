package demo

import (
	"reflect"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

func TestInventedReadingsAreSoundAndAlwaysTheSame(t *testing.T) {
	now := time.Date(2026, 11, 28, 9, 40, 0, 0, time.UTC)
	list := Readings(now)
	if !reflect.DeepEqual(list, Readings(now.Add(10*time.Minute))) {
		t.Error("another minute gives other readings")
	}
	spaces := map[string]int{}
	seen := map[care.Reading]bool{}
	for _, r := range list {
		if err := r.Check(now); err != nil || !strings.Contains(r.Source, "invented") || r.At.After(now) {
			t.Fatalf("%+v: %v", r, err)
		}
		key := r
		key.Value = 0
		if seen[key] {
			t.Fatalf("%+v comes twice", r)
		}
		seen[key] = true
		spaces[r.Space]++
	}
	text := CaseFile(now)
	for space, n := range spaces {
		if n < 4000 || !strings.Contains(text, `name = "`+space+`"`) {
			t.Errorf("%s: %d readings", space, n)
		}
	}
	if len(spaces) != 3 {
		t.Errorf("spaces %v", spaces)
	}
}
