package care_test

import (
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/outcome"
)

// story writes the journal of one plant, in days since its first repot.
type story struct {
	entries []care.Entry
	plant   string
}

var storyStart = time.Date(2025, 3, 1, 0, 0, 0, 0, time.UTC)

func newStory() *story {
	s := &story{plant: "01900000-0000-7000-9000-000000000001"}
	s.add(-30, care.PlantSet, care.Detail{Plant: &care.Plant{Label: "T-1", Group: "phalaenopsis", Space: "sill", Vigour: care.Ordinary}})
	return s
}

func (s *story) add(day float64, kind care.Kind, d care.Detail) *story {
	s.entries = append(s.entries, care.Entry{
		ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", len(s.entries)+1), At: storyStart.Add(time.Duration(24*day*float64(time.Hour)) + 9*time.Hour),
		Kind: kind, Plant: s.plant, Detail: d,
	})
	return s
}

func (s *story) repot(day float64) *story {
	return s.add(day, care.RepotDone, care.Detail{Repot: &care.Repot{Date: storyStart.AddDate(0, 0, int(day))}})
}

func (s *story) root(day, lengthMM float64, tip string) *story {
	return s.add(day, care.RootsRead, care.Detail{Roots: []care.RootReading{{Root: "A", LengthMM: lengthMM, Tip: tip, HowMM: 0.5}}})
}

func (s *story) review(day float64, stage course.Stage) *story {
	return s.add(day, care.Reviewed, care.Detail{Stage: stage})
}

func (s *story) outcomes(t interface{ Fatal(...any) }, until float64) []care.Outcome {
	c := care.Replay(s.entries, storyStart.Add(time.Duration(24*until*float64(time.Hour))+23*time.Hour))
	p := c.Plants[s.plant]
	if p == nil {
		t.Fatal("the plant is not there")
	}
	return p.Outcomes(c, tables)
}

func TestOutcomeOfOneRecovery(t *testing.T) {
	for _, row := range []struct {
		name        string
		tell        func(*story)
		root        care.FirstSeen
		established care.FirstSeen
		ending      care.RecoveryEnding
		endDay      int
		problem     string // words of it
	}{
		{"nothing noted", func(*story) {}, care.FirstSeen{}, care.FirstSeen{}, care.StillRunning, 0, ""},
		{"a tip grows at the third look", func(s *story) { s.root(7, 10, "resting").root(14, 10.2, "").root(21, 10.3, "growing") },
			care.FirstSeen{14, 21, 3}, care.FirstSeen{14, 0, 2}, care.StillRunning, 0, ""},
		// 1.96·√2·0.5 mm = 1.39 mm is the least that counts.
		{"lengths alone tell it beyond their error", func(s *story) { s.root(7, 10, "").root(14, 11.3, "").root(21, 11.5, "") },
			care.FirstSeen{14, 21, 2}, care.FirstSeen{14, 0, 1}, care.StillRunning, 0, ""},
		{"a slip of the pen is no growth", func(s *story) { s.root(7, 10, "resting").root(10, 105, "") },
			care.FirstSeen{10, 0, 2}, care.FirstSeen{10, 0, 2}, care.StillRunning, 0, ""},
		{"a shorter length is no new start", func(s *story) { s.root(7, 10, "resting").root(14, 4, "").root(21, 10, "") },
			care.FirstSeen{21, 0, 3}, care.FirstSeen{21, 0, 3}, care.StillRunning, 0, ""},
		{"after a chewed tip it is measured anew", func(s *story) { s.root(7, 10, "resting").root(14, 4, "chewed").root(21, 7, "") },
			care.FirstSeen{14, 21, 3}, care.FirstSeen{14, 0, 2}, care.StillRunning, 0, ""},
		{"both on one day: that day", func(s *story) { s.root(9, 10, "resting").root(9.2, 10, "growing") },
			care.FirstSeen{9, 9, 2}, care.FirstSeen{9, 0, 1}, care.StillRunning, 0, ""},
		{"a look on the day of the repot tells nothing", func(s *story) { s.root(0.1, 10, "growing") },
			care.FirstSeen{}, care.FirstSeen{}, care.StillRunning, 0, ""},
		{"the review says it", func(s *story) {
			s.review(20, course.Settling).review(42, course.Rooting).review(100, course.Established)
		},
			care.FirstSeen{20, 42, 3}, care.FirstSeen{42, 100, 3}, care.Reestablished, 100, ""},
		{"a later review takes it back", func(s *story) {
			s.review(50, course.Established).review(80, course.SteppingUp).review(120, course.Established)
		}, care.FirstSeen{0, 50, 3}, care.FirstSeen{80, 120, 3}, care.Reestablished, 120, ""},
		{"a new tip is told as a sign", func(s *story) {
			s.root(7, 10, "resting").add(12, care.SignSeen, care.Detail{Sign: care.NewRootTip})
		}, care.FirstSeen{7, 12, 2}, care.FirstSeen{7, 0, 1}, care.StillRunning, 0, ""},
		{"limp leaves tell nothing of roots", func(s *story) { s.add(12, care.SignSeen, care.Detail{Sign: care.LimpLeaves}) },
			care.FirstSeen{}, care.FirstSeen{}, care.StillRunning, 0, ""},
		{"died before a root", func(s *story) {
			s.root(7, 10, "resting").add(20, care.FlushDone, care.Detail{}).add(30, care.PlantLost, care.Detail{})
		},
			care.FirstSeen{7, 0, 1}, care.FirstSeen{7, 0, 1}, care.Dead, 30, ""},
		{"died established: that is another matter", func(s *story) {
			s.review(50, course.Established).add(300, care.PlantLost, care.Detail{})
		}, care.FirstSeen{0, 50, 1}, care.FirstSeen{0, 50, 1}, care.Reestablished, 50, ""},
		{"given away", func(s *story) { s.root(7, 10, "resting").add(30, care.PlantLeft, care.Detail{}) },
			care.FirstSeen{7, 0, 1}, care.FirstSeen{7, 0, 1}, care.GoneAway, 30, ""},
		{"died on the day of the repot", func(s *story) { s.add(0.2, care.PlantLost, care.Detail{}) },
			care.FirstSeen{}, care.FirstSeen{}, care.Dead, 1, ""},
		{"died before the repot", func(s *story) { s.add(-3, care.PlantLost, care.Detail{}) },
			care.FirstSeen{}, care.FirstSeen{}, care.Dead, 1, "before the repot"},
	} {
		t.Run(row.name, func(t *testing.T) {
			s := newStory().repot(0)
			row.tell(s)
			list := s.outcomes(t, 400)
			if len(list) != 1 {
				t.Fatalf("%d outcomes", len(list))
			}
			o := list[0]
			if diff := cmp.Diff([]any{row.root, row.established, row.ending, row.endDay}, []any{o.Root, o.Established, o.Ending, o.EndDay}); diff != "" {
				t.Error(diff)
			}
			if row.problem == "" && o.Problem != "" || !strings.Contains(o.Problem, row.problem) {
				t.Errorf("problem %q, expected %q", o.Problem, row.problem)
			}
			for _, a := range care.Awaiteds {
				if err := outcome.Check([]outcome.Recovery{o.Between(a), o.Found(a)}); err != nil {
					t.Error(err)
				}
			}
		})
	}
}

// A repot ends the recovery before it, and what follows belongs to the new one.
func TestRepotAfterRepot(t *testing.T) {
	s := newStory().repot(0).root(10, 5, "resting").repot(40).root(60, 5, "growing").add(50, care.SupplementIn, care.Detail{Product: "kelp"})
	list := s.outcomes(t, 100)
	if len(list) != 2 {
		t.Fatalf("%d outcomes", len(list))
	}
	first, second := list[0], list[1]
	if first.Ending != care.RepottedAgain || first.EndDay != 40 || first.Root != (care.FirstSeen{10, 0, 1}) {
		t.Errorf("first: %+v", first)
	}
	if second.Ending != care.StillRunning || second.Root != (care.FirstSeen{0, 20, 1}) || second.Factors.Supplement == first.Factors.Supplement || second.Factors.Product != "kelp" {
		t.Errorf("second: %+v", second)
	}
	back := newStory().repot(40)
	back.add(50, care.RepotDone, care.Detail{Repot: &care.Repot{Date: storyStart.AddDate(0, 0, 20)}})
	if list := back.outcomes(t, 100); list[0].Problem == "" || list[1].Problem != "" {
		t.Errorf("a repot dated back: %+v", list)
	}
}

// A corrected entry counts as corrected, and a withdrawn one not at all.
func TestCorrectedEntriesCountAsCorrected(t *testing.T) {
	s := newStory().repot(0).root(7, 10, "resting").root(14, 10, "growing")
	wrong := s.entries[len(s.entries)-1]
	right := wrong
	right.ID, right.Corrects = "01900000-0000-7000-8000-000000000099", wrong.ID
	right.Detail = care.Detail{Roots: []care.RootReading{{Root: "A", LengthMM: 10, Tip: "resting", HowMM: 0.5}}}
	s.entries = append(s.entries, right)
	if o := s.outcomes(t, 100)[0]; o.Root != (care.FirstSeen{14, 0, 2}) {
		t.Errorf("corrected: %+v", o.Root)
	}
	s.entries[len(s.entries)-1].Kind, s.entries[len(s.entries)-1].Detail = care.Withdrawn, care.Detail{}
	if o := s.outcomes(t, 100)[0]; o.Root != (care.FirstSeen{7, 0, 1}) {
		t.Errorf("withdrawn: %+v", o.Root)
	}
}

// Deaths count only as long as somebody watched, as survivors do.
func TestWatchLapses(t *testing.T) {
	for _, row := range []struct {
		name string
		tell func(*story)
		want outcome.Recovery
	}{
		{"watched until some weeks after the last look", func(s *story) { s.root(20, 5, "resting").add(200, care.FlushDone, care.Detail{}) }, outcome.NotSeenBy("T-1", 48)},
		{"or until it was last tended", func(s *story) { s.root(20, 5, "resting").add(30, care.FlushDone, care.Detail{}) }, outcome.NotSeenBy("T-1", 30)},
		{"a death while watched", func(s *story) { s.root(20, 5, "resting").add(40, care.PlantLost, care.Detail{}) }, outcome.DiedOn("T-1", 40)},
		{"a death long after anybody looked", func(s *story) {
			s.root(20, 5, "resting").add(190, care.FlushDone, care.Detail{}).add(200, care.PlantLost, care.Detail{})
		}, outcome.NotSeenBy("T-1", 48)},
		{"left while watched", func(s *story) { s.root(20, 5, "resting").add(40, care.PlantLeft, care.Detail{}) }, outcome.LeftAfter("T-1", 40)},
	} {
		s := newStory().repot(0)
		row.tell(s)
		if got := s.outcomes(t, 400)[0].Found(care.FirstRoot); got != row.want {
			t.Errorf("%s: %+v, expected %+v", row.name, got, row.want)
		}
	}
}

func TestFactors(t *testing.T) {
	place := func(deg float64) care.Entry {
		return care.Entry{ID: "01900000-0000-7000-8000-000000000999", At: storyStart.AddDate(-1, 0, 0), Kind: care.PlaceSet,
			Detail: care.Detail{Place: &care.Place{LatitudeDeg: basis.Exactly(deg, "°", basis.Given, "")}}}
	}
	// The season by month and hemisphere; none near the equator.
	for _, row := range []struct {
		deg    float64
		month  time.Month
		season string
	}{{50, 1, "winter"}, {50, 3, "spring"}, {50, 8, "summer"}, {50, 11, "autumn"}, {50, 12, "winter"}, {-37.8, 1, "summer"}, {-37.8, 4, "autumn"}, {-37.8, 7, "winter"}, {-37.8, 9, "spring"}, {3, 7, ""}} {
		s := newStory()
		s.add(float64(31*int(row.month)), care.RepotDone, care.Detail{Repot: &care.Repot{Date: time.Date(2025, row.month, 10, 0, 0, 0, 0, time.UTC)}})
		s.entries = append(s.entries, place(row.deg))
		if got := s.outcomes(t, 800)[0].Factors.Season; got != row.season {
			t.Errorf("%g°, %s: %q, expected %q", row.deg, row.month, got, row.season)
		}
	}
	s := newStory()
	s.add(0, care.RepotDone, care.Detail{Repot: &care.Repot{
		Date: storyStart, Work: care.Divided, RootsKept: basis.Exactly(0.5, "share", basis.Given, ""), SoakedHours: basis.Exactly(12, "h", basis.Given, ""),
		From: care.Home{Medium: []care.Component{{Medium: "sphagnum, loose", Parts: 1}}},
		To:   care.Home{Medium: []care.Component{{Medium: "medium perlite", Parts: 2}, {Medium: "medium bark", Parts: 7}}},
	}})
	f := s.outcomes(t, 10)[0].Factors
	for practice, want := range map[care.Practice]string{
		care.BySoak: "soaked", care.ByRoots: "a third to two thirds", care.ByHome: "potted", care.ByWork: "divided", care.ByChange: "another medium",
		care.BySupplement: "not given, or not noted", care.BySpace: "sill", care.ByPathway: "CAM", care.BySeason: "", care.ByVigour: "ordinary",
	} {
		if got := f.Level(practice); got != want {
			t.Errorf("%s: %q, expected %q", practice, got, want)
		}
	}
	if !strings.Contains(strings.ToLower(f.Medium), "bark") {
		t.Errorf("medium %q", f.Medium)
	}
	// The group's own figures: 30 days (14 to 70) for a Phalaenopsis, from memory.
	if u := f.UsualRoot; u.Value != 30 || u.Low != 14 || u.High != 70 {
		t.Errorf("usual days to a root %+v", u)
	}
}

// randomStory draws a journal in which anything may come after anything.
func randomStory(t *rapid.T) *story {
	s := newStory().repot(0)
	for range rapid.IntRange(0, 25).Draw(t, "entries") {
		day := float64(rapid.IntRange(-5, 500).Draw(t, "day")) + float64(rapid.IntRange(0, 9).Draw(t, "hour"))/24
		switch rapid.IntRange(0, 9).Draw(t, "kind") {
		case 0:
			s.add(day, care.RepotDone, care.Detail{Repot: &care.Repot{Date: storyStart.AddDate(0, 0, int(day)+rapid.IntRange(-9, 9).Draw(t, "off"))}})
		case 1:
			s.add(day, rapid.SampledFrom([]care.Kind{care.PlantLost, care.PlantLeft}).Draw(t, "end"), care.Detail{})
		case 2, 3:
			s.review(day, rapid.SampledFrom([]course.Stage{"", course.Settling, course.Rooting, course.SteppingUp, course.Established}).Draw(t, "stage"))
		case 4:
			s.add(day, care.SupplementIn, care.Detail{Product: "kelp"})
		case 5:
			s.add(day, care.FlushDone, care.Detail{})
		default:
			s.root(day, float64(rapid.IntRange(0, 40).Draw(t, "mm")), rapid.SampledFrom([]string{"", "growing", "resting", "chewed", "broken"}).Draw(t, "tip"))
		}
	}
	return s
}

// Whatever the journal says, the records can be computed with; the order in which
// entries arrive is of no account; and an outcome as of a past day is that of the
// journal as it stood then: nothing later shows in it.
func TestOutcomesOfAnyJournal(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := randomStory(t)
		whole := s.outcomes(t, 600)
		for _, o := range whole {
			if o.Problem != "" {
				continue
			}
			for _, a := range care.Awaiteds {
				if err := outcome.Check([]outcome.Recovery{o.Between(a), o.Found(a)}); err != nil {
					t.Fatalf("%+v: %v", o, err)
				}
			}
		}
		mixed := &story{plant: s.plant, entries: rapid.Permutation(s.entries).Draw(t, "order")}
		if diff := cmp.Diff(whole, mixed.outcomes(t, 600)); diff != "" {
			t.Fatalf("in another order:\n%s", diff)
		}
		until := float64(rapid.IntRange(0, 500).Draw(t, "until"))
		cut := &story{plant: s.plant}
		for _, e := range s.entries {
			if !e.At.After(storyStart.Add(time.Duration(24*until*float64(time.Hour)) + 23*time.Hour)) {
				cut.entries = append(cut.entries, e)
			}
		}
		if diff := cmp.Diff(cut.outcomes(t, 600), s.outcomes(t, until)); diff != "" {
			t.Fatalf("as of day %g:\n%s", until, diff)
		}
	})
}

// Lengths typed in inches and in millimetres tell the same outcome.
func TestOutcomesDoNotDependOnUnits(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		metric, inches := newStory().repot(0), newStory().repot(0)
		for day := 7; day < 60; day += 7 {
			mm := float64(rapid.IntRange(1, 400).Draw(t, "tenths")) / 10
			metric.root(float64(day), mm, "")
			inches.root(float64(day), mm/25.4*25.4, "")
		}
		if diff := cmp.Diff(metric.outcomes(t, 100), inches.outcomes(t, 100)); diff != "" {
			t.Fatal(diff)
		}
	})
}
