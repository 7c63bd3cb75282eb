package care_test

import (
	"strings"
	"testing"

	"velamen/internal/care"
	"velamen/internal/casefile"
	"velamen/science/basis"
)

// At the ends of what a case file may hold, either a course comes out in which
// everything holds, or an error that names the plant, the quantity and its
// range.
func TestExtremes(t *testing.T) {
	tests := []struct {
		name   string
		set    func(*sketch)
		err    []string // words of the error that is due; none when a course is
		warned []string // words of the warnings that are due
	}{
		{"rescue without a root", func(s *sketch) { s.roots, s.vigour = 0, "rescue" }, nil, []string{"more than the roots bring", "draws on its store"}},
		{"every root kept", func(s *sketch) { s.roots, s.vigour = 1, "strong" }, nil, nil},
		{"1 cm² of leaf", func(s *sketch) { s.areaCm2, s.widthCm = 1, 0.5 }, nil, nil},
		{"9000 cm² of leaf", func(s *sketch) { s.areaCm2 = 9000 }, nil, nil},
		{"9000 cm² of leaf on 3 cm of pot", func(s *sketch) { s.areaCm2, s.to.potCm = 9000, 3 }, nil, nil},
		{"10 m² of leaf", func(s *sketch) { s.areaCm2 = 100000 }, nil, nil},
		{"1 % of the leaves kept", func(s *sketch) { s.leavesKept = 0.01 }, nil, nil},
		{"thimble", func(s *sketch) { s.to.potCm, s.from.potCm = 3, 3 }, nil, []string{"Even daily watering"}},
		{"smallest pot", func(s *sketch) { s.to.potCm = 1 }, nil, nil},
		{"tub", func(s *sketch) { s.to.potCm = 75 }, nil, nil},
		{"tub of moss", func(s *sketch) { s.to.potCm, s.to.medium = 75, []string{"moss-firm"} }, nil, nil},
		{"tub of rockwool before", func(s *sketch) { s.from.potCm, s.from.medium = 75, []string{"rockwool"} }, nil, nil},
		{"larger than any pot", func(s *sketch) { s.to.potCm = 150 }, []string{"T-1", "width at the rim", "80 cm"}, nil},
		{"bare mount", func(s *sketch) { s.to = homeSketch{mount: "cork", size: [2]float64{10, 20}} }, nil, nil},
		{"bare twig", func(s *sketch) { s.to = homeSketch{mount: "hardwood", size: [2]float64{1, 1}} }, nil, nil},
		{"mossy mount", func(s *sketch) { s.to = homeSketch{mount: "hardwood", size: [2]float64{10, 20}, mossCm: 8} }, nil, nil},
		{"too much moss", func(s *sketch) { s.to = homeSketch{mount: "hardwood", size: [2]float64{10, 20}, mossCm: 30} }, []string{"T-1", "thickness of the pad", "80 mm"}, nil},
		{"from mount to mount", func(s *sketch) {
			s.from = homeSketch{mount: "cork", size: [2]float64{5, 9}}
			s.to = homeSketch{mount: "tree-fern-slab", size: [2]float64{12, 30}}
		}, nil, nil},
		{"leafless", func(s *sketch) {
			s.group, s.areaCm2, s.widthCm = "leafless-orchids", 60, 0.4
			s.to = homeSketch{mount: "hardwood", size: [2]float64{10, 20}}
			s.from = s.to
		}, nil, nil},
		{"polar night", func(s *sketch) { s.latitude, s.date = 78, "2026-12-20" }, nil, []string{"for 0 hours"}},
		{"polar day", func(s *sketch) { s.latitude, s.date = 78, "2026-06-20" }, nil, nil},
		{"no light told", func(s *sketch) { s.light, s.lightFrom = "", "" }, nil, nil},
		{"next to no light", func(s *sketch) { s.light = "1 fc" }, nil, []string{"brighter place"}},
		{"lamp all day", func(s *sketch) { s.light, s.lightFrom, s.lampHours = "120 µmol/m²/s", "led", 24 }, nil, nil},
		{"lamp for a quarter of an hour", func(s *sketch) { s.light, s.lightFrom, s.lampHours = "120 µmol/m²/s", "led", 0.25 }, nil, nil},
		{"frost", func(s *sketch) { s.nightC = -5 }, []string{"T-1", "night", "air temperature -5", "0 to 50"}, nil},
		{"hard frost", func(s *sketch) { s.nightC = -15 }, []string{"T-1", "air temperature", "-15", "-10 to 60"}, nil},
		{"oven", func(s *sketch) { s.dayC = 55 }, []string{"T-1", "day", "air temperature 55", "0 to 50"}, nil},
		{"night warmer than day", func(s *sketch) { s.dayC, s.nightC = 18, 30 }, nil, nil},
		{"saturated", func(s *sketch) { s.dayRH, s.nightRH = 100, 100 }, nil, []string{"usual day humidity of 100", "usual night humidity of 100"}},
		{"desert", func(s *sketch) { s.dayRH, s.nightRH = 5, 5 }, nil, nil},
		{"desert oven in wind", func(s *sketch) { s.dayRH, s.nightRH, s.dayC, s.air = 1, 1, 50, "strong" }, nil, nil},
		{"high mountains", func(s *sketch) { s.altitude = 4900 }, nil, nil},
		{"sea water", func(s *sketch) { s.waterECmS = 10 }, []string{"T-1", "barrel", "conductivity 10", "0 to 5"}, nil},
		{"mains alone", func(s *sketch) { s.waterECmS, s.hardness = 0.75, 280 }, nil, []string{"barrel is not low in salt"}},
		{"urea", func(s *sketch) { s.label, s.strength = "46-0-0", "0.3 g/L" }, nil, nil},
		{"urea by its EC", func(s *sketch) { s.label, s.strength = "46-0-0", "1.0 mS/cm" }, nil, nil},
		{"grams without a label", func(s *sketch) { s.label, s.strength = "", "0.8 g/L" }, nil, nil},
		{"EC without a label", func(s *sketch) { s.label, s.strength = "", "0.8 mS/cm" }, nil, nil},
		{"no feed at all", func(s *sketch) { s.strength = "0 g/L" }, nil, nil},
		{"nothing but a label and a date", func(s *sketch) {
			*s = sketch{latitude: leftOut, altitude: leftOut, dayC: leftOut, nightC: leftOut, dayRH: leftOut, nightRH: leftOut, lampHours: leftOut,
				waterECmS: leftOut, hardness: leftOut, feedEvery: leftOut, waterEvery: leftOut, group: "phalaenopsis", leaves: leftOut, lengthCm: leftOut,
				widthCm: leftOut, areaCm2: leftOut, bulbs: leftOut, date: "2026-10-18", roots: leftOut, leavesKept: leftOut, tips: leftOut, soak: leftOut}
		}, nil, nil},
		{"watered once a year", func(s *sketch) { s.waterEvery = 366 }, nil, nil},
		{"watered all the time", func(s *sketch) { s.waterEvery = 0.1 }, nil, nil},
		{"fed once a year", func(s *sketch) { s.feedEvery = 366 }, nil, nil},
		{"medium soaked for a month", func(s *sketch) { s.soak = 720 }, nil, nil},
		{"a repot years ahead", func(s *sketch) { s.date = "2099-12-31" }, nil, nil},
		{"harmless animals only", func(s *sketch) { s.pests = []string{"springtail"} }, nil, nil},
		{"the same pest under two names", func(s *sketch) { s.pests = []string{"mealybug", "Planococcus citri"} }, nil, nil},
	}
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			s := ordinary()
			test.set(&s)
			kase, _, err := casefile.Read(strings.NewReader(s.toml()), "sketch.toml", tables)
			if err != nil {
				t.Fatal(err)
			}
			p := kase.Plants[0]
			for _, days := range []int{-400, -1, 0, 13, 41, 42, 180, 365, 4000} {
				c, err := care.NewCourse(kase, p, tables, p.Repot.Date.AddDate(0, 0, days))
				if len(test.err) > 0 {
					for _, word := range test.err {
						if err == nil || !strings.Contains(err.Error(), word) {
							t.Fatalf("error %v, want one that says %q", err, word)
						}
					}
					return
				}
				if err != nil {
					t.Fatal(err)
				}
				holds(t, c)
				for _, words := range test.warned {
					if days == 0 && !strings.Contains(strings.Join(c.Warnings, "\n"), words) {
						t.Errorf("warnings %q, want one that says %q", c.Warnings, words)
					}
				}
			}
		})
	}
}

// A case file with a feed no stronger than its water is refused by its reader;
// a collection is told of its waters and its feeds at different times.
func TestFeedNoStrongerThanItsWater(t *testing.T) {
	for _, test := range []struct {
		name, label string
		hardness    float64
		says        []string
	}{
		{"without a label", "", leftOut, []string{"T-1", "0.1", "0.5", "barrel"}},
		{"with a label", "13-3-15", 100, []string{"T-1", "conductivity", "0.1"}},
	} {
		t.Run(test.name, func(t *testing.T) {
			s := ordinary()
			s.strength, s.label = "0.1 mS/cm", test.label
			kase := s.read(t)
			kase.Waters[0].ECmS = basis.Exactly(0.5, "mS/cm", basis.Given, "")
			if test.hardness != leftOut {
				kase.Waters[0].HardnessMgLCaCO3 = basis.Exactly(test.hardness, "mg/L CaCO3", basis.Given, "")
			}
			_, err := care.NewCourse(kase, kase.Plants[0], tables, kase.Plants[0].Repot.Date)
			for _, words := range test.says {
				if err == nil || !strings.Contains(err.Error(), words) {
					t.Errorf("error %v, want one that says %q", err, words)
				}
			}
		})
	}
}
