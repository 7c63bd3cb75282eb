package light_test

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"velamen/science/basis"
	"velamen/science/light"
)

func ExampleConvert() {
	// A society sheet says 1200 foot-candles on a bright day; the day has 12 hours.
	sheet := light.Quantity{Amount: 1200, Unit: light.FootCandle}
	daylight := light.Lighting{Source: light.Sun, Shape: light.ClearDayPeak, Hours: 12}
	peak, _ := light.Convert(sheet, light.PPFD, daylight)
	day, _ := light.Convert(sheet, light.DLI, daylight)
	fmt.Printf("%.0f (%.0f to %.0f) µmol\n", peak.Value, peak.Low, peak.High)
	fmt.Printf("%.1f (%.1f to %.1f) mol, %v\n", day.Value, day.Low, day.High, day.Grade)
	// Output:
	// 239 (224 to 257) µmol
	// 6.6 (5.9 to 7.1) mol, assumption
}

func ExampleParseSource() {
	source, _ := light.ParseSource("led")
	factor, _ := source.LuxPerPPFD()
	fmt.Printf("%v: %.0f lx per µmol (%.0f to %.0f), %v\n", source, factor.Value, factor.Low, factor.High, factor.Grade)
	_, err := light.ParseSource("candle")
	fmt.Println(err)
	// Output:
	// white LED: 67 lx per µmol (59 to 75), from memory
	// light: unknown light source "candle"; known are: sun, blue sky, cool-white fluorescent, high-pressure sodium, low-pressure sodium, metal halide, incandescent, white LED
}

func TestPhotometryTable(t *testing.T) {
	for _, r := range rows(t, "photometry.csv") {
		source := ok(light.ParseSource(r["source"]))
		factor := ok(source.LuxPerPPFD())
		near(t, r["source"]+": lx per µmol", factor.Value, r.Number(t, "lux_per_umol"), 0)
		near(t, r["source"]+": range", factor.High/factor.Value-1, 0.07, 1e-12)
		one := light.Lighting{Source: source}
		if fc, there := printed(t, r, "fc_per_umol"); there {
			near(t, r["source"]+": fc per µmol", ok(light.Convert(light.Quantity{Amount: 1, Unit: light.PPFD}, light.FootCandle, one)).Value, fc, 0.052)
		}
		perFC := ok(light.Convert(light.Quantity{Amount: 1, Unit: light.FootCandle}, light.PPFD, one))
		if umol, there := printed(t, r, "umol_per_fc"); there {
			near(t, r["source"]+": µmol per fc", perFC.Value, umol, 0.002)
		}
		// A second, independent set of factors must lie in our range.
		if umol, there := printed(t, r, "other_umol_per_fc"); there && (umol < perFC.Low || umol > perFC.High) {
			t.Errorf("%s: the other set's %v µmol per fc is outside %v to %v", r["source"], umol, perFC.Low, perFC.High)
		}
	}
}

func TestPhotometryTraps(t *testing.T) {
	full := light.Quantity{Amount: 2000, Unit: light.PPFD}
	sun := light.Lighting{Source: light.Sun}
	// 2000 µmol of sunlight are 108,000 lx; 10,020 fc by the fc column's 5.01,
	// which the rounding of 54 moves by up to 0.5/54.
	near(t, "lux of full sun", ok(light.Convert(full, light.Lux, sun)).Value, 108000, 0)
	near(t, "fc of full sun", ok(light.Convert(full, light.FootCandle, sun)).Value, 10020, 10020*0.5/54)
	// The page that carries the table prints 40,800 lx for 200 µmol.
	near(t, "lux of 200 µmol", ok(light.LuxFromPPFD(200, light.Sun)).Value, 10800, 0)
	near(t, "back again", ok(light.PPFDFromLux(10800, light.Sun)).Value, 200, 0)
	// 10.76391 lx to the foot-candle (Bionet plant biology list, August 1993),
	// so 1 klx is 92.90 fc and not the 92.3 of a hobby page.
	near(t, "lux per fc", ok(light.LuxFromFootCandles(1)), 10.76391, 0.000005)
	near(t, "fc per klx", ok(light.FootCandlesFromLux(1000)), 92.90, 0.005)
}

func TestGlobalRadiation(t *testing.T) {
	// 40° N in June: Rso 0.75 × 41.8 = 31.4 MJ gives 64 mol, computed
	// independently from Eq. 37 and 2.04 µmol/J.
	near(t, "DLI", ok(light.DLIFromGlobal(31.4)).Value, 64, 0.5)
	// Published single factors lie in the range: 950 W → 1800 µmol (Bionet
	// list, 2001) and 2.02 (Meek et al. 1984, from memory).
	ppfd := ok(light.PPFDFromGlobal(950))
	if ppfd.Low > 1800 || ppfd.High < 1800 {
		t.Errorf("950 W/m² is %v to %v µmol, without the published 1800", ppfd.Low, ppfd.High)
	}
	if ppfd.Low > 950*2.02 || ppfd.High < 950*2.02 {
		t.Errorf("950 W/m² is %v to %v µmol, without the published 2.02", ppfd.Low, ppfd.High)
	}
	// Littlefair 1988: clear 107, average 109 lm/W.
	lux := ok(light.LuxFromGlobal(1000))
	near(t, "lux", lux.Value, 107000, 0)
	// Both ways to PPFD agree as far as either is known.
	over := ok(light.PPFDFromLux(lux.Value, light.Sun))
	direct := ok(light.PPFDFromGlobal(1000))
	if over.Value < direct.Low || over.Value > direct.High {
		t.Errorf("over lux %v, directly %v to %v", over.Value, direct.Low, direct.High)
	}
}

func TestNamesGoThereAndBack(t *testing.T) {
	for _, s := range light.Sources() {
		data := ok(json.Marshal(s))
		var back light.Source
		if err := json.Unmarshal(data, &back); err != nil || back != s {
			t.Errorf("%v became %v (%v)", s, back, err)
		}
	}
	for text, want := range map[string]light.Source{
		"LED": light.WhiteLED, " White-LED ": light.WhiteLED, "hps": light.HighPressureSodium,
		"Daylight": light.Sun, "cool white fluorescent": light.CoolWhiteFluorescent, "metal_halide": light.MetalHalide,
	} {
		if got, err := light.ParseSource(text); err != nil || got != want {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
	for text, want := range map[string]light.Unit{
		"fc": light.FootCandle, "LUX": light.Lux, "µmol": light.PPFD, "dli": light.DLI, "mol/m2/day": light.DLI,
	} {
		if got, err := light.ParseUnit(text); err != nil || got != want {
			t.Errorf("%q is %v (%v), want %v", text, got, err, want)
		}
	}
	if _, err := light.ParseUnit("lumen"); err == nil || !strings.Contains(err.Error(), "lx") {
		t.Errorf("lumen: %v", err)
	}
	if err := new(light.Source).UnmarshalText([]byte("moon")); err == nil {
		t.Error("moon was accepted")
	}
	if _, err := light.Source(99).MarshalText(); err == nil {
		t.Error("source 99 was written")
	}
	if got := light.Source(99).String() + light.Unit(0).String(); got != "unknownunknown" {
		t.Errorf("unknown ones print as %q", got)
	}
}

// quantity draws an amount that every other unit can state as well, short of
// the limits, where rounding on the way back may end just outside.
func quantity(t *rapid.T) light.Quantity {
	unit := rapid.SampledFrom([]light.Unit{light.PPFD, light.Lux, light.FootCandle, light.DLI}).Draw(t, "unit")
	top := map[light.Unit]float64{light.PPFD: 3999, light.Lux: 150_000, light.FootCandle: 14_000, light.DLI: 40}[unit]
	return light.Quantity{Amount: rapid.Float64Range(0, top).Draw(t, "amount"), Unit: unit}
}

func lighting(t *rapid.T) light.Lighting {
	return light.Lighting{
		Source: rapid.SampledFrom(light.Sources()).Draw(t, "source"),
		Shape:  rapid.SampledFrom([]light.Shape{light.Steady, light.ClearDayPeak}).Draw(t, "shape"),
		Hours:  rapid.Float64Range(6, 24).Draw(t, "hours"),
	}
}

func TestConversionLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		q, by := quantity(t), lighting(t)
		to := rapid.SampledFrom([]light.Unit{light.PPFD, light.Lux, light.FootCandle, light.DLI}).Draw(t, "to")
		there := ok(light.Convert(q, to, by))
		if err := there.Check(); err != nil {
			t.Fatal(err)
		}
		back := ok(light.Convert(light.Quantity{Amount: there.Value, Unit: to}, q.Unit, by))
		if math.Abs(back.Value-q.Amount) > 1e-9*q.Amount {
			t.Fatalf("%v came back as %v", q, back.Value)
		}
		more := ok(light.Convert(light.Quantity{Amount: q.Amount / 2, Unit: q.Unit}, to, by))
		if math.Abs(2*more.Value-there.Value) > 1e-9*there.Value {
			t.Fatalf("half of %v is %v of %v", q, more.Value, there.Value)
		}
		if q.Unit == to && (there.Low != q.Amount || there.High != q.Amount || there.Grade != basis.Given) {
			t.Fatalf("%v in its own unit became %+v", q, there)
		}
	})
}

func TestConvertKnowsWhatItNeeds(t *testing.T) {
	fc := light.Quantity{Amount: 1000, Unit: light.FootCandle}
	// Between foot-candles and lux nothing else matters.
	near(t, "lux", ok(light.Convert(fc, light.Lux, light.Lighting{})).Value, 10763.91, 0.005)
	// The lamp's own factor replaces the table's and brings no range.
	own := light.Lighting{Factor: ok(light.OwnFactor(70))}
	got := ok(light.Convert(light.Quantity{Amount: 7000, Unit: light.Lux}, light.PPFD, own))
	if diff := cmp.Diff(basis.Exactly(100, light.PPFD.String(), basis.Given, ""), got); diff != "" {
		t.Error(diff)
	}
	umol := func(amount float64) light.Quantity { return light.Quantity{Amount: amount, Unit: light.PPFD} }
	for name, err := range map[string]error{
		"no source":             second(light.Convert(fc, light.PPFD, light.Lighting{})),
		"no shape":              second(light.Convert(umol(100), light.DLI, light.Lighting{Hours: 12})),
		"25 hours":              second(light.Convert(umol(100), light.DLI, light.Lighting{Hours: 25, Shape: light.Steady})),
		"light in no time":      second(light.PPFDForDLI(1, 0, light.Steady)),
		"level beyond limits":   second(light.PPFDForDLI(300, 1, light.Steady)),
		"negative":              second(light.Convert(umol(-1), light.Lux, light.Lighting{Source: light.Sun})),
		"not a number":          second(light.SteadyDLI(math.NaN(), 12)),
		"no unit":               second(light.Convert(light.Quantity{Amount: 1}, light.Lux, light.Lighting{Source: light.Sun})),
		"own factor above 147":  second(light.OwnFactor(150)),
		"factor's range beyond": second(light.Convert(fc, light.PPFD, light.Lighting{Factor: basis.Assumed(100, 50, 200, "")})),
		"negative foot-candles": second(light.LuxFromFootCandles(-1)),
		"too many lux":          second(light.FootCandlesFromLux(1e6)),
		"2 kW/m²":               second(light.PPFDFromGlobal(2000)),
		"-1 W/m²":               second(light.LuxFromGlobal(-1)),
		"60 MJ":                 second(light.DLIFromGlobal(60)),
		"unknown source":        second(light.Source(0).LuxPerPPFD()),
		"absorbed, source":      second(light.AbsorbedPerPPFD(0)),
		"absorbed, source 2":    second(light.AbsorbedWM2(1, 0)),
		"absorbed, PPFD":        second(light.AbsorbedWM2(-1, light.Sun)),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

func ExampleAbsorbedWM2() {
	// The same 200 µmol heat a leaf more in the sun than under LEDs.
	sun, _ := light.AbsorbedWM2(200, light.Sun)
	led, _ := light.AbsorbedWM2(200, light.WhiteLED)
	fmt.Printf("%.0f against %.0f W/m²\n", sun, led)
	// Output: 53 against 37 W/m²
}

func TestAbsorbed(t *testing.T) {
	for _, s := range light.Sources() {
		per := ok(light.AbsorbedPerPPFD(s))
		if err := per.Check(); err != nil {
			t.Errorf("%v: %v", s, err)
		}
		if per.Grade != basis.Assumption {
			t.Errorf("%v is called %v though the leaf is assumed", s, per.Grade)
		}
		near(t, s.String(), ok(light.AbsorbedWM2(500, s)), 500*per.Value, 1e-12)
	}
	// A leaf in the open takes up about half of the global radiation (0.5 is
	// the usual default of leaf energy balances; 0.44 to 0.66 spans thin and
	// thick leaves).
	global := 500.0
	share := ok(light.AbsorbedWM2(ok(light.PPFDFromGlobal(global)).Value, light.Sun)) / global
	if share < 0.44 || share > 0.66 {
		t.Errorf("a leaf in the sun absorbs %v of global radiation", share)
	}
}
