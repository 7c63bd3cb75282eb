package care_test

import (
	"math/rand/v2"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
	"velamen/science/course"
)

// grown makes recoveries of a group: some soaked, the soaked ones a good deal
// faster, looked at weekly.
func grown(plants int, r *rand.Rand) []*care.Outcome {
	list := make([]*care.Outcome, plants)
	for i := range list {
		o := &care.Outcome{Plant: string(rune('a' + i%26)), Label: "T", Number: 1, Repot: storyStart.AddDate(0, 0, -r.IntN(700)), Ending: care.StillRunning}
		o.Factors = care.Factors{Group: "Phalaenopsis", Home: "potted", Medium: "bark", Soaked: "soaked", Supplement: "not", Work: "repotted",
			UsualRoot: basis.Value{Value: 30, Low: 14, High: 70, Grade: basis.FromMemory}}
		days := 14 + r.IntN(20)
		if i%2 == 0 {
			o.Factors.Soaked, days = "dry", days+40
		}
		week := 7 * (days/7 + 1)
		o.Root = care.FirstSeen{AfterDay: week - 7, ByDay: week, Looks: week / 7}
		o.AliveDay = week
		list[i] = o
	}
	return list
}

func TestReportComparesPractices(t *testing.T) {
	list := grown(40, rand.New(rand.NewPCG(1, 2)))
	q := care.OutcomeQuestion{Awaited: care.FirstRoot, Practice: care.BySoak}
	r, err := care.NewOutcomeReport(list, q, storyStart, rand.NewPCG(3, 4))
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Counted) != 40 || r.Signs != 40 || r.Compared == nil || len(r.Compared.Ways) != 2 {
		t.Fatalf("%d counted, %d signs, compared %+v", len(r.Counted), r.Signs, r.Compared)
	}
	p := r.Compared.Pairs[0]
	// Both have eight and more; forty days lie between them.
	if p.Days.Verdict.Answer.String() != "differs" {
		t.Errorf("answer %v, %+v", p.Days.Verdict.Answer, p.Days)
	}
	if d := p.Days.Difference.Days; !(d > 30 && d < 50 || d < -30 && d > -50) {
		t.Errorf("difference %g days, made to be 40", d)
	}
	if !r.Median.Window.Reached || !r.Median.Low.Reached || r.Median.Low.Day > r.Median.Window.AfterDay || r.Median.High.Reached && r.Median.High.Day < r.Median.Window.ByDay {
		t.Errorf("median %+v", r.Median)
	}
	// A day before any repot asks for nothing.
	q.Since = storyStart.AddDate(1, 0, 0)
	if r, err = care.NewOutcomeReport(list, q, storyStart, rand.NewPCG(3, 4)); err != nil || len(r.Counted) != 0 || r.Between != nil {
		t.Errorf("nothing counted: %+v, %v", r, err)
	}
}

// The same journal gives the same report, in whatever order its recoveries come.
func TestReportDoesNotDependOnOrder(t *testing.T) {
	list := grown(30, rand.New(rand.NewPCG(5, 6)))
	q := care.OutcomeQuestion{Awaited: care.FirstRoot, Practice: care.BySoak}
	one, err := care.NewOutcomeReport(list, q, storyStart, rand.NewPCG(3, 4))
	if err != nil {
		t.Fatal(err)
	}
	rand.New(rand.NewPCG(7, 8)).Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
	other, err := care.NewOutcomeReport(list, q, storyStart, rand.NewPCG(3, 4))
	if err != nil {
		t.Fatal(err)
	}
	if one.Median != other.Median || one.Mean != other.Mean || one.By != other.By || one.Compared.Pairs[0].Days != other.Compared.Pairs[0].Days {
		t.Errorf("%+v\n%+v", one, other)
	}
}

// Own records move the usual days toward what they say, the more the more there
// are; a record out of season counts in parts of what was usual for it.
func TestPaceMovesFromUsualToOwn(t *testing.T) {
	usual := basis.Value{Value: 30, Low: 14, High: 70, Unit: "days", Grade: basis.FromMemory, Source: "notes"}
	none, err := care.PaceOf(nil, "Phalaenopsis", care.FirstRoot, usual)
	if err != nil || none.Here.Grade != 0 || none.FromUsual != 1 {
		t.Fatalf("%+v, %v", none, err)
	}
	var list []*care.Outcome
	before := 30.0
	for n := range 12 {
		// Each took half of what was usual for it: every third was in the dark.
		factor := 1.0
		if n%3 == 0 {
			factor = 2
		}
		theirs := basis.Value{Value: 30 * factor, Low: 14 * factor, High: 70 * factor, Grade: basis.FromMemory}
		list = append(list, &care.Outcome{Label: "T", Repot: storyStart, Root: care.FirstSeen{AfterDay: int(14 * factor), ByDay: int(16 * factor), Looks: 2},
			Factors: care.Factors{Group: "Phalaenopsis", UsualRoot: theirs}})
		p, err := care.PaceOf(list, "Phalaenopsis", care.FirstRoot, usual)
		if err != nil {
			t.Fatal(err)
		}
		if p.Here.Value >= before || p.Here.Low > p.Here.Value || p.Here.High < p.Here.Value || p.Signs != n+1 {
			t.Fatalf("after %d records: %+v, before %g", n+1, p, before)
		}
		before = p.Here.Value
	}
	if before < 14 || before > 18 {
		t.Errorf("after twelve records of 15 days the median is %g", before)
	}
	if p, err := care.PaceOf(list, "Cattleya", care.FirstRoot, usual); err != nil || p.Looks != 0 {
		t.Errorf("records of another group count: %+v, %v", p, err)
	}
}

func BenchmarkReportOf20000(b *testing.B) {
	list := grown(20_000, rand.New(rand.NewPCG(1, 2)))
	q := care.OutcomeQuestion{Awaited: care.FirstRoot, Practice: care.BySoak}
	for b.Loop() {
		if _, err := care.NewOutcomeReport(list, q, time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), rand.NewPCG(3, 4)); err != nil {
			b.Fatal(err)
		}
	}
}

// Reading the outcomes of 20,000 recoveries from the states of their plants.
func BenchmarkOutcomesOf20000(b *testing.B) {
	s := newStory().repot(0)
	for day := 7; day <= 70; day += 7 {
		s.root(float64(day), 10+float64(day)/10, "resting")
	}
	s.review(42, course.Rooting).review(120, course.Established).add(3, care.SupplementIn, care.Detail{Product: "kelp"})
	c := care.Replay(s.entries, storyStart.AddDate(1, 0, 0))
	p := c.Plants[s.plant]
	for b.Loop() {
		for range 20_000 {
			if list := p.Outcomes(c, tables); len(list) != 1 {
				b.Fatal(len(list))
			}
		}
	}
}
