package care_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/science/course"
)

// patient is a plant with its journal, for verdicts.
type patient struct {
	t       failer
	kase    care.Case
	entries []care.Entry
}

const patientID = "01900000-0000-7000-9000-000000000001"

func newPatient(t failer, s sketch) *patient {
	p := &patient{t: t, kase: s.read(t)}
	plant := p.kase.Plants[0]
	repot := plant.Repot
	plant.Label = "T-1"
	p.add(-1, care.PlantSet, care.Detail{Plant: &plant})
	p.add(0, care.RepotDone, care.Detail{Repot: &repot})
	return p
}

// add writes an entry down in the morning of a day after the repot.
func (p *patient) add(day int, kind care.Kind, d care.Detail) {
	p.entries = append(p.entries, care.Entry{
		ID: fmt.Sprintf("01900000-0000-7000-8000-%012d", len(p.entries)), At: after(day).Add(9 * time.Hour), Kind: kind, Plant: patientID, Detail: d,
	})
}

func (p *patient) roots(day int, lengths ...float64) {
	var list []care.RootReading
	for i, mm := range lengths {
		list = append(list, care.RootReading{Root: string(rune('a' + i)), LengthMM: mm, HowMM: 0.5})
	}
	p.add(day, care.RootsRead, care.Detail{Roots: list})
}

func (p *patient) wrinkle(day, grade int) { p.add(day, care.Counted, care.Detail{Wrinkle: &grade}) }

func (p *patient) sign(day int, s care.SeenSign) { p.add(day, care.SignSeen, care.Detail{Sign: s}) }

// state is what the journal says at the end of a day.
func (p *patient) state(day int) *care.PlantState {
	return care.Replay(p.entries, after(day+1).Add(-time.Second)).Plants[patientID]
}

func (p *patient) verdict(day int) care.Verdict {
	p.t.Helper()
	v, err := care.JudgePlant(p.kase, p.state(day), tables, after(day))
	if err != nil {
		p.t.Fatalf("%v", err)
	}
	return v
}

func (p *patient) course(day int) care.Course {
	p.t.Helper()
	c, err := care.FollowCourse(p.kase, p.state(day), tables, after(day), after(day))
	if err != nil {
		p.t.Fatalf("%v", err)
	}
	return c
}

func (p *patient) expect(day int, want string) {
	p.t.Helper()
	if v := p.verdict(day); v.Standing != want {
		p.t.Errorf("day %d: %s, want %s\nfor %q\nagainst %q", day, v.Standing, want, v.For, v.Against)
	}
}

func TestVerdictsFromTheRootsFirst(t *testing.T) {
	p := newPatient(t, ordinary())
	p.expect(5, "too early to say")
	p.wrinkle(6, 1) // normal for bulbs
	p.expect(7, "holding")
	for week := 1; week <= 6; week++ {
		p.roots(7*week, 10+4*float64(week), 20+3*float64(week))
	}
	p.expect(10, "too early to say") // one reading
	p.expect(42, "rooting")
	p.expect(60, "rooting")
	p.expect(70, "too early to say") // nobody has measured for four weeks
}

func TestRootsThatStopAreAStall(t *testing.T) {
	p := newPatient(t, ordinary())
	for week := 1; week <= 14; week++ {
		p.roots(7*week, 10+4*float64(min(week, 6)), 20+3*float64(min(week, 6)))
		p.wrinkle(7*week, 0)
	}
	p.expect(42, "rooting")
	p.expect(98, "stalled")
	v := p.verdict(98)
	if !v.Advice.LeaveAlone && !strings.Contains(v.Advice.Text, "Lift it once") {
		t.Errorf("advice %q", v.Advice.Text)
	}
}

// A root that never grew is no stall while a first one may still come.
func TestNoRootYetIsHolding(t *testing.T) {
	p := newPatient(t, ordinary()) // in the growing half of its year
	for week := 1; week <= 5; week++ {
		p.roots(7*week, 10, 20)
		p.wrinkle(7*week, 1)
	}
	v := p.verdict(36)
	if v.Standing != "holding" || !v.Advice.LeaveAlone {
		t.Errorf("%s, %+v", v.Standing, v.Advice)
	}
}

func TestWiltIsDeclineAndTakesAStepBack(t *testing.T) {
	p := newPatient(t, ordinary())
	for week := 1; week <= 12; week++ {
		p.roots(7*week, 10+7*float64(week), 20+7*float64(week))
		p.wrinkle(7*week, 0)
	}
	up := p.course(70)
	if got := stepsOf(up); !cmp.Equal(got, []course.Decision{course.Granted, course.Granted, course.Granted, course.Granted, course.Granted}) {
		t.Fatalf("growing roots earn %v", got)
	}
	p.wrinkle(78, 3)
	p.wrinkle(83, 3)
	back := p.course(83)
	if got := stepsOf(back); got[len(got)-1] != course.DroppedBack {
		t.Errorf("after two looks at deep wrinkles the steps are %v", got)
	}
	if a, b := factorOn(up), factorOn(back); !(b < a) {
		t.Errorf("a share of %.2f after the wilt, %.2f before", b, a)
	}
}

func TestFlowersAreNoRecovery(t *testing.T) {
	s := ordinary()
	s.flowers = "in bloom"
	p := newPatient(t, s)
	for week := 1; week <= 14; week++ {
		p.roots(7*week, 10+4*float64(min(week, 4)), 20)
	}
	v := p.verdict(98)
	if v.Standing != "stalled" {
		t.Fatalf("a plant in bloom whose roots stand still is %s", v.Standing)
	}
	if r := rungOf(v, care.SpikeDecision); !r.Advised {
		t.Errorf("the spike is no question: %+v", r)
	}
	p.add(98, care.SpikeDecided, care.Detail{Spike: "cut"})
	if r := rungOf(p.verdict(98), care.SpikeDecision); r.Advised {
		t.Errorf("a spike that was cut is asked about again")
	}
}

func TestItIsLiftedOnceAndNotBeforeSixWeeks(t *testing.T) {
	p := newPatient(t, ordinary())
	for week := 1; week <= 12; week++ {
		p.wrinkle(7*week, 3)
	}
	early := rungOf(p.verdict(35), care.LiftOnce)
	if early.Advised || !early.From.Equal(after(42)) {
		t.Errorf("on day 35: %+v", early)
	}
	if late := rungOf(p.verdict(77), care.LiftOnce); !late.Advised {
		t.Errorf("on day 77, after weeks of decline: %+v", late)
	}
	p.sign(78, care.LiftedDead)
	v := p.verdict(79)
	if r := rungOf(v, care.LiftOnce); r.Advised {
		t.Errorf("it is to be lifted twice: %+v", r)
	}
	if r := rungOf(v, care.RescueIt); !r.Advised {
		t.Errorf("without living roots: %+v", r)
	}
}

func TestAnEmergencyBypassesEverything(t *testing.T) {
	for _, sign := range []care.SeenSign{care.SoftCrown, care.SpreadingRot, care.BadSmell} {
		p := newPatient(t, ordinary())
		for week := 1; week <= 6; week++ {
			p.roots(7*week, 10+7*float64(week))
		}
		p.expect(20, "rooting")
		p.sign(20, sign)
		v := p.verdict(20)
		if v.Standing != "declining" || v.Emergency == nil || len(v.Emergency.Do) == 0 || len(v.Emergency.Cautions) == 0 || v.Advice.LeaveAlone {
			t.Errorf("%s: %s, %+v", sign, v.Standing, v.Emergency)
		}
		p.expect(40, "declining") // it stands until somebody says that it is over
		p.sign(41, care.RotGone)
		p.expect(42, "rooting")
	}
}

func TestAReviewDecidesItsWeek(t *testing.T) {
	p := newPatient(t, ordinary())
	p.add(43, care.Reviewed, care.Detail{Stage: course.SteppingUp})
	p.add(57, care.Reviewed, care.Detail{Stage: course.Established})
	if got, want := stepsOf(p.course(57)), []course.Decision{course.Granted, course.Held, course.Reached}; !cmp.Equal(got, want) {
		t.Errorf("steps %v, want %v", got, want)
	}
	if c := p.course(57); c.Stage != course.Established {
		t.Errorf("after the review it is %s", c.Stage)
	}
}

// Without a proof that roots grow nothing is stepped up.
func TestACourseIsHeldWithoutProof(t *testing.T) {
	p := newPatient(t, ordinary())
	c := p.course(120)
	for _, w := range c.Weeks {
		if w.FromDay >= recoveryDays && w.FromDay <= 120 && (w.Step != course.Held || w.Targets.Factor.Value.Value != c.Weeks[5].Targets.Factor.Value.Value) {
			t.Errorf("day %d: %v, %.2f", w.FromDay, w.Step, w.Targets.Factor.Value.Value)
		}
		if w.FromDay > 120 && w.Step != course.Open {
			t.Errorf("day %d, ahead: %v", w.FromDay, w.Step)
		}
	}
	holds(t, c)
}

// Whatever is written down later, and in whatever order entries are given, the
// verdict and the course of a day are the same; and they hold together.
func TestVerdictsDoNotLookAhead(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newPatient(t, ordinary())
		at := rapid.IntRange(0, 150).Draw(t, "day")
		events := rapid.IntRange(0, 25).Draw(t, "events")
		for range events {
			day := rapid.IntRange(0, 200).Draw(t, "at")
			switch rapid.IntRange(0, 4).Draw(t, "kind") {
			case 0:
				p.roots(day, float64(rapid.IntRange(0, 80).Draw(t, "mm")), float64(rapid.IntRange(0, 80).Draw(t, "mm")))
			case 1:
				p.wrinkle(day, rapid.IntRange(0, 3).Draw(t, "wrinkle"))
			case 2:
				p.sign(day, rapid.SampledFrom(care.SeenSigns).Draw(t, "sign"))
			case 3:
				p.add(day, care.Reviewed, care.Detail{Stage: rapid.SampledFrom([]course.Stage{"", course.Rooting, course.SteppingUp}).Draw(t, "stage")})
			case 4:
				p.add(day, care.Counted, care.Detail{Leaves: new(rapid.IntRange(0, 12).Draw(t, "leaves")), Pseudobulbs: new(rapid.IntRange(0, 9).Draw(t, "bulbs"))})
			}
		}
		then, course := p.verdict(at), p.course(at)
		holds(t, course)
		if then.Standing == "" || then.Advice.Text == "" || len(then.For)+len(then.Against) == 0 {
			t.Fatalf("a verdict without reasons: %+v", then)
		}
		// The state of the whole journal, later entries included.
		r := rand.New(rand.NewPCG(1, uint64(at)))
		r.Shuffle(len(p.entries), func(i, j int) { p.entries[i], p.entries[j] = p.entries[j], p.entries[i] })
		all := care.Replay(p.entries, after(400)).Plants[patientID]
		now, err := care.JudgePlant(p.kase, all, tables, after(at))
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(then, now, cmpopts.EquateNaNs()); diff != "" {
			t.Fatalf("day %d (- without, + with what came later)\n%s", at, diff)
		}
		later, err := care.FollowCourse(p.kase, all, tables, after(at), after(at))
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(stepsOf(course), stepsOf(later)); diff != "" {
			t.Fatalf("steps on day %d\n%s", at, diff)
		}
		// Worked out from those of an earlier day.
		earlier := rapid.IntRange(0, at).Draw(t, "earlier")
		so, err := care.ProgressOf(p.kase, all, tables, after(earlier), care.Progress{}, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		whole, err := care.ProgressOf(p.kase, all, tables, after(at), care.Progress{}, time.Time{})
		if err != nil {
			t.Fatal(err)
		}
		part, err := care.ProgressOf(p.kase, all, tables, after(at), so, after(earlier))
		if diff := cmp.Diff(whole, part); diff != "" || err != nil {
			t.Fatalf("steps on day %d from those of day %d: %v\n%s", at, earlier, err, diff)
		}
	})
}

func stepsOf(c care.Course) (list []course.Decision) {
	for _, w := range c.Weeks {
		if w.Step != course.Open {
			list = append(list, w.Step)
		}
	}
	return list
}

func factorOn(c care.Course) float64 { return c.Now.Factor.Value.Value }

func rungOf(v care.Verdict, measure string) care.Rung {
	for _, r := range v.Advice.Ladder {
		if r.Measure == measure {
			return r
		}
	}
	return care.Rung{}
}
