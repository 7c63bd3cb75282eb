package care_test

import (
	"math/rand/v2"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/science/basis"
)

// room is a space of a steady day.
func room(nightC, dayC float64) care.Warmth {
	return care.NewWarmth(care.Space{NightC: basis.Exactly(nightC, "°C", basis.Given, ""), DayC: basis.Exactly(dayC, "°C", basis.Given, "")}, nil, nil)
}

func (p *patient) pests(day int, w care.Warmth, beside ...care.Nearby) []care.PestWatch {
	p.t.Helper()
	list, err := care.PestWatches(p.state(day), tables, w, beside, after(day))
	if err != nil {
		p.t.Fatalf("%v", err)
	}
	return list
}

func (p *patient) looked(day int, pest string) { p.add(day, care.PestLook, care.Detail{Pest: pest}) }

func only(t *testing.T, list []care.PestWatch) care.PestWatch {
	t.Helper()
	if len(list) != 1 {
		t.Fatalf("%d watches, want one: %+v", len(list), list)
	}
	return list[0]
}

// The table of first looks back at 15, 20 and 25 °C: see the schedule of the
// culture tables, which is this collection's own assumption.
func TestALookBackComesSoonerWhenItIsWarm(t *testing.T) {
	p := newPatient(t, ordinary())
	p.looked(10, "citrus mealybug")
	for _, one := range []struct {
		meanC float64
		days  int
	}{{15, 14}, {20, 10}, {25, 7}} {
		w := only(t, p.pests(10, room(one.meanC, one.meanC)))
		if w.Due != after(10+one.days) || w.Number != 1 || w.ByDegreeDays {
			t.Errorf("at %v °C the first look back is due on day %v, want %d", one.meanC, w.Due, 10+one.days)
		}
	}
}

// The degree-days of two-spotted mite are published (see the pest tables): at
// 25 °C eggs take 5 d and the rest of a generation 6.5 d, so with the ranges of
// both no one day catches all, and repeats follow closely.
func TestMitesAreTimedByDegreeDays(t *testing.T) {
	p := newPatient(t, ordinary())
	p.looked(10, "two-spotted mite")
	w := only(t, p.pests(10, room(25, 25)))
	if !w.ByDegreeDays || !w.Split || w.Due.Before(after(12)) || w.Due.After(after(15)) || w.Latest.Before(w.Due) || w.Until.IsZero() {
		t.Errorf("due %v, latest %v, until %v, split %v", w.Due, w.Latest, w.Until, w.Split)
	}
	if cold := only(t, p.pests(10, room(12, 13))); !cold.Paused || !cold.Until.IsZero() || cold.Due != after(24) {
		t.Errorf("near its threshold: %+v", cold)
	}
}

func TestAWatchEndsAfterTwoCleanLooksAGenerationApart(t *testing.T) {
	p := newPatient(t, ordinary())
	p.looked(10, "two-spotted mite")
	warm := room(25, 25)
	p.looked(16, "")
	if w := only(t, p.pests(17, warm)); w.CleanLooks != 1 || w.Over {
		t.Errorf("after one clean look: %+v", w)
	}
	p.looked(22, "")
	p.looked(34, "")
	for _, w := range p.pests(35, warm) {
		if !w.General() {
			t.Errorf("after three clean looks in a generation and a half it is still watched for: %+v", w)
		}
	}
	p.looked(36, "two-spotted mite")
	if w := only(t, p.pests(37, warm)); w.Found != after(36) || w.CleanLooks != 0 || w.Number != 1 {
		t.Errorf("found again, the watch begins anew: %+v", w)
	}
}

func TestATreatmentMovesTheWindows(t *testing.T) {
	p := newPatient(t, ordinary())
	p.looked(10, "scale")
	before := only(t, p.pests(12, room(18, 24)))
	p.add(13, care.Treated, care.Detail{Product: "wiped", Pest: "thrips"})
	if w := only(t, p.pests(14, room(18, 24))); w.Due != before.Due {
		t.Errorf("a treatment against something else moved it to %v", w.Due)
	}
	p.add(13, care.Treated, care.Detail{Product: "wiped"})
	if w := only(t, p.pests(14, room(18, 24))); w.From != after(13) || !w.Due.After(before.Due) {
		t.Errorf("after the treatment: %+v", w)
	}
}

func TestHarmlessAnimalsAreNotWatchedFor(t *testing.T) {
	p := newPatient(t, ordinary())
	p.looked(3, "springtails")
	if w := only(t, p.pests(5, room(18, 24))); !w.General() || w.Due != after(17) {
		t.Errorf("%+v", w)
	}
}

func TestThePlantsBesideAFindAreLookedAtOnce(t *testing.T) {
	p := newPatient(t, ordinary())
	p.looked(5, "")
	mealybug, err := tables.Pest("citrus mealybug")
	if err != nil {
		t.Fatal(err)
	}
	near := care.Nearby{Plant: "other", Label: "X-1", Animal: mealybug, Found: after(8)}
	w := only(t, p.pests(8, room(18, 24), near))
	if w.Beside != "X-1" || w.Due != after(10) {
		t.Errorf("%+v", w)
	}
	p.looked(9, "")
	if w := only(t, p.pests(9, room(18, 24), near)); !w.General() {
		t.Errorf("after the look: %+v", w)
	}
}

// Measured days take the place of the typical day.
func TestMeasuredDaysMoveTheWindows(t *testing.T) {
	p := newPatient(t, ordinary())
	p.looked(10, "boisduval scale")
	space := care.Space{NightC: basis.Exactly(14, "°C", basis.Given, ""), DayC: basis.Exactly(20, "°C", basis.Given, "")}
	var hot []care.ClimateDay
	for d := range 12 {
		part := func(low, high float64) care.ClimatePart {
			return care.ClimatePart{TempC: care.Spread{Min: low, Mean: (low + high) / 2, Max: high, Count: 12}, Hours: 12}
		}
		hot = append(hot, care.ClimateDay{Date: after(10 + d), Lit: part(24, 30), Dark: part(20, 24)})
	}
	usual, warm := only(t, p.pests(10, care.NewWarmth(space, nil, nil))), only(t, p.pests(10, care.NewWarmth(space, hot, nil)))
	if !warm.Due.Before(usual.Due) {
		t.Errorf("due on %v in the heat, on %v on usual days", warm.Due, usual.Due)
	}
}

// Whatever pest is found, and however often: warmth never delays a look, dates
// are in order, no gap between looks is longer than a fortnight, and the order of
// entries does not matter.
func TestWatchesHoldTogether(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		p := newPatient(t, ordinary())
		pest := rapid.SampledFrom(pestKeys).Draw(t, "pest")
		animal, err := tables.Pest(pest)
		if err != nil {
			t.Fatal(err)
		}
		at := rapid.IntRange(1, 90).Draw(t, "day")
		for range rapid.IntRange(1, 6).Draw(t, "looks") {
			p.looked(rapid.IntRange(0, 90).Draw(t, "at"), rapid.SampledFrom([]string{"", pest}).Draw(t, "found"))
		}
		if rapid.Bool().Draw(t, "treated") {
			p.add(rapid.IntRange(0, 90).Draw(t, "treated on"), care.Treated, care.Detail{Product: "rinsed"})
		}
		meanC := float64(rapid.IntRange(5, 30).Draw(t, "mean"))
		cool, warm := p.pests(at, room(meanC, meanC)), p.pests(at, room(meanC+3, meanC+3))
		r := rand.New(rand.NewPCG(3, 4))
		r.Shuffle(len(p.entries), func(i, j int) { p.entries[i], p.entries[j] = p.entries[j], p.entries[i] })
		if diff := cmp.Diff(cool, p.pests(at, room(meanC, meanC))); diff != "" {
			t.Fatalf("in another order\n%s", diff)
		}
		for _, w := range cool {
			if w.Earliest.After(w.Due) || !w.Latest.IsZero() && w.Latest.Before(w.Due) || w.Due.After(after(at).AddDate(0, 0, 14)) && w.Due.Sub(w.From).Hours() > 14.5*24 && w.CleanLooks == 0 {
				t.Fatalf("dates out of order, or too far: %s %+v", w.Animal.Name, w)
			}
			if w.Because == nil || w.Because.Rule == "" {
				t.Fatalf("no reason: %+v", w)
			}
			if !w.General() && animal.Harmless {
				t.Fatalf("a harmless animal is watched for")
			}
		}
		if len(cool) == 1 && len(warm) == 1 && cool[0].Animal.Key == warm[0].Animal.Key && cool[0].CleanLooks == 0 && warm[0].Due.After(cool[0].Due) && !cool[0].Paused {
			t.Fatalf("warmer, the look is due on %s instead of %s", warm[0].Due.Format(time.DateOnly), cool[0].Due.Format(time.DateOnly))
		}
	})
}

func TestBladesThatCarrySap(t *testing.T) {
	c := care.NewCollection()
	apply := func(hour int, kind care.Kind, plant string, d care.Detail) {
		c.Apply(care.Entry{ID: strings.Repeat("0", 34) + string(rune('a'+hour)), At: repotted.Add(time.Duration(hour) * time.Hour), Kind: kind, Plant: plant, Detail: d})
	}
	apply(0, care.PlantSet, "a", care.Detail{Plant: &care.Plant{Label: "A"}})
	apply(0, care.PlantSet, "b", care.Detail{Plant: &care.Plant{Label: "B"}})
	apply(1, care.BladeUsed, "a", care.Detail{Blade: "red scissors"})
	apply(2, care.BladeUsed, "a", care.Detail{Blade: "Red scissors "})
	apply(3, care.BladeUsed, "b", care.Detail{Blade: "red scissors"})
	apply(4, care.BladeCleaned, "", care.Detail{Blade: "red scissors", How: care.Wiped})
	apply(5, care.BladeUsed, "a", care.Detail{Blade: "red scissors"})
	apply(6, care.BladeCleaned, "", care.Detail{Blade: "red scissors", How: care.Flamed})
	apply(7, care.BladeUsed, "b", care.Detail{Blade: "red scissors"})
	apply(8, care.BladeUsed, "a", care.Detail{Blade: "knife"})
	var after []string
	for _, use := range c.BladeLog() {
		after = append(after, use.Blade+":"+use.Label+use.After)
	}
	want := []string{"knife:A", "red scissors:A", "Red scissors:A", "red scissors:BA", "red scissors:", "red scissors:AB", "red scissors:", "red scissors:B"}
	if diff := cmp.Diff(want, after); diff != "" {
		t.Error(diff)
	}
}
