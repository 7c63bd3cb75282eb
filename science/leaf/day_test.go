package leaf

import (
	"math"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"velamen/science/air"
)

func day(t rapid.TB, s Stomata, widthM float64, c Climate) Day {
	t.Helper()
	d, err := DailyLoss(s, widthM, c)
	if err != nil {
		t.Fatal(err)
	}
	return d
}

// A day row by row through the public functions gives what the loop gives.
func TestHoursAgreeWithSingleLeaves(t *testing.T) {
	for class := range classCount {
		s := stomata(t, class, true)
		c := day24(250)
		got := make([]float64, c.Hours())
		if err := HourlyLossGM2(got, s, 0.06, c); err != nil {
			t.Fatal(err)
		}
		var sum, light, hottest float64
		for h := range got {
			g := conductance(t, s, c.PPFD[h], air.VPDKPa(c.AirC[h], c.RHPercent[h]), h >= 15 && h < 18)
			r, err := PenmanMonteith(Leaf{WidthM: 0.06, StomatalMol: g - s.ClosedMol, CuticularMol: s.ClosedMol}, Surroundings{
				AirC: c.AirC[h], RHPercent: c.RHPercent[h], PressureKPa: c.PressureKPa,
				SpeedMS: c.SpeedMS[h], AbsorbedWM2: c.PPFD[h] * c.LightHeatJPerUmol,
			})
			if err != nil {
				t.Fatal(err)
			}
			near(t, "hour", got[h]/r.TranspirationGPerM2H, 1, 1e-12)
			sum += r.TranspirationGPerM2H
			if c.PPFD[h] > 0 {
				light += r.TranspirationGPerM2H
			}
			hottest = max(hottest, r.LeafC)
		}
		d := day(t, s, 0.06, c)
		near(t, "day", d.LossGM2/sum, 1, 1e-12)
		near(t, "light part", d.LightLossGM2/light, 1, 1e-12)
		near(t, "dark part", d.DarkLossGM2, sum-light, 1e-9)
		near(t, "hottest", d.HottestC, hottest, 1e-9)
		if d.HottestHour != 11 && d.HottestHour != 12 {
			t.Errorf("hottest in hour %d", d.HottestHour)
		}
	}
}

// The closed form over a day against the full solution of every hour.
func TestDayAgreesWithSolve(t *testing.T) {
	for class := range classCount {
		s := stomata(t, class, false)
		c := day24(300)
		var want float64
		for h := range c.Hours() {
			g := conductance(t, s, c.PPFD[h], air.VPDKPa(c.AirC[h], c.RHPercent[h]), false)
			want += mustSolve(t, Leaf{WidthM: 0.08, StomatalMol: g - s.ClosedMol, CuticularMol: s.ClosedMol}, Surroundings{
				AirC: c.AirC[h], RHPercent: c.RHPercent[h], PressureKPa: c.PressureKPa,
				SpeedMS: c.SpeedMS[h], AbsorbedWM2: c.PPFD[h] * c.LightHeatJPerUmol,
			}).TranspirationGPerM2H
		}
		// Measured: within 0.5 % for every class.
		near(t, classes[class].Name, day(t, s, 0.08, c).LossGM2/want, 1, 0.005)
	}
}

// The sizes of things, as figures of this package to look at: a day of 28 °C
// and 45 %, a night of 18 °C and 65 %, twelve hours each. Nothing outside is
// known to check them against. What must hold is the pattern: CAM loses most at
// night, C3 by day, and a thin C3 leaf more than a CAM leaf; light drives loss
// in C3 far more than in CAM; moister air spares both.
func TestPatternOfLossByPhotosynthesis(t *testing.T) {
	moister := day24(200)
	for h := range moister.RHPercent {
		moister.RHPercent[h] += 10
	}
	change := map[Class]float64{}
	total := map[Class]float64{}
	for class := Phalaenopsis; class < classCount; class++ {
		s := stomata(t, class, false)
		usual, dim, moist := day(t, s, 0.06, day24(200)), day(t, s, 0.06, day24(100)), day(t, s, 0.06, moister)
		total[class] = usual.LossGM2
		change[class] = dim.LossGM2/usual.LossGM2 - 1
		t.Logf("%-34s %4.0f g/m² (light %4.0f, dark %4.0f), hottest %.1f °C; light halved %+.0f %%, %+.1f K; +10 %% RH %+.0f %%",
			classes[class].Name, usual.LossGM2, usual.LightLossGM2, usual.DarkLossGM2, usual.HottestC,
			100*change[class], dim.HottestC-usual.HottestC, 100*(moist.LossGM2/usual.LossGM2-1))
		isCAM := classes[class].Photosynthesis == CAM
		if isCAM != (usual.DarkLossGM2 > usual.LightLossGM2) {
			t.Errorf("%s: light %v, dark %v", classes[class].Name, usual.LightLossGM2, usual.DarkLossGM2)
		}
		if moist.LossGM2 >= usual.LossGM2 || dim.HottestC >= usual.HottestC {
			t.Errorf("%s: moister air %v of %v g/m²; dim %v of %v °C", classes[class].Name, moist.LossGM2, usual.LossGM2, dim.HottestC, usual.HottestC)
		}
	}
	if !(total[ThinC3] > total[Phalaenopsis] && change[ThinC3] < change[Phalaenopsis]) {
		t.Errorf("totals %v, changes by dimmer light %v", total, change)
	}
}

// A series is scaled to 24 hours and does not depend on how often it repeats.
func TestDayIsPerDay(t *testing.T) {
	s := stomata(t, Cymbidium, false)
	one, week := day(t, s, 0.02, day24(200)), day(t, s, 0.02, repeated(day24(200), 7))
	near(t, "week per day", week.LossGM2/one.LossGM2, 1, 1e-12)
	if week.HottestHour != one.HottestHour {
		t.Errorf("hottest hours %d and %d", one.HottestHour, week.HottestHour)
	}
}

// Light that goes on to the end of the series has no late afternoon.
func TestNoDuskNoLateAfternoon(t *testing.T) {
	watered, dry := stomata(t, Phalaenopsis, true), stomata(t, Phalaenopsis, false)
	c := day24(200)
	if day(t, watered, 0.08, c).LightLossGM2 <= day(t, dry, 0.08, c).LightLossGM2 {
		t.Error("the late afternoon costs nothing")
	}
	for h := range c.PPFD {
		c.PPFD[h] = 150
	}
	if a, b := day(t, watered, 0.08, c), day(t, dry, 0.08, c); a != b {
		t.Errorf("endless light: %+v, %+v", a, b)
	}
}

func TestHourlyLossDoesNotAllocate(t *testing.T) {
	s := stomata(t, Phalaenopsis, true)
	c := day24(200)
	dst := make([]float64, c.Hours())
	if n := testing.AllocsPerRun(100, func() { _ = HourlyLossGM2(dst, s, 0.08, c) }); n != 0 {
		t.Errorf("%v allocations", n)
	}
}

func TestClimateErrors(t *testing.T) {
	tests := []struct {
		name   string
		change func(*Climate)
		want   string
	}{
		{"empty", func(c *Climate) { *c = Climate{LightHeatJPerUmol: 0.2, PressureKPa: 101} }, "has no hours"},
		{"uneven", func(c *Climate) { c.PPFD = c.PPFD[1:] }, "24 temperatures, 24 humidities, 23 light values and 24 air speeds"},
		{"pressure", func(c *Climate) { c.PressureKPa = 0 }, "air pressure 0 kPa"},
		{"light heat", func(c *Climate) { c.LightHeatJPerUmol = 5 }, "absorbed energy of light 5 J/µmol"},
		{"temperature", func(c *Climate) { c.AirC[3] = math.NaN() }, "hour 3: leaf: air temperature NaN °C"},
		{"humidity", func(c *Climate) { c.RHPercent[4] = 101 }, "hour 4: leaf: relative humidity 101 %"},
		{"light", func(c *Climate) { c.PPFD[5] = -1 }, "hour 5: leaf: light -1 µmol/(m² s)"},
		{"absorbed", func(c *Climate) { c.PPFD[6] = 2000; c.LightHeatJPerUmol = 0.6 }, "hour 6: leaf: absorbed light 1200 W/m²"},
		{"speed", func(c *Climate) { c.SpeedMS[7] = 99 }, "hour 7: leaf: air speed 99 m/s"},
	}
	s := stomata(t, ThinC3, false)
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			c := day24(100)
			test.change(&c)
			err := HourlyLossGM2(make([]float64, c.Hours()), s, 0.05, c)
			_, dayErr := DailyLoss(s, 0.05, c)
			for _, err := range []error{err, dayErr} {
				if err == nil || !strings.Contains(err.Error(), test.want) {
					t.Errorf("error %v, want %q", err, test.want)
				}
			}
		})
	}
	if err := HourlyLossGM2(make([]float64, 3), s, 0.05, day24(100)); err == nil {
		t.Error("three places for a day")
	}
}
