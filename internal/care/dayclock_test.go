package care_test

import (
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/light"
)

// Days by their first instant and length. The changes of the clocks are those
// of the IANA time zone database: in 2026 on 29 March and 25 October in Berlin,
// on 5 April and 4 October in Melbourne, on 5 April and 4 October by half an hour
// on Lord Howe Island; Cairo changed at midnight on 24 April 2026, Santiago on
// 6 September 2026 at midnight.
func TestDaysBeginByTheClockOfThePlace(t *testing.T) {
	for _, c := range []struct {
		zone, date, begin string
		hours             float64
	}{
		{"Europe/Berlin", "2026-03-28", "2026-03-28T00:00:00+01:00", 24},
		{"Europe/Berlin", "2026-03-29", "2026-03-29T00:00:00+01:00", 23},
		{"Europe/Berlin", "2026-10-25", "2026-10-25T00:00:00+02:00", 25},
		{"Australia/Melbourne", "2026-04-05", "2026-04-05T00:00:00+11:00", 25},
		{"Australia/Melbourne", "2026-10-04", "2026-10-04T00:00:00+10:00", 23},
		{"Australia/Lord_Howe", "2026-04-05", "2026-04-05T00:00:00+11:00", 24.5},
		{"Australia/Lord_Howe", "2026-10-04", "2026-10-04T00:00:00+10:30", 23.5},
		{"America/Santiago", "2026-09-06", "2026-09-06T01:00:00-03:00", 23},
		{"America/Santiago", "2026-04-04", "2026-04-04T00:00:00-03:00", 25},
		{"Asia/Kolkata", "2026-06-01", "2026-06-01T00:00:00+05:30", 24},
		{"Pacific/Kiritimati", "2026-06-01", "2026-06-01T00:00:00+14:00", 24},
		{"Pacific/Pago_Pago", "2026-06-01", "2026-06-01T00:00:00-11:00", 24},
		{"UTC", "2026-06-01", "2026-06-01T00:00:00Z", 24},
	} {
		zone, err := time.LoadLocation(c.zone)
		if err != nil {
			t.Fatal(err)
		}
		date, _ := time.Parse(time.DateOnly, c.date)
		want, err := time.Parse(time.RFC3339, c.begin)
		if err != nil {
			t.Fatal(err)
		}
		k := care.DayClock{Zone: zone}
		got := k.Begin(date)
		if !got.Equal(want) {
			t.Errorf("%s in %s begins at %s, want %s", c.date, c.zone, got.In(zone).Format(time.RFC3339), c.begin)
		}
		if hours := k.Begin(date.AddDate(0, 0, 1)).Sub(got).Hours(); hours != c.hours {
			t.Errorf("%s in %s has %g hours, want %g", c.date, c.zone, hours, c.hours)
		}
		if d := k.DateOf(got); !d.Equal(date) {
			t.Errorf("%s in %s begins on %s", c.date, c.zone, d.Format(time.DateOnly))
		}
		if d := k.DateOf(got.Add(-time.Second)); !d.Equal(date.AddDate(0, 0, -1)) {
			t.Errorf("before %s in %s it is %s", c.date, c.zone, d.Format(time.DateOnly))
		}
	}
}

// The hours of a day that the clocks shorten or lengthen are 23 or 25, each of
// the readings counts once, and the day of the plants lies around noon.
func TestDaysOfChangingClocksAreSummarisedWhole(t *testing.T) {
	zone, err := time.LoadLocation("Australia/Melbourne")
	if err != nil {
		t.Fatal(err)
	}
	k := melbourneClock(zone)
	for date, hours := range map[string]int{"2026-10-04": 23, "2026-04-05": 25, "2026-10-05": 24} {
		day, _ := time.Parse(time.DateOnly, date)
		begin := k.Begin(day)
		s := care.SensorSeries{Source: "a", Quantity: care.AirTemperature}
		for m := -30; m < 60*hours+30; m += 10 {
			s.At, s.Value = append(s.At, begin.Add(time.Duration(m)*time.Minute).Unix()), append(s.Value, 20)
		}
		list, sum := k.SummariseDay(day, []care.SensorSeries{s})
		if len(list) != hours || sum.Lit.TempC.Count+sum.Dark.TempC.Count != 6*hours {
			t.Errorf("%s has %d hours and %d readings, want %d and %d", date, len(list), sum.Lit.TempC.Count+sum.Dark.TempC.Count, hours, 6*hours)
		}
		if date == "2026-10-04" && (sum.Lit.Hours < 12 || sum.Lit.Hours > 13) {
			t.Errorf("%d hours of daylight", sum.Lit.Hours)
		}
		for _, h := range list {
			clock := h.Start.In(zone).Hour()
			if h.Lit && (clock < 6 || clock > 19) || !h.Lit && clock > 8 && clock < 17 {
				t.Errorf("%s lit: %v", h.Start.In(zone), h.Lit)
			}
		}
	}
}

// Lamps around noon decide under lamps.
func TestLampHoursMakeTheDay(t *testing.T) {
	k := care.DayClock{Zone: time.UTC, Lamps: 14}
	day := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	s := care.SensorSeries{Source: "a", Quantity: care.AirHumidity}
	for h := range 24 {
		s.At, s.Value = append(s.At, day.Add(time.Duration(h)*time.Hour).Unix()), append(s.Value, 50)
	}
	list, _ := k.SummariseDay(day, []care.SensorSeries{s})
	for h, one := range list {
		if one.Lit != (h >= 5 && h < 19) {
			t.Errorf("hour %d lit: %v", h, one.Lit)
		}
	}
}

func TestSpikesAreLeftOut(t *testing.T) {
	series := func(q care.Quantity, values ...float64) care.SensorSeries {
		s := care.SensorSeries{Quantity: q}
		for i, v := range values {
			s.At, s.Value = append(s.At, int64(600*i)), append(s.Value, v)
		}
		return s
	}
	for name, c := range map[string]struct {
		s    care.SensorSeries
		want int
	}{
		"a spike":                {series(care.AirTemperature, 20, 20.5, 45, 20.5, 20), 1},
		"a cold one":             {series(care.AirTemperature, 20, 20.5, -20, 20.5, 20), 1},
		"a step that stays":      {series(care.AirTemperature, 20, 20, 35, 35, 35), 0},
		"a steep rise":           {series(care.AirTemperature, 10, 20, 30, 40), 0},
		"a window opened":        {series(care.AirHumidity, 60, 60, 40, 58), 0},
		"a humidity of zero":     {series(care.AirHumidity, 60, 60, 0, 58), 1},
		"clouds":                 {series(care.LeafLight, 900, 100, 900), 0},
		"at the ends":            {series(care.AirTemperature, 45, 20, 20, 45), 0},
		"readings hours apart":   {care.SensorSeries{Quantity: care.AirTemperature, At: []int64{0, 7200, 14400}, Value: []float64{10, 30, 10}}, 0},
		"between unlike ones":    {series(care.AirTemperature, 10, 30, 20), 0},
		"two quantities of none": {care.SensorSeries{Quantity: care.AirTemperature}, 0},
	} {
		if got := c.s.Suspects(); len(got) != c.want {
			t.Errorf("%s: %v", name, got)
		}
	}
}

func melbourneClock(zone *time.Location) care.DayClock {
	return care.DayClock{Zone: zone, Site: &light.Site{LatDeg: -37.8, LonDeg: 145}}
}
