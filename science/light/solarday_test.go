package light_test

import (
	"fmt"
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/light"
)

var midMonth = [12]int{15, 46, 74, 105, 135, 166, 196, 227, 258, 288, 319, 349}

var months = [12]string{"jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec"}

func ExampleOnDayOfYear() {
	// FAO-56 example 8: 20° S on 3 September.
	day, _ := light.OnDayOfYear(-20, 246)
	fmt.Printf("Ra %.1f MJ/m², N %.1f h\n", day.ExtraterrestrialMJ, day.DaylightHours)
	// Output: Ra 32.2 MJ/m², N 11.7 h
}

func TestFAO56WorkedExamples(t *testing.T) {
	const (
		minutes = 1.0 / 60
		pyeto   = "published, in the public test file test_fao.py of PyETo"
		memory  = "from memory"
	)
	bangkok, rio := 13+44*minutes, -(22 + 54*minutes)
	at := func(lat float64, day int) light.SolarDay { return ok(light.OnDayOfYear(lat, day)) }
	example8 := at(-20, 246)
	phi := -20 * math.Pi / 180
	rioMay := at(rio, 135)
	uccle := at(50+48*minutes, 187)
	april := at(bangkok, 105)

	for _, check := range []struct {
		example, quantity    string
		got, want, tolerance float64 // half a unit of the last digit printed, unless said otherwise
		source               string
	}{
		{"7", "latitude of Bangkok, rad", bangkok * math.Pi / 180, 0.240, 0.0005, memory},
		{"7", "latitude of Rio, rad", rio * math.Pi / 180, -0.400, 0.0005, memory},
		{"8", "dr", example8.InverseDistance, 0.985, 0.0005, "published, transcription of the example"},
		{"8", "δ", example8.DeclinationRad, 0.120, 0.0005, "published, transcription of the example"},
		{"8", "ωs", example8.SunsetHourAngleRad, 1.527, 0.0005, "published, transcription of the example"},
		{"8", "sinφ sinδ", math.Sin(phi) * math.Sin(example8.DeclinationRad), -0.041, 0.0005, "published, transcription of the example"},
		// The example multiplies rounded figures: 0.9337 is printed as 0.933.
		{"8", "cosφ cosδ", math.Cos(phi) * math.Cos(example8.DeclinationRad), 0.933, 0.001, "published, transcription of the example"},
		{"8", "Ra", example8.ExtraterrestrialMJ, 32.2, 0.05, "published, transcription of the example"},
		{"8", "Ra to five digits", example8.ExtraterrestrialMJ, 32.194, 0.0005, "computed independently"},
		{"9", "N", example8.DaylightHours, 11.7, 0.05, pyeto},
		{"9", "N to six digits", example8.DaylightHours, 11.66559, 0.000005, "published, NCL function page daylight_fao56"},
		{"10", "Ra", rioMay.ExtraterrestrialMJ, 25.1, 0.05, pyeto},
		{"10", "N", rioMay.DaylightHours, 10.9, 0.05, pyeto},
		{"10", "Rs", ok(rioMay.GlobalFromSunshineMJ(7.1)), 14.5, 0.05 + 0.005, pyeto + "; 14.45 is printed as 14.5"},
		{"11", "Rso", ok(rioMay.ClearSkyMJ(0)), 18.8, 0.05, pyeto},
		// 0.77 × 14.5 is 11.165; the printed 11.1 was cut off, not rounded.
		{"12", "Rns", ok(light.NetShortwaveMJ(14.5, 0.23)), 11.1, 0.1, pyeto},
		{"15", "Ra", at(45+43*minutes, 196).ExtraterrestrialMJ, 40.6, 0.05, pyeto + "; place from memory"},
		{"15", "Rs from temperature", ok(at(45+43*minutes, 196).GlobalFromTemperatureMJ(14.8, 26.6, false)), 22.3, 0.05, pyeto},
		{"17", "Ra", april.ExtraterrestrialMJ, 38.06, 0.005, memory},
		{"17", "N", april.DaylightHours, 12.31, 0.005, memory},
		{"17", "Rs", ok(april.GlobalFromSunshineMJ(8.5)), 22.65, 0.0051, memory + "; 22.655 lies on the edge of the rounding"},
		{"17", "Rso", ok(april.ClearSkyMJ(2)), 28.54, 0.0061, memory + "; 28.545 at 2 m"},
		{"18", "Ra", uccle.ExtraterrestrialMJ, 41.09, 0.005, pyeto},
		{"18", "Rso", ok(uccle.ClearSkyMJ(100)), 30.90, 0.005, pyeto},
		{"18", "N", uccle.DaylightHours, 16.1, 0.05, memory},
		// The example divides by the rounded 16.1 h, worth 0.007.
		{"18", "Rs", ok(uccle.GlobalFromSunshineMJ(9.25)), 22.07, 0.005 + 0.007, memory},
	} {
		near(t, fmt.Sprintf("FAO-56 example %s (%s): %s", check.example, check.source, check.quantity), check.got, check.want, check.tolerance)
	}
}

// FAO-56 example 19 (from memory): 16°13' N 16°15' W, 1 October, 14 to 15 h,
// clock of 15° W, 8 m.
func TestFAO56Example19Hourly(t *testing.T) {
	site := light.Site{LatDeg: 16 + 13./60, LonDeg: -(16 + 15./60), ElevationM: 8}
	span := light.ClockSpan{StartHour: 14, EndHour: 15, UTCOffsetHours: -1}
	// Printed to 0.001.
	near(t, "Ra of the hour", ok(light.ExtraterrestrialBetweenMJ(site, 274, span)), 3.543, 0.0005)
	near(t, "Rso of the hour", ok(light.ClearSkyBetweenMJ(site, 274, span)), 2.658, 0.0005)
	// The bare formula gives −3.75 for the hour around 02:30.
	night := light.ClockSpan{StartHour: 2, EndHour: 3, UTCOffsetHours: -1}
	near(t, "Ra at night", ok(light.ExtraterrestrialBetweenMJ(site, 274, night)), 0, 0)
}

func TestFAO56Annex(t *testing.T) {
	for file, quantity := range map[string]func(light.SolarDay) float64{
		"extraterrestrial.csv": func(d light.SolarDay) float64 { return d.ExtraterrestrialMJ },
		"daylight.csv":         func(d light.SolarDay) float64 { return d.DaylightHours },
	} {
		for _, r := range rows(t, file) {
			lat := r.Number(t, "latitude_deg")
			for m, month := range months {
				near(t, file+" at "+r["latitude_deg"]+"° in "+month, quantity(ok(light.OnDayOfYear(lat, midMonth[m]))),
					r.Number(t, month), r.Number(t, "tolerance"))
			}
		}
	}
}

func TestPolarDayAndNight(t *testing.T) {
	for _, check := range []struct {
		lat          float64
		day          int
		hours        float64
		radiates     bool
		circumstance string
	}{
		{90, 172, 24, true, "midsummer at the north pole"},
		{90, 355, 0, false, "midwinter at the north pole"},
		{-90, 172, 0, false, "midwinter at the south pole"},
		{-90, 355, 24, true, "midsummer at the south pole"},
		{70, 172, 24, true, "midsummer at 70° N"},
		{70, 355, 0, false, "midwinter at 70° N"},
	} {
		d := ok(light.OnDayOfYear(check.lat, check.day))
		near(t, check.circumstance+": hours", d.DaylightHours, check.hours, 0)
		if (d.ExtraterrestrialMJ > 0) != check.radiates {
			t.Errorf("%s: Ra %v", check.circumstance, d.ExtraterrestrialMJ)
		}
	}
	dark := ok(light.OnDayOfYear(80, 355))
	near(t, "radiation of a polar night", ok(dark.GlobalFromSunshineMJ(0)), 0, 0)
}

func TestSolarDayLaws(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		lat := rapid.Float64Range(-90, 90).Draw(t, "latitude")
		day := rapid.IntRange(1, 366).Draw(t, "day")
		d := ok(light.OnDayOfYear(lat, day))
		if !(d.DaylightHours >= 0 && d.DaylightHours <= 24 && d.ExtraterrestrialMJ >= 0 && d.ExtraterrestrialMJ < 50) {
			t.Fatalf("N %v, Ra %v", d.DaylightHours, d.ExtraterrestrialMJ)
		}
		// What one hemisphere gains in hours the other loses.
		other := ok(light.OnDayOfYear(-lat, day))
		if sum := d.DaylightHours + other.DaylightHours; math.Abs(sum-24) > 1e-9 {
			t.Fatalf("day lengths of both hemispheres add up to %v h", sum)
		}
		// The hours of any clock add up to the day.
		site := light.Site{LatDeg: lat, LonDeg: rapid.Float64Range(-180, 180).Draw(t, "longitude")}
		offset := rapid.Float64Range(-12, 14).Draw(t, "offset")
		var sum float64
		for h := range 24 {
			sum += ok(light.ExtraterrestrialBetweenMJ(site, day, light.ClockSpan{StartHour: float64(h), EndHour: float64(h + 1), UTCOffsetHours: offset}))
		}
		if math.Abs(sum-d.ExtraterrestrialMJ) > 1e-9 {
			t.Fatalf("hours add up to %v, the day is %v", sum, d.ExtraterrestrialMJ)
		}
	})
}

func TestSolarDayRefusesWhatCannotBe(t *testing.T) {
	day := ok(light.OnDayOfYear(40, 196))
	for name, err := range map[string]error{
		"latitude 91":           second(light.OnDayOfYear(91, 1)),
		"latitude NaN":          second(light.OnDayOfYear(math.NaN(), 1)),
		"day 0":                 second(light.OnDayOfYear(0, 0)),
		"day 367":               second(light.OnDayOfYear(0, 367)),
		"more sun than day":     second(day.GlobalFromSunshineMJ(15)),
		"mountain of 7000 m":    second(day.ClearSkyMJ(7000)),
		"minimum above maximum": second(day.GlobalFromTemperatureMJ(20, 10, true)),
		"albedo 1.2":            second(light.NetShortwaveMJ(10, 1.2)),
		"span backwards":        second(light.ExtraterrestrialBetweenMJ(light.Site{}, 1, light.ClockSpan{StartHour: 5, EndHour: 4})),
		"longitude 200":         second(light.ExtraterrestrialBetweenMJ(light.Site{LonDeg: 200}, 1, light.ClockSpan{EndHour: 4})),
	} {
		if err == nil {
			t.Errorf("%s was accepted", name)
		}
	}
}

func second[T any](_ T, err error) error { return err }

func TestCoastalAirSwingsLessForTheSameSun(t *testing.T) {
	day := ok(light.OnDayOfYear(40, 196))
	inland, coast := ok(day.GlobalFromTemperatureMJ(15, 25, false)), ok(day.GlobalFromTemperatureMJ(15, 25, true))
	near(t, "coast over interior", coast/inland, 0.19/0.16, 1e-12) // FAO-56 Eq. 50
}
