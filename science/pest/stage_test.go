package pest_test

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"velamen/internal/checktable"
	"velamen/science/basis"
	"velamen/science/pest"
)

func exactly(value float64, unit string) basis.Value {
	return basis.Exactly(value, unit, basis.Given, "")
}

func between(low, value, high float64, unit string) basis.Value {
	return basis.Assumed(value, low, high, unit)
}

func stage(lowerC, degreeDays float64) pest.Stage {
	return pest.Stage{LowerC: exactly(lowerC, "°C"), DegreeDays: exactly(degreeDays, "°C·d")}
}

func TestDaysOfPublishedStages(t *testing.T) {
	rows := 0
	for _, row := range checktable.Rows(t, "stage_days.csv") {
		s := stage(row.Number(t, "lower_c"), row.Number(t, "degree_days"))
		for column, meanC := range map[string]float64{"days_15c": 15, "days_20c": 20, "days_25c": 25} {
			if row[column] == "" {
				continue
			}
			rows++
			d, err := s.DaysAt(meanC)
			if err != nil {
				t.Fatal(err)
			}
			if row[column] == "paused" {
				if !d.Paused || d.Days != 0 {
					t.Errorf("%s %s at %v °C: %+v, want paused", row["pest"], row["stage"], meanC, d)
				}
				continue
			}
			// A constant itself rounded for print moves the days as well.
			tolerance := row.Number(t, "printed_to")/2 + row.Number(t, "constant_to")/2/(meanC-row.Number(t, "lower_c")) + 1e-9
			if want := row.Number(t, column); d.Paused || !near(d.Days, want, tolerance) {
				t.Errorf("%s %s at %v °C: %.3f days, printed %v (%s)", row["pest"], row["stage"], meanC, d.Days, want, row["source"])
			}
		}
	}
	if rows != 23*3-1 {
		t.Errorf("checked %d cells, want %d", rows, 23*3-1)
	}
}

func TestDaysAgainstObservedDevelopment(t *testing.T) {
	for _, row := range checktable.Rows(t, "stage_days_observed.csv") {
		d, err := stage(row.Number(t, "lower_c"), row.Number(t, "degree_days")).DaysAt(row.Number(t, "mean_c"))
		if err != nil {
			t.Fatal(err)
		}
		observed := row.Number(t, "observed_days")
		if !near(d.Days, observed, 0.05*observed) {
			t.Errorf("%s at %s °C: %.2f days, observed %v (%s)", row["pest"], row["mean_c"], d.Days, observed, row["source"])
		}
	}
}

// Two-spotted mite, generation minus egg, computed independently; printed to
// 0.1 day. Constants: Egypt. Acad. J. Biol. Sci. A, article 12844.
func TestTimeFromHatchingToLaying(t *testing.T) {
	egg, generation := stage(12.87, 63.35), stage(12.50, 146.48)
	for meanC, want := range map[float64]float64{15: 28.9, 18: 14.3, 20: 10.6, 22: 8.5, 25: 6.5, 28: 5.3} {
		e, err1 := egg.DaysAt(meanC)
		g, err2 := generation.DaysAt(meanC)
		if err1 != nil || err2 != nil || !near(g.Days-e.Days, want, 0.05+1e-9) {
			t.Errorf("at %v °C: %.3f days (%v, %v), want %v", meanC, g.Days-e.Days, err1, err2, want)
		}
	}
}

// How long to keep watching, whole days at 15, 20 and 25 °C, computed
// independently from the constants in stage_days.csv.
func TestOneGenerationOfWatching(t *testing.T) {
	for _, row := range []struct {
		pest               string
		lowerC, degreeDays float64
		want               [3]float64
	}{
		{"armoured scale", 10.6, 720, [3]float64{164, 77, 50}},
		{"citrus mealybug", 8.5, 666.67, [3]float64{103, 58, 40}},
		{"long-tailed mealybug", 8.0, 422.1, [3]float64{60, 35, 25}},
		{"two-spotted mite", 12.5, 146.48, [3]float64{59, 20, 12}},
		{"fungus gnat", 7, 287, [3]float64{36, 22, 16}},
		{"melon aphid", 6.2, 108.9, [3]float64{12, 8, 6}},
	} {
		for i, meanC := range []float64{15, 20, 25} {
			d, err := stage(row.lowerC, row.degreeDays).DaysAt(meanC)
			if err != nil || math.Round(d.Days) != row.want[i] {
				t.Errorf("%s at %v °C: %.2f days, %v; want %v", row.pest, meanC, d.Days, err, row.want[i])
			}
		}
	}
}

// Papaya mealybug: threshold 13.9 °C, constant 294 °C·d; at 15 °C the formula
// says 267 days, while eggs hatched after 27.5 days and the young then stalled
// (J. Econ. Entomol. 101:1798–1804).
func TestNearTheThresholdNoDateIsPromised(t *testing.T) {
	d, err := stage(13.9, 294).DaysAt(15)
	if err != nil || !d.Paused || d.Days != 0 || d.LongestDays != 0 {
		t.Errorf("at 15 °C: %+v, %v", d, err)
	}
	if d, err := stage(13.9, 294).DaysAt(15.9); err != nil || d.Paused || !near(d.Days, 147, 1e-6) {
		t.Errorf("at exactly two kelvin above: %+v, %v", d, err)
	}
}

func TestRangesBecomeShortestAndLongest(t *testing.T) {
	s := pest.Stage{
		LowerC:     between(11, 12, 14, "°C"),
		UpperC:     between(28, 30, 32, "°C"),
		DegreeDays: basis.Value{Value: 100, Low: 90, High: 120, Unit: "°C·d", Grade: basis.Published, Source: "a paper"},
	}
	d, err := s.DaysAt(20) // 90/9, 100/8, 120/6
	if err != nil || !near(d.ShortestDays, 10, 1e-9) || !near(d.Days, 12.5, 1e-9) || !near(d.LongestDays, 20, 1e-9) {
		t.Errorf("at 20 °C: %+v, %v", d, err)
	}
	if d.Grade != basis.Assumption {
		t.Errorf("grade %v, want that of the assumed threshold", d.Grade)
	}
	// Above every cut-off: 90/(32−11), 100/(30−12), 120/(28−14).
	d, err = s.DaysAt(35)
	if err != nil || !near(d.ShortestDays, 90./21, 1e-9) || !near(d.Days, 100./18, 1e-9) || !near(d.LongestDays, 120./14, 1e-9) {
		t.Errorf("at 35 °C: %+v, %v", d, err)
	}
	d, err = s.DaysAt(14) // not paused, yet on the highest threshold
	if err != nil || d.Paused || !d.Unbounded || d.LongestDays != 0 {
		t.Errorf("at 14 °C: %+v, %v", d, err)
	}
}

func TestWarmerNeverTakesLonger(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := drawStage(t, "stage", 20, 800)
		meanC := rapid.Float64Range(0, 40).Draw(t, "mean")
		cool, err1 := s.DaysAt(meanC)
		warm, err2 := s.DaysAt(meanC + rapid.Float64Range(0, 15).Draw(t, "warmer"))
		if err1 != nil || err2 != nil {
			t.Fatal(err1, err2)
		}
		if cool.Paused {
			return
		}
		if warm.Paused || warm.Days > cool.Days+rounding || warm.ShortestDays > cool.ShortestDays+rounding ||
			(!cool.Unbounded && (warm.Unbounded || warm.LongestDays > cool.LongestDays+rounding)) {
			t.Fatalf("cool %+v, warm %+v", cool, warm)
		}
		if cool.ShortestDays > cool.Days+rounding || (!cool.Unbounded && cool.Days > cool.LongestDays+rounding) {
			t.Fatalf("range out of order: %+v", cool)
		}
	})
}

// drawStage draws a stage with ranges.
func drawStage(t *rapid.T, name string, least, most float64) pest.Stage {
	lower := rapid.Float64Range(5, 15).Draw(t, name+" threshold")
	needs := rapid.Float64Range(least, most).Draw(t, name+" degree-days")
	s := pest.Stage{
		LowerC: between(lower-rapid.Float64Range(0, 2).Draw(t, name+" lower by"), lower,
			lower+rapid.Float64Range(0, 2).Draw(t, name+" higher by"), "°C"),
		DegreeDays: between(needs*rapid.Float64Range(0.85, 1).Draw(t, name+" fewer"), needs,
			needs*rapid.Float64Range(1, 1.15).Draw(t, name+" more"), "°C·d"),
	}
	if rapid.Bool().Draw(t, name+" has an upper threshold") {
		s.UpperC = between(28, 30, 33, "°C")
	}
	return s
}

func TestStageRefusesWhatCannotBe(t *testing.T) {
	good := stage(10, 100)
	for name, spoil := range map[string]func(*pest.Stage){
		"no lower threshold":       func(s *pest.Stage) { s.LowerC = basis.Value{} },
		"no degree-days":           func(s *pest.Stage) { s.DegreeDays = basis.Value{} },
		"zero degree-days":         func(s *pest.Stage) { s.DegreeDays = exactly(0, "°C·d") },
		"absurd lower threshold":   func(s *pest.Stage) { s.LowerC = between(10, 12, 70, "°C") },
		"absurd low end":           func(s *pest.Stage) { s.LowerC = between(-50, 12, 15, "°C") },
		"upper below lower":        func(s *pest.Stage) { s.UpperC = exactly(9, "°C") },
		"upper equal to lower":     func(s *pest.Stage) { s.UpperC = exactly(10, "°C") },
		"upper threshold no basis": func(s *pest.Stage) { s.UpperC.Value = 30 },
	} {
		bad := good
		spoil(&bad)
		if bad.Check() == nil {
			t.Errorf("%s: accepted", name)
		}
		if _, err := bad.DaysAt(20); err == nil {
			t.Errorf("%s: days given", name)
		}
	}
	for _, meanC := range []float64{math.NaN(), 61, -41, math.Inf(1)} {
		if _, err := good.DaysAt(meanC); err == nil {
			t.Errorf("mean of %v °C accepted", meanC)
		}
	}
}

func TestEveryParameterHasABasis(t *testing.T) {
	for _, p := range pest.Parameters() {
		if err := p.Value.Check(); err != nil || p.Name == "" {
			t.Errorf("%q: %v", p.Name, err)
		}
	}
}
