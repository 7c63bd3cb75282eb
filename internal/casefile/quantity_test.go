package casefile

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"velamen/internal/care"
	"velamen/science/water"
)

// TestConversions checks factors against figures printed elsewhere; the
// tolerance is half of the last digit printed.
func TestConversions(t *testing.T) {
	for _, test := range []struct {
		measure   *measure
		text      string
		want      float64
		tolerance float64
		source    string
	}{
		{&airTemperature, "68 °F", 20, 1e-9, "definition of °F: 32 °F is 0 °C, 212 °F is 100 °C"},
		{&airTemperature, "-4 f", -20, 1e-9, "the same"},
		{&potMeasure, "5 in", 12.7, 1e-9, "definition: 1 in = 25.4 mm"},
		{&leafMeasure, "1 ft", 30.48, 1e-9, "definition: 1 ft = 12 in"},
		{&leafArea, "10 in²", 64.516, 1e-9, "definition of the inch"},
		{&altitude, "1000 ft", 304.8, 1e-9, "definition of the foot"},
		{&sourceEC, "1200 ppm (500)", 2.4, 1e-9, "scale table of pocket meters: 2.4 mS/cm reads 1200, 1536 and 1680"},
		{&sourceEC, "1536 ppm (640)", 2.4, 1e-9, "the same"},
		{&sourceEC, "1680 ppm (700)", 2.4, 1e-9, "the same"},
		{&sourceEC, "350 µS/cm", 0.35, 1e-9, "SI prefix"},
		{&sourceEC, "35 mS/m", 0.35, 1e-9, "SI prefix"},
		{&waterHardness, "1 °dH", 17.848, 0.0005, "1 °dH is 10 mg/L CaO, computed independently"},
		{&waterHardness, "1 °fH", 10, 1e-9, "definition: 10 mg/L CaCO3"},
		{&waterHardness, "1 °Clark", 14.254, 0.0005, "one grain in an imperial gallon, computed independently"},
		{&waterHardness, "1 gpg", 17.118, 0.0005, "one grain in a US gallon, computed independently"},
		{&waterHardness, "1 mmol/L", 100.086, 0.002, "molar mass of CaCO3, computed independently"},
		{&waterAlkalinity, "1 meq/L", 50.043, 0.001, "half the molar mass of CaCO3, computed independently"},
		{&waterAlkalinity, "61.017 mg/L HCO3", 50.043, 0.001, "molar mass of HCO3, computed independently"},
		{&feedStrength, "1 oz/100 gal", 0.07489, 0.000005, "1 oz/100 US gal is 74.89 mg/L, computed independently"},
		{&feedStrength, "3.785411784 g/gal", 1, 1e-9, "definition of the US gallon"},
		{&feedStrength, "10 g/10 L", 1, 1e-9, "division"},
		{&interval, "1 week", 7, 1e-9, "calendar"},
		{&soakTime, "90 min", 1.5, 1e-9, "division"},
		{&soakTime, "2 d", 48, 1e-9, "multiplication"},
		{&lightLevel, "12 klx", 12000, 1e-9, "SI prefix"},
	} {
		r, err := test.measure.read(test.text)
		if err != nil || math.Abs(r.value-test.want) > test.tolerance {
			t.Errorf("%q reads as %v (%v), want %v: %s", test.text, r.value, err, test.want, test.source)
		}
	}
}

func TestWaysOfWriting(t *testing.T) {
	for _, test := range []struct {
		measure *measure
		want    float64
		ways    []string
	}{
		{&airTemperature, 28, []string{"28 °C", "28°C", "28 C", "28c", " 28,0 ° c ", "28 Celsius", "28 deg C", "28 ℃", "+28 °C", "28 ºC"}},
		{&airTemperature, -2.5, []string{"-2.5 °C", "−2.5 °C", "-2,5 c"}},
		{&humidity, 45, []string{"45 %", "45%", "45 % RH", "45 percent"}},
		{&lightLevel, 1200, []string{"1200 fc", "1200 FC", "1200 ft-c", "1200 foot-candles"}},
		{&lightLevel, 240, []string{"240 µmol", "240 μmol", "240 umol", "240 ppfd", "240 µmol/m²/s", "240 µmol m⁻² s⁻¹", "240 µmol·m⁻²·s⁻¹", "240 µmol/(m² s)"}},
		{&lightLevel, 8, []string{"8 mol/day", "8 DLI", "8 mol/m²/day", "8 mol/m2/d", "8 mol m⁻² d⁻¹"}},
		{&sourceEC, 0.35, []string{"0.35 mS/cm", ".35 mS/cm", "0,35 ms/cm", "0.350 mS/cm", "0.35 dS/m", "350 μS/cm", "350 us/cm", "175 ppm (500)", "175 ppm500", "175 ppm ( 500 )"}},
		{&waterHardness, 210, []string{"210 mg/L CaCO3", "210 mg/l caco₃", "210 mg/L as CaCO3", "210 ppm CaCO3", "21 °fH", "21 fh"}},
		{&feedStrength, 125, []string{"125 ppm N", "125 ppmN", "125 mg/L N"}},
		{&potMeasure, 11.43, []string{"4.5 in", "4,5 inches", "4.5\"", "4.5″", "114.3 mm", "0.1143 m"}},
		{&leafArea, 500, []string{"500 cm2", "500 cm²", "0.05 m2"}},
		{&altitude, 1200, []string{"1200 m", "1200.0 M"}},
	} {
		for _, way := range test.ways {
			r, err := test.measure.read(way)
			if err != nil || math.Abs(r.value-test.want) > 1e-9*math.Abs(test.want) {
				t.Errorf("%q reads as %v (%v), want %v", way, r.value, err, test.want)
			}
		}
	}
}

// measures are all measures, for the properties below.
var measures = []*measure{
	&airTemperature, &humidity, &lightLevel, &clothRating, &lampHours, &sourceEC, &waterHardness, &waterAlkalinity,
	&feedStrength, &feedDensity, &interval, &potMeasure, &mossDepth, &leafMeasure, &leafArea, &soakTime, &altitude,
}

// TestEveryUnitReadsToTheSameValue writes one value in every unit of its kind,
// in capitals or not, with a point or a comma, and reads it back.
func TestEveryUnitReadsToTheSameValue(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		m := rapid.SampledFrom(measures).Draw(t, "measure")
		q := rapid.SampledFrom(m.any).Draw(t, "quantity")
		value := rapid.Float64Range(q.low, q.high).Draw(t, "value")
		for _, u := range q.units {
			symbol := rapid.SampledFrom(append([]string{u.symbol}, u.also...)).Draw(t, "symbol")
			text := strconv.FormatFloat(value/u.factor+u.zero, 'f', 9, 64)
			if rapid.Bool().Draw(t, "comma") {
				text = strings.Replace(text, ".", ",", 1)
			}
			text += rapid.SampledFrom([]string{"", " ", "  ", "\u00a0"}).Draw(t, "space")
			if rapid.Bool().Draw(t, "capitals") {
				symbol = strings.Map(unicode.ToUpper, symbol)
			}
			r, err := m.read(text + symbol)
			if len(strings.SplitN(strings.Replace(text, ",", ".", 1), ".", 2)[0]) > 9 {
				return // more digits than a notebook has
			}
			// Nine decimals are written, and the ends of the limits may be
			// crossed by that rounding.
			slack := 1e-9*math.Abs(u.factor) + 1e-9*math.Abs(value)
			if err != nil {
				if value-q.low > slack && q.high-value > slack {
					t.Fatalf("%q: %v", text+symbol, err)
				}
				return
			}
			if math.Abs(r.value-value) > slack {
				t.Fatalf("%q reads as %v, want %v", text+symbol, r.value, value)
			}
			v := r.given()
			if v.Check() != nil || v.Unit != q.unit {
				t.Fatalf("%q: %+v: %v", text+symbol, v, v.Check())
			}
		}
	})
}

// TestUnitsAreUnambiguous makes sure that no spelling means two things where
// either could stand.
func TestUnitsAreUnambiguous(t *testing.T) {
	for _, m := range measures {
		seen := map[string]string{}
		for _, q := range m.any {
			for _, u := range q.units {
				for _, spelling := range append([]string{foldUnit(u.symbol)}, u.also...) {
					if spelling != foldUnit(spelling) {
						t.Errorf("the spelling %q of %s is not in its plain form %q", spelling, u.symbol, foldUnit(spelling))
					}
					if other, ok := seen[spelling]; ok {
						t.Errorf("%q means both %s and %s", spelling, other, u.symbol)
					}
					seen[spelling] = u.symbol
				}
			}
		}
		for _, q := range m.any {
			for _, u := range q.units {
				if q.class != "" && !slices.Contains(care.UnitWords(), u.shows) {
					t.Errorf("%s shows in %q, which is no word of the care package", u.symbol, u.shows)
				}
			}
			for vague := range q.vague {
				if seen[vague] != "" || vague != foldUnit(vague) {
					t.Errorf("advice for %q is never given", vague)
				}
			}
		}
		// The example must be readable, unless it is one of several or a pair.
		for _, example := range strings.Split(m.example, " or ") {
			for part := range strings.SplitSeq(example, ", ") {
				if _, err := m.read(strings.Trim(part, `"`)); err != nil {
					t.Errorf("the example %s of %s: %v", part, m.asked, err)
				}
			}
		}
	}
}

func TestNumbers(t *testing.T) {
	for _, test := range []struct {
		text, rest, problem string
		want                float64
	}{
		{text: "28 °C", want: 28, rest: " °C"},
		{text: "-0.5x", want: -0.5, rest: "x"},
		{text: "1,5", want: 1.5},
		{text: ".5", want: 0.5},
		{text: "5.", want: 5, rest: "."},
		{text: "0,125 mS", want: 0.125, rest: " mS"},
		{text: "1.250 mS", want: 1.25, rest: " mS"},
		{text: "1,250 mS", problem: "1250 or as 1.25"},
		{text: "10,000 lx", problem: "10000 or as 10.0"},
		{text: "10 000 lx", problem: "without a space"},
		{text: "10\u202f000 lx", problem: "without a space"},
		{text: "10'000 lx", problem: "without a space"},
		{text: "1,000,000 lx", problem: "without a space"},
		{text: "1.000,5 lx", problem: "without a space"},
		{text: "1234567890 lx", problem: "more digits"},
		{text: "", problem: "a number comes first"},
		{text: "-", problem: "a number comes first"},
		{text: "about 5", problem: "a number comes first"},
		{text: "nan °C", problem: "a number comes first"},
		{text: "inf °C", problem: "a number comes first"},
	} {
		n, rest, err := readNumber(test.text)
		switch {
		case test.problem != "":
			if err == nil || !strings.Contains(err.Error(), test.problem) {
				t.Errorf("%q: got %v %v, want the problem %q", test.text, n.value, err, test.problem)
			}
		case err != nil || n.value != test.want || rest != test.rest:
			t.Errorf("%q: got %v, %q, %v, want %v, %q", test.text, n.value, rest, err, test.want, test.rest)
		}
	}
}

func TestRanges(t *testing.T) {
	for _, text := range []string{
		"15 to 28 °C", "15 °C to 28 °C", "15–28 °C", "15 – 28°C", "15-28 C", "15 - 28 °C", "15..28 °C", "59 to 82.4 °F", "59 °F to 28 °C",
	} {
		low, high, err := temperatureRange.readRange(text)
		if err != nil || math.Abs(low.value-15) > 1e-9 || math.Abs(high.value-28) > 1e-9 {
			t.Errorf("%q reads as %v to %v (%v)", text, low.value, high.value, err)
		}
	}
	low, high, err := temperatureRange.readRange("-5 to -2 °C")
	if err != nil || low.value != -5 || high.value != -2 {
		t.Errorf("negative range reads as %v to %v (%v)", low.value, high.value, err)
	}
	for _, text := range []string{"15 x 8 cm", "15 × 8 cm", "15x8cm", "15 cm x 8 cm", "15 by 8 cm", "150 mm x 8 cm"} {
		width, height, err := mountMeasure.readPair(text, sizeMarks)
		if err != nil || math.Abs(width.value-15) > 1e-9 || height.value != 8 {
			t.Errorf("%q reads as %v by %v (%v)", text, width.value, height.value, err)
		}
	}
}

// TestIonsReadInEveryUnit compares the three ways a laboratory may write an ion
// with what the water chapter makes of the same amount.
func TestIonsReadInEveryUnit(t *testing.T) {
	for which, key := range map[water.Ion]string{
		water.Ca: "calcium", water.Mg: "magnesium", water.Na: "sodium", water.K: "potassium", water.NH4: "ammonium",
		water.Cl: "chloride", water.SO4: "sulphate", water.HCO3: "bicarbonate", water.CO3: "carbonate", water.NO3: "nitrate",
	} {
		var amount water.Ions
		amount[which] = 1.5
		for _, text := range []string{
			"1.5 mmol/L",
			fmt.Sprintf("%.9f meq/L", amount.MeqPerL(which)),
			fmt.Sprintf("%.9f mg/L", amount.MgPerL(which)),
		} {
			c, _, err := Read(strings.NewReader(fmt.Sprintf(
				"water = [{ name = 'w', ions = { %s = '%s' } }]\nplant = [{ group = 'Phalaenopsis', repot.date = 2026-11-01 }]\n", key, text)), "c", tables)
			if err != nil {
				t.Errorf("%s = %q: %v", key, text, err)
				continue
			}
			if got := (*c.Waters[0].Ions)[which]; math.Abs(got-1.5) > 1e-6 {
				t.Errorf("%s = %q reads as %v mmol/L, want 1.5", key, text, got)
			}
		}
	}
}
