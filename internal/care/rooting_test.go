package care_test

import (
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/growth"
)

// marked makes a plant whose roots were read on days after its repot.
func marked(readings map[string][]care.RootReading, every int) *care.PlantState {
	p := &care.PlantState{Roots: map[string][]care.RootAt{}}
	p.Record.Repot.Date = repotted
	p.Repots = []care.Repotting{{At: repotted, Repot: p.Record.Repot}}
	for mark, list := range readings {
		for i, r := range list {
			r.Root = mark
			p.Roots[mark] = append(p.Roots[mark], care.RootAt{At: after(7 + every*i).Add(10 * time.Hour), Reading: r})
		}
	}
	return p
}

func judged(t *testing.T, p *care.PlantState, group string, day int) care.Rooting {
	t.Helper()
	g, err := tables.Lookup(group)
	if err != nil {
		t.Fatal(err)
	}
	r, err := care.RootGrowth(p, g, after(day))
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func TestRootsThatLengthenAreGrowing(t *testing.T) {
	p := marked(map[string][]care.RootReading{
		"A": {{LengthMM: 12, HowMM: 0.5}, {LengthMM: 18, HowMM: 0.5}, {LengthMM: 25, HowMM: 0.5}},
		"B": {{LengthMM: 30, HowMM: 0.5}, {LengthMM: 30, HowMM: 0.5, Tip: "resting"}},
	}, 7)
	r := judged(t, p, "Phalaenopsis", 22)
	if r.Verdict.State != growth.Growing {
		t.Errorf("verdict %v, want growing", r.Verdict.State)
	}
	if len(r.Roots) != 2 || r.Roots[0].Mark != "A" || r.Roots[1].Evidence.Status != growth.Resting {
		t.Errorf("roots %+v", r.Roots)
	}
	if r.Prior != growth.PhalaenopsisRate {
		t.Errorf("prior %v, want that of the group", r.Prior)
	}
}

func TestAShorterRootIsAskedAboutUntilItIsConfirmed(t *testing.T) {
	list := []care.RootReading{{LengthMM: 40, HowMM: 0.5}, {LengthMM: 46, HowMM: 0.5}, {LengthMM: 20, HowMM: 0.5}}
	r := judged(t, marked(map[string][]care.RootReading{"A": list}, 7), "Phalaenopsis", 22)
	if len(r.Roots[0].Track.Questions) != 1 || r.Roots[0].Evidence.Status != growth.InQuestion {
		t.Errorf("a root that shrank by 26 mm is not asked about: %+v", r.Roots[0].Track)
	}
	list[2].Confirmed = true
	r = judged(t, marked(map[string][]care.RootReading{"A": list}, 7), "Phalaenopsis", 22)
	if len(r.Roots[0].Track.Questions) != 0 {
		t.Errorf("a confirmed reading is still asked about: %+v", r.Roots[0].Track.Questions)
	}
}

// What was marked before the repot may have been cut off.
func TestReadingsBeforeTheRepotDoNotCount(t *testing.T) {
	p := marked(map[string][]care.RootReading{"A": {{LengthMM: 12}}}, 7)
	p.Roots["A"] = append([]care.RootAt{{At: after(-30), Reading: care.RootReading{Root: "A", LengthMM: 90}}}, p.Roots["A"]...)
	r := judged(t, p, "Phalaenopsis", 22)
	if n := len(r.Roots[0].Readings); n != 1 {
		t.Errorf("%d readings, want the one since the repot", n)
	}
}

// Groups that only borrow a family's figures know less of their roots.
func TestAGroupOfNoKnownPaceGetsTheWidestPrior(t *testing.T) {
	r := judged(t, marked(nil, 7), "Cymbidium", 22)
	if r.Prior != growth.AnyOrchidRate || r.Verdict.State != growth.NotYetClear {
		t.Errorf("prior %v and verdict %v without any reading", r.Prior, r.Verdict.State)
	}
}

func TestGrowthDaysAreTheGrowersOwn(t *testing.T) {
	sydney := time.FixedZone("", 11*3600)
	early := time.Date(2026, 11, 24, 6, 0, 0, 0, sydney) // still the 23rd in UTC
	if got := care.GrowthDate(care.GrowthDay(early)); !got.Equal(day("2026-11-24")) {
		t.Errorf("six in the morning of 24 November in Sydney counts as %s", got.Format(time.DateOnly))
	}
}
