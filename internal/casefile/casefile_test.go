package casefile

import (
	"os"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/water"
)

// tables are the embedded culture tables, read once for all tests.
var tables = func() culture.Table {
	loaded, err := culture.Load()
	if err != nil {
		panic(err)
	}
	return loaded
}()

func given(value float64, unit string) basis.Value {
	return basis.Exactly(value, unit, basis.Given, "")
}

// The figures are worked out by hand beside each one that the file gives in
// another unit; the definitions of the units are named in kinds.go.
func fullCase() care.Case {
	cm := func(x float64) basis.Value { return given(x, "cm") }
	return care.Case{
		Place: care.Place{
			LatitudeDeg: given(48.25, "°"), LongitudeDeg: given(-16, "°"),
			AltitudeM: given(120.0912, "m"), // 394 × 0.3048
		},
		Spaces: []care.Space{
			{
				Name: "sill", Kind: care.Windowsill,
				DayC:         given(250.0/9, "°C"), // (82 − 32)·5/9
				NightC:       given(145.0/9, "°C"), // (61 − 32)·5/9
				DayRHPercent: given(45, "%"), NightRHPercent: given(60, "%"),
				Air:    care.StillAir,
				Light:  care.LightLevel{Level: given(12000, "lx"), Unit: care.Lux, Source: "sun"},
				Covers: []string{"double glass", "shade cloth 50 %"},
			},
			{
				Name: "shelf", Kind: care.LampShelf,
				NightC: given(18, "°C"), DayC: given(25.5, "°C"),
				DayRHPercent: given(50, "%"), NightRHPercent: given(70, "%"),
				Air: care.MovingAir,
				Light: care.LightLevel{
					Level: given(140, "µmol/m²/s"), Unit: care.PPFD, Source: "white LED", HoursPerDay: given(12.5, "h"),
				},
			},
			{
				Name: "balcony", Light: care.LightLevel{Level: given(1500, "fc"), Unit: care.FootCandle},
				Covers: []string{"single glass"},
			},
			{
				Name: "cabinet", Kind: care.Enclosure,
				Light: care.LightLevel{Level: given(6.5, "mol/m²/day"), Unit: care.DLI},
			},
		},
		Waters: []care.Water{{
			Name: "tap",
			ECmS: given(0.35, "mS/cm"), // 245 / 700
			// 12 °dH is 120 mg/L CaO, of 56.077 g/mol, as CaCO3 of 100.086 g/mol.
			HardnessMgLCaCO3:      given(120*100.086/56.077, "mg/L CaCO3"),
			AlkalinityMgLCaCO3:    given(3*50.043, "mg/L CaCO3"),
			SoftenedByIonExchange: true,
			Ions: &water.Ions{
				water.Ca: 40 / 40.078, water.Mg: 1, water.Na: 1, water.SO4: 1,
				water.NO3:  7.0 / 14.007, // as nitrogen
				water.HCO3: 1,
			},
		}},
		Feeds: []care.Feed{
			{Name: "powder", Label: water.Label{
				NPercent: 13, P2O5Percent: 3, K2OPercent: 15, CaPercent: 8, MgOPercent: 3.3, SPercent: 1,
				NitratePercent: 12, AmmoniumPercent: 0.6, UreaPercent: 0.4,
			}},
			{Name: "liquid", Label: water.Label{NPercent: 5, PPercent: 1.3, K2OPercent: 6, DensityKgPerL: 1.25}},
			{Name: "long label", Label: water.Label{
				NPercent: 15, P2O5Percent: 5, K2OPercent: 15, CaPercent: 5, MgPercent: 2, SO3Percent: 1,
			}},
		},
		Routine: care.Routine{
			Water: "tap", Feed: "powder", FeedECmS: given(1.1, "mS/cm"),
			FeedEveryDays: given(14, "days"), WaterEveryDays: given(1.5, "days"),
		},
		Plants: []care.Plant{
			{
				Label: "P-1", Name: "Phalaenopsis 'Paper Boat'", Group: "Phalaenopsis", Space: "sill",
				Leaves: given(6, ""), LeafLengthCm: cm(24.13), LeafWidthCm: cm(7), LeafAreaCm2: given(500, "cm²"),
				Pseudobulbs: given(0, ""), Vigour: care.Strong,
				Routine: &care.Routine{
					Water: "tap", Feed: "liquid", FeedPpmN: given(125, "ppm N"),
					FeedEveryDays: given(7, "days"), WaterEveryDays: given(4, "days"),
				},
				Repot: care.Repot{
					Date: time.Date(2026, 11, 1, 0, 0, 0, 0, time.UTC), Work: care.Repotted,
					RootsKept: given(0.6, "share"), LeavesKept: given(1, "share"), LiveRootTips: given(4, ""),
					SoakedHours: given(0.5, "h"), Pests: []string{"mealybug", "scale"}, Flowers: care.InSpike,
					From: care.Home{
						Container: &care.Container{NominalCm: cm(11.43), Material: "clay"},
						Medium:    []care.Component{{Medium: "sphagnum", Parts: 1}},
					},
					To: care.Home{
						Container: &care.Container{TopCm: cm(11.4), BottomCm: cm(8.6), HeightCm: cm(10.3), Square: true, Material: "plastic"},
						Medium:    []care.Component{{Medium: "medium bark", Parts: 7}, {Medium: "perlite", Parts: 2.5}},
					},
				},
			},
			{
				Name: "Brassavola 'Night Ferry'", Group: "Brassavola", Space: "shelf", Vigour: care.Rescue,
				Routine: &care.Routine{FeedGramsPerLitre: basis.Value{
					// Half a spoonful of 6 g (5 to 7) in 3.7854 L.
					Value: 3 / 3.785411784, Low: 2.5 / 3.785411784, High: 3.5 / 3.785411784,
					Unit: "g/L", Grade: water.GramsPerTeaspoon.Grade, Source: water.GramsPerTeaspoon.Source,
				}},
				Repot: care.Repot{
					Date: time.Date(2026, 12, 24, 0, 0, 0, 0, time.UTC), Work: care.Mounted,
					RootsKept: given(0.25, "share"), Pests: []string{"thrips"},
					To: care.Home{Mount: &care.Mount{Material: "cork", WidthCm: cm(15), HeightCm: cm(8), MossCm: cm(1)}},
				},
			},
		},
	}
}

func TestReadEveryKeyAndUnit(t *testing.T) {
	text := readFile(t, "testdata/full.toml")
	got, units, err := Read(strings.NewReader(text), "full.toml", tables)
	if err != nil {
		t.Fatal(err)
	}
	// Factors multiply in another order here than in the reader, hence a
	// tolerance of a few last digits; molar masses above have five figures.
	if diff := cmp.Diff(fullCase(), got, cmpopts.EquateApprox(2e-5, 1e-12)); diff != "" {
		t.Errorf("case differs (− wanted, + got):\n%s", diff)
	}
	// The first temperature is in °F, the first light in lx, the first pot in
	// inches; the salt scale is asked for.
	want := care.Units{Fahrenheit: true, Light: care.Lux, Salt: care.PPM700, Inches: true}
	if units != want {
		t.Errorf("units are %+v, want %+v", units, want)
	}
}

// TestFullCaseHasEveryKey keeps the test above complete when a key is added.
func TestFullCaseHasEveryKey(t *testing.T) {
	text := readFile(t, "testdata/full.toml")
	for _, key := range slices.Concat(
		keys(caseFields), keys(placeFields), keys(unitsFields), keys(spaceFields), keys(waterFields), keys(feedFields),
		keys(routineFields), keys(plantFields), keys(repotFields), keys(homeFields), keys(potFields), keys(mountFields),
	) {
		if !strings.Contains(text, key+" =") && !strings.Contains(text, key+".") && !strings.Contains(text, "["+key+"]") {
			t.Errorf("testdata/full.toml does not use the key %q", key)
		}
	}
}

// TestNamesAreMatchedWhateverTheirCapitals: names are used as care uses them,
// and the case keeps the spelling of their definition.
func TestNamesAreMatchedWhateverTheirCapitals(t *testing.T) {
	got, _, err := Read(strings.NewReader(`
routine = { water = "RAIN", feed = "erde" }
[[plant]]
label = "A"
group = "Phalaenopsis"
space = "Südfenster"
repot.date = 2026-11-01
routine = { water = "Rain", feed = "erDE" }
[[space]]
name = "SÜDFENSTER"
[[space]]
name = "shelf"
[[water]]
name = "rain"
[[feed]]
name = "Erde"
label = "13-3-15"
`), "c", tables)
	if err != nil {
		t.Fatal(err)
	}
	p := got.Plants[0]
	if p.Space != "SÜDFENSTER" || p.Routine.Water != "rain" || p.Routine.Feed != "Erde" || got.Routine.Water != "rain" || got.Routine.Feed != "Erde" {
		t.Errorf("space %q, routine %+v and %+v", p.Space, *p.Routine, got.Routine)
	}
}

// Folded names are equal just when strings.EqualFold says so.
func TestFoldedAgreesWithEqualFold(t *testing.T) {
	letters := rapid.StringOfN(rapid.SampledFrom([]rune("aAkK\u212asS\u017fßẞσςΣüÜıİ1 -")), 0, 4, -1)
	rapid.Check(t, func(t *rapid.T) {
		a, b := letters.Draw(t, "a"), letters.Draw(t, "b")
		if got, want := folded(a) == folded(b), strings.EqualFold(a, b); got != want {
			t.Errorf("folded(%q) == folded(%q) is %v, EqualFold says %v", a, b, got, want)
		}
	})
}

// TestOwnGroupsAreKnown reads a group that only the grower's own rows hold.
func TestOwnGroupsAreKnown(t *testing.T) {
	const text = "[[plant]]\ngroup = 'window vine'\nrepot.date = 2026-01-31"
	own, err := culture.Load(strings.NewReader("key,name,habit,photosynthesis,light_fc,temperature_class,night_c,day_c,rh_percent,media," +
		"repot_years,repot_trigger,resents_disturbance,rest,feed,dries_between,pot\n" +
		"vine,window vine,monopodial,CAM,1500 to 3000,warm,18,24 to 30,65 to 85,bark,2,new roots,0,none,low,slightly,pot\n"))
	if err != nil {
		t.Fatal(err)
	}
	if c, _, err := Read(strings.NewReader(text), "c", own); err != nil || c.Plants[0].Group != "window vine" {
		t.Errorf("with the own rows: %v", err)
	}
	if _, _, err := Read(strings.NewReader(text), "c", tables); err == nil {
		t.Error("the group is known without the own rows")
	}
}

func keys[T any](known fields[T]) []string {
	var keys []string
	for _, f := range known {
		keys = append(keys, f.key)
	}
	return keys
}

// TestTheLeastThatIsACase reads a group and a date: a plant without a label or
// a name is called by its number.
func TestTheLeastThatIsACase(t *testing.T) {
	got, units, err := Read(strings.NewReader("[[plant]]\ngroup = 'Phalaenopsis'\nrepot.date = 2026-01-31"), "a.toml", tables)
	if err != nil {
		t.Fatal(err)
	}
	want := care.Case{Plants: []care.Plant{{Label: "plant 1", Group: "Phalaenopsis", Repot: care.Repot{Date: time.Date(2026, 1, 31, 0, 0, 0, 0, time.UTC)}}}}
	if diff := cmp.Diff(want, got); diff != "" {
		t.Errorf("case differs (− wanted, + got):\n%s", diff)
	}
	if units != care.MetricUnits() {
		t.Errorf("units are %+v, want metric ones", units)
	}
}

func TestUnitsAreTheFirstInTheFile(t *testing.T) {
	const plant = "\n[[plant]]\nlabel = 'A'\ngroup = 'Phalaenopsis'\nrepot.date = 2026-01-31\n"
	for _, test := range []struct {
		name, text string
		want       care.Units
	}{
		{"the first of each", "[[space]]\nname='s'\nday='80 F'\nnight='15 °C'\nlight='200 µmol'\n[routine]\nstrength='500 ppm (500)'" + plant,
			care.Units{Fahrenheit: true, Light: care.PPFD, Salt: care.PPM500}},
		{"tables in another order", "[routine]\nstrength='500 ppm (500)'\n[[water]]\nname='w'\nec='0.1 mS/cm'" + plant,
			care.Units{Light: care.FootCandle, Salt: care.PPM500}},
		{"asked for in part", "[[space]]\nname='s'\nday='80 F'\n[units]\nshow='dli, EC'" + plant,
			care.Units{Fahrenheit: true, Light: care.DLI, Salt: care.ECScale}},
		{"a leaf in inches tells nothing about pots", plant + "leaf_length = '4 in'\nrepot.to.pot = '12 cm'",
			care.MetricUnits()},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, units, err := Read(strings.NewReader(test.text), "u.toml", tables)
			if err != nil {
				t.Fatal(err)
			}
			if units != test.want {
				t.Errorf("units are %+v, want %+v", units, test.want)
			}
		})
	}
}

func TestExampleReadsBack(t *testing.T) {
	got, units, err := Read(strings.NewReader(Example()), "example.toml", tables)
	if err != nil {
		t.Fatal(err)
	}
	if len(got.Plants) != 2 || got.Plants[0].Repot.To.Container == nil || got.Plants[1].Repot.To.Mount == nil {
		t.Errorf("the example should hold one potted and one mounted plant, got %+v", got.Plants)
	}
	if units != care.MetricUnits() {
		t.Errorf("the example is in %+v, want metric units", units)
	}
}

func readFile(t testing.TB, name string) string {
	t.Helper()
	text, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return string(text)
}
