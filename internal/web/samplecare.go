package web

import (
	"context"
	"fmt"
	"hash/fnv"
	"math"
	"slices"
	"time"

	"velamen/internal/care"
	"velamen/internal/demo"
	"velamen/science/course"
)

// careForSample puts into the journal what somebody who looks after the sample
// plants would have noted in the past weeks, so that its round is that of an
// ordinary day: most is done, some is due, a little is late. The figures are
// invented; the same collection always gets the same ones.
func (s *Server) careForSample(ctx context.Context) error {
	type one struct {
		id    string
		label string
	}
	var plants []one
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			plants = append(plants, one{id, p.Record.Label})
		}
	})
	entries := append(s.pastOfSample(), s.spotsOfSample()...)
	for _, p := range plants {
		c, err := s.Book.Course(p.id, s.Book.Today())
		if err != nil {
			return fmt.Errorf("the course of the sample plant %s: %w", p.label, err)
		}
		g := sampleCarer{plant: p.id, course: &c, today: s.Book.Today(), chance: chanceOf(p.label)}
		for _, done := range g.done() {
			e := s.newEntry(done.kind, p.id, done.detail)
			e.At, e.By = done.at, sampleBy
			entries = append(entries, e)
		}
	}
	kitchen, err := demo.Kitchen(s.Now())
	if err != nil {
		return fmt.Errorf("what the sample's grower mixes with: %w", err)
	}
	for _, noted := range kitchen {
		e := s.newEntry(noted.Kind, "", noted.Detail)
		e.At, e.By = noted.At, sampleBy
		entries = append(entries, e)
	}
	limits := care.Settings{MinutesPerDay: sampleMinutes, LitresPerDay: sampleLitres, BenchMinutesPerWeek: sampleBench}
	s.Book.Read(func(c *care.Collection) {
		limits.Units, limits.SampleDataOnly = c.Settings.Units, c.Settings.SampleDataOnly
	})
	e := s.newEntry(care.SettingsSet, "", care.Detail{Settings: &limits})
	e.By = sampleBy
	if _, err = s.Book.Append(ctx, append(append(entries, s.seasonForSample()...), e)...); err != nil {
		return err
	}
	return s.weighSample(ctx)
}

// What the sample's grower has on a day: a little less than some days need, so
// that the round shows what it leaves for later.
const (
	sampleMinutes = 75
	sampleLitres  = 10
	sampleBench   = 120 // a week, for repotting
)

// chanceOf gives each plant a number of its own, always the same.
func chanceOf(label string) uint32 {
	h := fnv.New32a()
	h.Write([]byte(label))
	return h.Sum32()
}

// sampleCarer looks after one sample plant.
type sampleCarer struct {
	plant  string
	course *care.Course
	today  time.Time
	chance uint32
}

// sampleDone is one thing that was done or seen.
type sampleDone struct {
	at     time.Time
	kind   care.Kind
	detail care.Detail
}

// How far back the notes go, the hour they are made, and the day on which the
// first picture is due.
const (
	sampleDays      = 28
	sampleHour      = 7
	samplePhotoDays = 14
)

// out of turns the plant's number into one of n equally likely choices; salt
// keeps the choices apart.
func (g *sampleCarer) outOf(n, salt uint32) uint32 { return (g.chance/7 + salt*2654435761) % n }

func (g *sampleCarer) done() []sampleDone {
	var list []sampleDone
	add := func(at time.Time, kind care.Kind, d care.Detail) {
		if at.After(g.course.Repot) && at.Before(g.today) {
			list = append(list, sampleDone{at.Add(sampleHour * time.Hour), kind, d})
		}
	}
	f := g.course.Flush
	g.regularly(f.Every.Value.Value, 1, func(at time.Time) {
		mL := f.Total.Value.Value
		add(at, care.FlushDone, care.Detail{VolumeML: &mL})
	})
	g.regularly(g.course.Usual.FeedEvery.Value, 2, func(at time.Time) {
		add(at, care.FeedDone, care.Detail{})
	})
	if !slices.Contains(sampleUnmeasured, g.course.Label) {
		g.regularly(course.StepDays.Value, 3, func(at time.Time) {
			add(at, care.RootsRead, care.Detail{Roots: g.roots(at)})
		})
	}
	look := 0
	g.regularly(10, 10, func(at time.Time) { // the latest first
		add(at, care.Counted, care.Detail{Wrinkle: new(g.wrinkle(look))})
		look++
	})
	general := true
	for _, m := range g.course.Marks {
		late := m.Date.After(g.today.AddDate(0, 0, -3)) && g.outOf(2, 4) == 0
		switch {
		case m.Task == care.LookForPests && m.Name != "pest look":
			general = false
			if !late {
				add(m.Date, care.PestLook, care.Detail{})
			}
		case late:
		case m.Task == care.Review:
			add(m.Date, care.Reviewed, care.Detail{})
		}
	}
	if general {
		g.regularly(13, 4, func(at time.Time) { add(at, care.PestLook, care.Detail{}) })
	}
	for _, e := range sampleEvents {
		switch {
		case e.label == g.course.Label:
			add(g.today.AddDate(0, 0, -e.daysAgo), e.kind, e.detail)
		case general && e.kind == care.PestLook && e.space == g.course.Space: // the plants beside it were looked at
			add(g.today.AddDate(0, 0, 1-e.daysAgo), care.PestLook, care.Detail{})
		}
	}
	// The first picture of older recoveries was let go; what is due of the
	// younger ones still is.
	first := g.course.Repot.AddDate(0, 0, samplePhotoDays)
	if first.Before(g.today.AddDate(0, 0, -3)) {
		key := fmt.Sprintf("%s/%s/%s", g.plant, care.Photograph, first.Format(time.DateOnly))
		add(first, care.Noted, care.Detail{Job: key, Note: "looks as it did; no picture taken"})
	}
	return list
}

// regularly calls f on the days on which something was done that is due every
// so many days: last so long ago that some plants are due today and a few were
// forgotten yesterday.
func (g *sampleCarer) regularly(everyDays float64, salt uint32, f func(at time.Time)) {
	every := max(1, int(math.Round(everyDays)))
	last := 1 + int(g.outOf(uint32(every)+1, salt)) // days ago: from yesterday to one day late
	for ago := last; ago <= sampleDays; ago += every {
		f(g.today.AddDate(0, 0, -ago))
	}
}

// What goes wrong in the sample: roots that stand still for too long, plants that
// wrinkle more than is normal, and some that nobody measured.
var (
	sampleStalled    = []string{"A-001", "G-001", "O-003"}
	sampleWilting    = []string{"Z-001", "G-001"}
	sampleUnmeasured = []string{"R-001", "R-002"}
)

// sampleEvents are single things that were seen and done.
var sampleEvents = []struct {
	label   string
	space   string // of a find
	daysAgo int
	kind    care.Kind
	detail  care.Detail
}{
	{"M-001", "", 1, care.SignSeen, care.Detail{Sign: care.SpreadingRot}},
	{"D-001", "", 2, care.SignSeen, care.Detail{Sign: care.NewRootTip}},
	{"S-002", "shelf", 9, care.PestLook, care.Detail{Pest: "two-spotted mite", Note: "undersides of the two oldest leaves"}},
	{"S-002", "", 8, care.Treated, care.Detail{Product: "wiped and rinsed", Pest: "two-spotted mite"}},
	{"D-004", "terrace", 12, care.PestLook, care.Detail{Pest: "Boisduval scale", Note: "a dozen under an old sheath"}},
	{"D-004", "", 11, care.Treated, care.Detail{Product: "brushed off", Pest: "Boisduval scale"}},
	{"C-001", "", 9, care.BladeUsed, care.Detail{Blade: "red scissors"}},
	{"C-002", "", 9, care.BladeUsed, care.Detail{Blade: "red scissors"}},
	{"U-001", "", 8, care.BladeUsed, care.Detail{Blade: "grafting knife"}},
}

// wrinkle is the grade of wrinkling at a look, the latest being look 0: none for
// most plants, slight for some; those that wilt got worse from look to look.
func (g *sampleCarer) wrinkle(look int) int {
	if slices.Contains(sampleWilting, g.course.Label) {
		return max(1, 3-look)
	}
	return int(g.outOf(2, 11))
}

// roots are the lengths of two marked roots: most grow once the first weeks are
// over, some stand still.
func (g *sampleCarer) roots(at time.Time) []care.RootReading {
	const restDays, readingMM = 12, 0.5
	days := at.Sub(g.course.Repot).Hours()/24 - restDays - float64(g.outOf(8, 6))
	rate := 0.3 + 0.1*float64(g.outOf(9, 7)) // mm a day
	if slices.Contains(sampleStalled, g.course.Label) || days > 0 && days < 40 && g.outOf(7, 8) == 0 {
		rate = 0
	}
	var list []care.RootReading
	for i, mark := range []string{"blue", "red"} {
		start := 4 + float64(g.outOf(20, uint32(9+i)))
		length := start + rate*(1-0.2*float64(i))*math.Max(0, days)
		tip := "resting"
		if rate > 0 && days > 0 {
			tip = "growing"
		}
		list = append(list, care.RootReading{Root: mark, LengthMM: readingMM * math.Round(length/readingMM), Tip: tip, HowMM: readingMM})
	}
	return list
}
