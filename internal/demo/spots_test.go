package demo

import (
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

// The invented places lie in spaces of the collection, hold those that stand
// there, and are noted as a grower could have.
func TestInventedSpotsAreSound(t *testing.T) {
	now := time.Date(2026, 11, 28, 9, 40, 0, 0, time.UTC)
	text := CaseFile(now)
	places := map[string]int{}
	for _, n := range Spots(now) {
		e := care.Entry{ID: "01900000-0000-7000-8000-000000000001", At: n.At, Kind: n.Kind, Detail: n.Detail}
		if problems := e.Check(now); len(problems) > 0 {
			t.Error(problems)
		}
		switch s := n.Detail.Spot; {
		case s != nil && !strings.Contains(text, `name = "`+s.Space+`"`):
			t.Errorf("%s lies in %s, which is no space", s.Name, s.Space)
		case s != nil:
			places[s.Space+"/"+s.Name] = s.Places
		default:
			if _, ok := places[n.Detail.LightRead.Space+"/"+n.Detail.LightRead.Spot]; !ok {
				t.Errorf("light was read at %s, which is no spot", n.Detail.LightRead.Spot)
			}
		}
	}
	known := map[string]bool{}
	for _, p := range plants {
		known[p.Label] = true
		if spot := Standing[p.Label]; spot != "" {
			if _, ok := places[p.Space+"/"+spot]; !ok {
				t.Errorf("%s stands at %s, which is no spot of %s", p.Label, spot, p.Space)
			}
			places[p.Space+"/"+spot]--
		}
	}
	for spot, left := range places {
		if left < 0 {
			t.Errorf("%s holds %d plants too many", spot, -left)
		}
	}
	for label := range Standing {
		if !known[label] {
			t.Errorf("%s stands somewhere and is no plant", label)
		}
	}
	for label := range Weighed {
		if !known[label] {
			t.Errorf("%s is weighed and is no plant", label)
		}
	}
}
