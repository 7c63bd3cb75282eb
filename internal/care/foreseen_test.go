package care_test

import (
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
)

func forecast(space string, from time.Time, hours int, tempC float64) care.Entry {
	f := care.Foreseen{Space: space, File: "week.csv", Start: from}
	for range hours {
		f.TempC, f.RHPercent = append(f.TempC, tempC), append(f.RHPercent, 60)
	}
	return care.Entry{ID: "01900000-0000-7000-8000-000000000001", At: from, Kind: care.ForecastIn, Detail: care.Detail{Foreseen: &f}}
}

// A forecast takes the place of the one before it for the same space; one without
// a space is for those under the open sky.
func TestForecastsTakeEachOthersPlace(t *testing.T) {
	at := time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC)
	c := care.NewCollection()
	for _, s := range []care.Space{{Name: "Shelf", Kind: care.LampShelf}, {Name: "terrace", Kind: care.Terrace}} {
		c.Apply(care.Entry{Kind: care.SpaceSet, Detail: care.Detail{Space: &s}})
	}
	c.Apply(forecast("", at, 10, 15))
	c.Apply(forecast("shelf", at, 10, 20))
	c.Apply(forecast("SHELF", at, 12, 22))
	for space, want := range map[string]float64{"Shelf": 22, "terrace": 15, "attic": 0} {
		f, ok := c.ForeseenIn(space)
		if ok != (want > 0) || ok && f.TempC[0] != want {
			t.Errorf("%s: %+v, want %g °C", space, f, want)
		}
	}
	f, _ := c.ForeseenIn("shelf")
	if got := f.Hours(at.Add(10*time.Hour), time.UTC); len(got) != 2 || got[0].TempC.Mean != 22 {
		t.Errorf("two hours are left of twelve: %+v", got)
	}
	if got := f.Hours(f.Until(), time.UTC); len(got) != 0 {
		t.Errorf("it is over: %+v", got)
	}
}

// Days that a forecast tells whole count for the watch over pests.
func TestForeseenWarmth(t *testing.T) {
	at := time.Date(2026, 11, 24, 0, 0, 0, 0, time.UTC)
	f := forecast("shelf", at, 30, 31).Detail.Foreseen
	w := care.NewWarmth(care.Space{}, nil, f.Hours(at, time.UTC))
	if len(w.Foreseen) != 1 || w.Foreseen[at] != (care.DayWarmth{MinC: 31, MaxC: 31}) {
		t.Errorf("%+v", w.Foreseen)
	}
}

func TestForecastsThatAreRefused(t *testing.T) {
	at := time.Date(2026, 11, 24, 9, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		change func(*care.Foreseen)
		says   string
	}{
		{func(f *care.Foreseen) { f.TempC = nil }, "hours"},
		{func(f *care.Foreseen) { f.TempC = make([]float64, care.MostForeseenHours+1) }, "hours"},
		{func(f *care.Foreseen) { f.RHPercent = f.RHPercent[1:] }, "as many"},
		{func(f *care.Foreseen) { f.PPFD = []float64{1} }, "as many"},
		{func(f *care.Foreseen) { f.TempC[2] = 90 }, "outside"},
		{func(f *care.Foreseen) { f.RHPercent[2] = -1 }, "outside"},
		{func(f *care.Foreseen) { f.Start = time.Time{} }, "no time"},
	} {
		e := forecast("", at, 5, 20)
		c.change(e.Detail.Foreseen)
		problems := e.Check(at)
		if len(problems) == 0 || !strings.Contains(problems[0].Message, c.says) {
			t.Errorf("%v, want %q", problems, c.says)
		}
	}
}

// A forecast is summarised as readings are: by the day and the night of the space,
// over a night on which the clocks go back, without the days it tells a part of.
// Vapour pressure deficit at 20 °C and 50 %: half of 2.338 kPa (FAO-56 table 2.3).
func TestForecastsAreSummarised(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	f := care.Foreseen{Start: time.Date(2026, 10, 24, 18, 0, 0, 0, zone).UTC()}
	for range 6 + 25 + 5 { // the evening, a day of 25 hours, a morning
		f.TempC, f.RHPercent, f.PPFD = append(f.TempC, 20), append(f.RHPercent, 50), append(f.PPFD, 100)
	}
	hours, days := care.DayClock{Zone: zone}.Foretold(&f)
	if len(hours) != 36 || len(days) != 1 {
		t.Fatalf("%d hours, %d days", len(hours), len(days))
	}
	d := days[0]
	if d.Date != time.Date(2026, 10, 25, 0, 0, 0, 0, time.UTC) || d.Lit.Hours != 12 || d.Dark.Hours != 13 {
		t.Errorf("%v with %d hours of day and %d of night", d.Date, d.Lit.Hours, d.Dark.Hours)
	}
	if want := 100e-6 * 25 * 3600; d.DLIMol < want*0.999 || d.DLIMol > want*1.001 {
		t.Errorf("%g mol of light, want %g", d.DLIMol, want)
	}
	if v := hours[0].VPDKPa.Mean; v < 1.168 || v > 1.170 {
		t.Errorf("VPD %g kPa, want 1.169", v)
	}
	if hours, days := (care.DayClock{Zone: zone}).Foretold(&care.Foreseen{}); hours != nil || days != nil {
		t.Error("nothing foreseen is something")
	}
}
