package casefile

import (
	"errors"
	"strings"
	"testing"

	"velamen/internal/care"
)

func exampleCase(t testing.TB) care.Case {
	t.Helper()
	c, _, err := Read(strings.NewReader(Example()), "example", tables)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

func TestAnswersMakeACase(t *testing.T) {
	c, units, err := Tell([]Answer{
		{"group", "Phalaenopsis"}, {"date", "2026-11-01"}, {"roots_kept", "60 %"}, {"pot", "4.5 in"}, {"medium", "7 medium bark, 3 perlite"},
		{"from_medium", "sphagnum, loose"}, {"space", "windowsill"}, {"temperature", "62 to 80 °F"}, {"water_ec", "180 ppm (500)"}, {"leaves", "6"}, {"latitude", "−37.8"},
	}, tables)
	if err != nil {
		t.Fatal(err)
	}
	p := c.Plants[0]
	if p.Group != "Phalaenopsis" || p.Repot.RootsKept.Value != 0.6 || len(p.Repot.To.Medium) != 2 || p.Repot.To.Container.NominalCm.Value != 4.5*2.54 {
		t.Errorf("the plant is %+v", p)
	}
	if c.Spaces[0].Kind != care.Windowsill || c.Waters[0].ECmS.Value != 0.36 || c.Place.LatitudeDeg.Value != -37.8 || len(p.Repot.From.Medium) != 1 || p.Repot.From.Medium[0].Medium != "sphagnum, loose" {
		t.Errorf("the case is %+v", c)
	}
	if !units.Fahrenheit || !units.Inches || units.Salt != care.PPM500 {
		t.Errorf("units are %+v", units)
	}
	if _, err := care.NewCourse(c, p, tables, p.Repot.Date); err != nil {
		t.Error(err)
	}
}

func TestAWhatIfChangesOnlyWhatItSays(t *testing.T) {
	base := exampleCase(t)
	text := Write(base, care.MetricUnits())
	other, _, err := Apply(base, 0, []Answer{{"roots_kept", "30 %"}, {"medium", "sphagnum"}}, tables)
	if err != nil {
		t.Fatal(err)
	}
	a, b := base.Plants[0], other.Plants[0]
	if b.Repot.RootsKept.Value != 0.3 || b.Repot.To.Medium[0].Medium != "sphagnum" {
		t.Errorf("the what-if is %+v", b.Repot)
	}
	b.Repot.RootsKept, b.Repot.To.Medium = a.Repot.RootsKept, a.Repot.To.Medium
	other.Plants[0] = b
	if x, y := Write(Alone(base, 0), care.MetricUnits()), Write(other, care.MetricUnits()); x != y {
		t.Errorf("more changed than was said:\n%s\nbecame\n%s", x, y)
	}
	if Write(base, care.MetricUnits()) != text {
		t.Error("the case itself changed")
	}
	// Another kind of space has another climate, onto a mount is mounted.
	shelf, _, err := Apply(base, 0, []Answer{{"space", "lamp shelf"}, {"mount", "cork 12 x 25 cm"}}, tables)
	if err != nil {
		t.Fatal(err)
	}
	if s := shelf.Spaces[0]; s.Kind != care.LampShelf || s.DayC.Grade != 0 || s.Light.Level.Grade != 0 {
		t.Errorf("the shelf kept the balcony's climate: %+v", s)
	}
	if r := shelf.Plants[0].Repot; r.Work != care.Mounted || r.To.Container != nil || r.To.Mount.WidthCm.Value != 12 {
		t.Errorf("the mount is %+v", r)
	}
	back, _, err := Apply(shelf, 0, []Answer{{"pot", "10 cm"}, {"medium", "sphagnum"}}, tables)
	if err != nil || back.Plants[0].Repot.Work != care.Repotted || back.Plants[0].Repot.To.Mount != nil {
		t.Errorf("back in a pot: %v, %+v", err, back.Plants[0].Repot)
	}
}

func TestWrongAnswersAreNamed(t *testing.T) {
	base := exampleCase(t)
	for _, c := range []struct{ key, text, says string }{
		{"roots_kept", "130 %", "roots_kept"}, {"medium", "moon dust", "medium"}, {"medium", "3 moon dust, 3 perlite", "medium"},
		{"root_kept", "60 %", "did you mean"}, {"space", "cellar", "space"}, {"leaves", "many", "leaves"}, {"pot", "12", "no unit"},
		{"leaves", "6\n[[plant]]", "signs"}, {"leaves", "6 # \"", "signs"}, {"date", "yesterday", "date"}, {"name", "", "name"},
	} {
		_, _, err := Apply(base, 0, []Answer{{c.key, c.text}}, tables)
		var problems AnswerProblems
		if !errors.As(err, &problems) || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s = %q: %v", c.key, c.text, err)
		}
	}
	if _, _, err := Tell([]Answer{{"pot", "12 cm"}}, tables); err == nil || !strings.Contains(err.Error(), "group: is missing") {
		t.Errorf("no group: %v", err)
	}
	if _, _, err := Apply(base, 7, nil, tables); err == nil {
		t.Error("a plant that is not there was changed")
	}
}

// An answer stays within its own place, whatever it holds.
func FuzzAnswers(f *testing.F) {
	f.Add("medium", "7 bark, 3 perlite")
	f.Add("name", "a\"\nb = 1")
	f.Add("leaves", "6\n[[plant]]")
	f.Add("mount", "cork 1 x 2 cm\" }")
	base := exampleCase(f)
	f.Fuzz(func(t *testing.T, key, text string) {
		c, _, err := Apply(base, 0, []Answer{{key, text}}, tables)
		if err != nil {
			return
		}
		if len(c.Plants) != 1 || len(c.Spaces) > 1 {
			t.Errorf("%s = %q made %d plants in %d spaces", key, text, len(c.Plants), len(c.Spaces))
		}
	})
}
