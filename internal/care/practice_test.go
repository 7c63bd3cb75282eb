package care_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"velamen/science/course"
)

// ordinaryGroups are commonly grown, CAM and C3, with a medium and a place each
// is commonly grown in.
var ordinaryGroups = []struct {
	group, medium  string
	dayC, nightC   float64
	dayRH, nightRH float64
	light          string
}{
	{"phalaenopsis", "medium bark", 27, 19, 50, 60, "1200 fc"},
	{"phalaenopsis", "moss-firm", 27, 19, 50, 60, "1200 fc"},
	{"cattleya-standard", "medium bark", 28, 15, 45, 65, "3500 fc"},
	{"vanda-strap-leaf", "coarse bark", 30, 18, 60, 75, "3000 fc"},
	{"brassavola", "coarse bark", 29, 16, 50, 65, "3000 fc"},
	{"dendrobium-phalaenanthe", "medium bark", 29, 18, 50, 60, "3000 fc"},
	{"angraecum-large", "coarse bark", 26, 17, 60, 70, "2000 fc"},
	{"oncidium", "fine bark", 28, 15, 45, 60, "2500 fc"},
	{"brassia", "medium bark", 27, 15, 50, 60, "2500 fc"},
	{"miltoniopsis", "fine bark", 24, 13, 60, 75, "1200 fc"},
	{"dendrobium-nobile", "fine bark", 26, 12, 50, 65, "3000 fc"},
	{"cymbidium-standard", "medium bark", 25, 12, 50, 70, "3000 fc"},
	{"paphiopedilum-mottled", "medium bark", 26, 18, 55, 65, "1000 fc"},
	{"masdevallia", "moss-loose", 20, 12, 70, 85, "1000 fc"},
	{"zygopetalum", "medium bark", 25, 14, 60, 75, "1800 fc"},
}

// Common practice, without a source: after an ordinary repot, feed, light, heat
// and moving air are turned down by 30 to 50 % of the usual.
func TestPracticeTurnsDownByAThirdToAHalf(t *testing.T) {
	groups := map[string]bool{}
	for _, row := range ordinaryGroups {
		groups[row.group] = true
		for _, roots := range []float64{0.5, 0.6, 0.7, 0.8} {
			t.Run(fmt.Sprintf("%s in %s, %.0f %% of the roots", row.group, row.medium, 100*roots), func(t *testing.T) {
				s := ordinary()
				s.group, s.roots = row.group, roots
				s.dayC, s.nightC, s.dayRH, s.nightRH, s.light = row.dayC, row.nightC, row.dayRH, row.nightRH, row.light
				s.from.medium, s.to.medium = []string{row.medium}, []string{row.medium}
				c := s.on(t, 3)
				holds(t, c)
				if down := c.TurnDown.Value.Value; down < 0.30-1e-9 || down > 0.50+1e-9 || c.Intensive {
					t.Errorf("turned down by %.0f %%, intensive care %v; want 30 to 50 %% and ordinary care", 100*down, c.Intensive)
				}
			})
		}
	}
	if len(groups) < 10 {
		t.Errorf("%d groups, want at least 10", len(groups))
	}
}

// Common practice: pots and mounts are flushed at least every three days in the
// first six weeks, whatever the pot, the medium and the group; and humidity goes
// up by at least ten points (both are checked by holds for every course).
func TestPracticeFlushesEveryThirdDay(t *testing.T) {
	if testing.Short() {
		t.Skip("walks all media, containers, mounts and groups")
	}
	for _, medium := range mediumKeys {
		for _, container := range containerKeys {
			s := ordinary()
			s.to = homeSketch{potCm: 12, material: container, medium: []string{medium}}
			holds(t, s.on(t, 0))
		}
	}
	for _, mount := range mountKeys {
		for _, mossCm := range []float64{0, 1, 3} {
			s := ordinary()
			s.work, s.to = "mounted", homeSketch{mount: mount, size: [2]float64{12, 25}, mossCm: mossCm}
			holds(t, s.on(t, 0))
		}
	}
	for _, group := range groupKeys {
		for _, potCm := range []float64{6, 12, 25} {
			s := ordinary()
			s.group, s.waterEvery = group, leftOut
			s.to.potCm, s.from.potCm = potCm, potCm
			holds(t, s.on(t, 0))
		}
	}
}

// Common practice: the first look for pests is due within two weeks of the
// repot, whatever was found, however cold or warm it is.
func TestPracticeLooksForPestsWithinTwoWeeks(t *testing.T) {
	for _, list := range append([][]string{nil, pestKeys, {"springtail"}}, each(pestKeys)...) {
		for _, dayC := range []float64{8, 16, 24, 36} {
			s := ordinary()
			s.pests, s.dayC, s.nightC = list, dayC, dayC-4
			c := s.on(t, 0)
			for _, m := range c.Marks {
				if strings.HasPrefix(m.Name, "pest look") && (m.Day < 1 || m.Day > 14) {
					t.Errorf("%v at %v °C: %s on day %d, want 1 to 14", list, dayC, m.Name, m.Day)
				}
			}
			marksHold(t, c)
		}
	}
}

// Common practice: a review after six weeks, patience for half a year to a year,
// with a review at either end (checked by marksHold); what is to be stepped up
// from day 42 has to be earned by growing roots.
func TestPracticeStepsUpFromSixWeeksIfEarned(t *testing.T) {
	c := ordinary().on(t, 0)
	marksHold(t, c)
	factor := 0.0
	for _, w := range c.Weeks {
		if w.FromDay < recoveryDays {
			factor = w.Targets.Factor.Value.Value
			continue
		}
		now := w.Targets.Factor.Value.Value
		// What is left below a twentieth is closed at once.
		if closed := (now - factor) / (1 - factor); now < factor || closed > 0.25+1e-9 && now < 1 {
			t.Errorf("day %d closes %.0f %% of the gap, want at most a quarter a week", w.FromDay, 100*closed)
		}
		if !w.Earned {
			t.Errorf("day %d need not be earned", w.FromDay)
		}
		factor = now
	}
	if last := c.Weeks[len(c.Weeks)-1]; last.Stage != course.Established || factor != 1 {
		t.Errorf("the course ends %s at %v of the usual", last.Stage, factor)
	}
}

// A plant without pests at the repot is looked at all the same; the animals that
// do no harm ask for no look of their own, and one pest under two names for one.
func TestPestsAreLookedForOnce(t *testing.T) {
	tests := []struct {
		pests []string
		want  []string
	}{
		{nil, []string{"pest look"}},
		{[]string{"springtail"}, []string{"pest look"}},
		{[]string{"mealybug", "Planococcus citri", "springtail"}, []string{"pest look, citrus mealybug"}},
	}
	for _, test := range tests {
		s := ordinary()
		s.pests = test.pests
		var looks []string
		for _, m := range s.on(t, 0).Marks {
			if strings.HasPrefix(m.Name, "pest look") {
				looks = append(looks, m.Name)
			}
		}
		if !slices.Equal(looks, test.want) {
			t.Errorf("pests %q: looks %q, want %q", test.pests, looks, test.want)
		}
	}
}

// each puts every word in a list of its own.
func each(all []string) [][]string {
	var lists [][]string
	for _, one := range all {
		lists = append(lists, []string{one})
	}
	return lists
}
