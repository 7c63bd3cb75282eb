package web

import (
	"math"
	"strings"
	"testing"

	"velamen/internal/care"
	"velamen/science/basis"
)

var (
	metric   = care.MetricUnits()
	imperial = care.Units{Fahrenheit: true, Light: care.FootCandle, Salt: care.PPM500, Inches: true}
)

func TestQuantitiesAreReadInTheGrowersUnit(t *testing.T) {
	// Conversions follow from the definitions of the units; the rows are exact
	// but for floating point.
	const rounding = 1e-9
	for _, c := range []struct {
		m     measure
		u     care.Units
		typed string
		want  float64
	}{
		{airTemperature, metric, "28", 28},
		{airTemperature, metric, " 28 °C ", 28},
		{airTemperature, metric, "82.4F", 28},
		{airTemperature, metric, "82,4 °F", 28},
		{airTemperature, imperial, "82.4", 28},
		{airTemperature, imperial, "28 c", 28},
		{airTemperature, metric, "−5", -5},
		{humidity, metric, "65", 65},
		{humidity, metric, "65 % RH", 65},
		{sourceEC, metric, "0.35", 0.35},
		{sourceEC, metric, "350 µS/cm", 0.35},
		{sourceEC, metric, "350 uS/cm", 0.35},
		{sourceEC, imperial, "175", 0.35},
		{sourceEC, metric, "245 ppm (700)", 0.35},
		{keptShare, metric, "60", 0.6},
		{keptShare, metric, "60%", 0.6},
		{lampHours, metric, "13 h", 13},
		{altitude, metric, "100 ft", 30.48},
		{dayMinutes, metric, "1 h", 60},
	} {
		got, err := c.m.read(c.typed, c.u)
		if err != nil || math.Abs(got.Value-c.want) > rounding {
			t.Errorf("%q: %v %s, %v; expected %v", c.typed, got.Value, got.Unit, err, c.want)
		}
		if err == nil && (got.Grade != basis.Given || got.Unit != c.m.unit || got.Check() != nil) {
			t.Errorf("%q is %v %q, %v", c.typed, got.Grade, got.Unit, got.Check())
		}
	}
}

func TestQuantitiesThatCannotBeMeant(t *testing.T) {
	for _, c := range []struct {
		m           measure
		u           care.Units
		typed, says string
	}{
		{airTemperature, metric, "warm", `"warm" is not a number; write it as in 28 °C`},
		{airTemperature, imperial, "warm", "82.4 °F"},
		{airTemperature, metric, "82", "between −20 °C and 55 °C"},
		{airTemperature, metric, "28 %", `the unit "%" does not fit here`},
		{sourceEC, metric, "180 ppm", "meters make ppm in three ways"},
		{dayLitres, metric, "1,200", "can be read as 1200 or as 1.200"},
		{dayLitres, metric, "1 200", "without anything between the thousands"},
		{humidity, metric, "0", "cannot be right"},
		{humidity, metric, "1e400", "unit"},
		{humidity, metric, "99999999999", "more digits"},
		{humidity, metric, "NaN", "not a number"},
	} {
		if v, err := c.m.read(c.typed, c.u); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%q: %v, %v; expected %q", c.typed, v.Value, err, c.says)
		}
	}
}

func TestLightKeepsTheUnitItWasGivenIn(t *testing.T) {
	for _, c := range []struct {
		u     care.Units
		typed string
		want  float64
		unit  care.LightUnit
	}{
		{metric, "1800", 1800, care.FootCandle},
		{metric, "12 klx", 12000, care.Lux},
		{metric, "12000 lux", 12000, care.Lux},
		{metric, "190 µmol", 190, care.PPFD},
		{metric, "8 mol/day", 8, care.DLI},
		{care.Units{Light: care.Lux}, "18000", 18000, care.Lux},
		{care.Units{Light: care.PPFD}, "190", 190, care.PPFD},
		{care.Units{}, "1800", 1800, care.FootCandle},
	} {
		f := &form{values: map[string][]string{"light": {c.typed}}, errors: map[string]string{}}
		v, unit := f.lightLevel("light", c.u, care.LightLevel{})
		if f.wrong() || v.Value != c.want || unit != c.unit {
			t.Errorf("%q: %v %s, %v", c.typed, v.Value, unit, f.errors)
		}
	}
	for _, typed := range []string{"bright", "20 candles", "200000 fc", "-5"} {
		f := &form{values: map[string][]string{"light": {typed}}, errors: map[string]string{}}
		if v, _ := f.lightLevel("light", metric, care.LightLevel{}); !f.wrong() {
			t.Errorf("%q was read as %v", typed, v.Value)
		}
	}
}

// What a field shows of a kept value, it keeps to the last digit.
func TestShownQuantitiesAreNotRoundedByKeeping(t *testing.T) {
	kept := basis.Exactly(27.4, "°C", basis.Given, "")
	f := &form{values: map[string][]string{"day": {shown(imperial, kept)}}, errors: map[string]string{}}
	if got := f.quantity("day", airTemperature, imperial, kept); got != kept {
		t.Errorf("%v became %v", kept, got)
	}
	if got := f.quantity("day", airTemperature, imperial, basis.Value{}); got.Value == kept.Value {
		t.Error("the test cannot tell: the shown value is exact")
	}
}

// Every example given in a message is accepted where the message stands.
func TestExamplesAreAccepted(t *testing.T) {
	measures := []measure{
		airTemperature, humidity, sourceEC, drainageEC, keptShare, rootLength, plantLength, potLength, pourVolume, potMass,
		rainDepth, lampHours, altitude, dayMinutes, dayLitres,
	}
	for _, l := range lightMeasures {
		measures = append(measures, l.measure)
	}
	for _, m := range measures {
		for _, u := range []care.Units{metric, imperial, {Salt: care.PPM640}, {Salt: care.PPM700}} {
			if _, err := m.read(m.example(u), u); err != nil {
				t.Errorf("%s: the example %q: %v", m.what, m.example(u), err)
			}
		}
	}
}

func FuzzQuantity(f *testing.F) {
	for _, text := range []string{"28", "82 F", "1,200", "−3,5 °C", "1.2.3", "'", "0x1p", "٣", "1e9"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		for _, m := range []measure{airTemperature, sourceEC, dayLitres} {
			v, err := m.read(text, metric)
			if err == nil && (v.Check() != nil || v.Value < m.low || v.Value > m.high) {
				t.Errorf("%q: %v lies outside %v to %v", text, v.Value, m.low, m.high)
			}
		}
	})
}

func TestWhereabouts(t *testing.T) {
	for typed, want := range map[string][2]float64{
		"37.8 S, 145 E":               {-37.8, 145},
		"37.8S 145E":                  {-37.8, 145},
		"-37.8, 145":                  {-37.8, 145},
		"−37.8 145.0":                 {-37.8, 145},
		"-37.8,145":                   {-37.8, 145},
		"37,8 S; 145,0 E":             {-37.8, 145},
		"145 E, 37.8 S":               {-37.8, 145},
		"S 37.8, E 145":               {-37.8, 145},
		"37.8° south 145° east":       {-37.8, 145},
		"37° 48′ S, 145° 0′ E":        {-37.8, 145},
		"37°48'36\"S 144°57'36\"E":    {-37.81, 144.96},
		"51, 0":                       {51, 0},
		"52.5 N, 13.4 E":              {52.5, 13.4},
		"33.9 S, 70.7 W":              {-33.9, -70.7},
		"-37 145":                     {-37, 145},
		"37 deg 48 min S 145 deg E":   {-37.8, 145},
		" 37.8  s ,  145   e ":        {-37.8, 145},
		"37.80000000 S, 145.000000 E": {-37.8, 145},
	} {
		latitude, longitude, err := readWhereabouts(typed)
		const rounding = 1e-9
		if err != nil || math.Abs(latitude.Value-want[0]) > rounding || math.Abs(longitude.Value-want[1]) > rounding {
			t.Errorf("%q: %v, %v, %v", typed, latitude.Value, longitude.Value, err)
		}
	}
	for typed, says := range map[string]string{
		"here": "37.8 S, 145 E", "37.8": "a latitude and a longitude", "145, 37.8": "beyond the pole", "91 S, 145 E": "beyond the pole",
		"37 S, 181 E": "does not exist", "37 S, 145 N": "north or south", "37° 61′ S, 145 E": "too many", "1 2 3": "a latitude and a longitude",
		"37.8 S, 145 E, 30 m": "37.8 S, 145 E", "": "a latitude and a longitude", ",": "37.8 S, 145 E", "NaN, 1": "37.8 S",
	} {
		if a, b, err := readWhereabouts(typed); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, %v, %v", typed, a.Value, b.Value, err)
		}
	}
}

func FuzzWhereabouts(f *testing.F) {
	for _, text := range []string{"37.8 S, 145 E", "37°48'36\"S 144°57'36\"E", "-37,8 145", "N", "°", "1,2,3", "--1 −−2", "1′2″"} {
		f.Add(text)
	}
	f.Fuzz(func(t *testing.T, text string) {
		latitude, longitude, err := readWhereabouts(text)
		if err != nil {
			return
		}
		if !(math.Abs(latitude.Value) <= 90 && math.Abs(longitude.Value) <= 180) {
			t.Fatalf("%q: %v, %v", text, latitude.Value, longitude.Value)
		}
		// What is shown of it reads back as the same place, to four decimals.
		const shownTo = 0.5e-4 + 1e-9
		again, other, err := readWhereabouts(shownWhereabouts(latitude, longitude))
		if err != nil || math.Abs(again.Value-latitude.Value) > shownTo || math.Abs(other.Value-longitude.Value) > shownTo {
			t.Fatalf("%q is shown as %q, which reads %v, %v, %v", text, shownWhereabouts(latitude, longitude), again.Value, other.Value, err)
		}
	})
}
