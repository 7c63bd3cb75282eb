package readings_test

import (
	"bytes"
	"fmt"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/science/light"
)

// loggerDays writes a file of every ten minutes in a zone whose clocks are set
// back within it, with a spike, a gap, a value that is missing and a moment that
// comes twice.
func loggerDays(t *testing.T, zone *time.Location, backward bool) string {
	t.Helper()
	var lines []string
	at := time.Date(2026, 10, 23, 21, 0, 0, 0, time.UTC)
	for i := range 6 * 24 * 5 {
		temp, rh := 18+5*math.Sin(float64(i)/23), 60+20*math.Cos(float64(i)/23)
		when := at.In(zone).Format("2006-01-02 15:04")
		switch {
		case i == 300:
			temp += 20
		case i > 400 && i < 440:
			at = at.Add(10 * time.Minute)
			continue
		}
		line := fmt.Sprintf("%s;%.2f;%.1f", when, temp, rh)
		if i == 200 {
			line = fmt.Sprintf("%s;%.2f;---", when, temp)
		}
		lines = append(lines, line)
		if i == 250 {
			lines = append(lines, fmt.Sprintf("%s;%.2f;%.1f", when, temp, rh+1))
		}
		at = at.Add(10 * time.Minute)
	}
	if backward {
		for i, j := 0, len(lines)-1; i < j; i, j = i+1, j-1 {
			lines[i], lines[j] = lines[j], lines[i]
		}
	}
	return "Zeit;Temperatur (°C);Feuchte (%)\r\n" + strings.Join(lines, "\r\n") + "\r\n"
}

// The hours of a file that is only looked at are those of its import.
func TestHoursAreThoseOfAnImport(t *testing.T) {
	zone, err := time.LoadLocation("Europe/Berlin")
	if err != nil {
		t.Fatal(err)
	}
	now := time.Date(2026, 11, 28, 0, 0, 0, 0, time.UTC)
	clock := care.DayClock{Zone: zone}
	for _, backward := range []bool{false, true} {
		text := loggerDays(t, zone, backward)
		o := readings.Options{Space: "shelf", Source: "logger", Zone: zone, LightFrom: light.Sun,
			Map: map[readings.Meaning]readings.ColumnChoice{readings.Temperature: {Heading: "2"}, readings.Humidity: {Heading: "3"}}}
		s, err := store.Create(t.Context(), filepath.Join(t.TempDir(), "orchids.velamen"), func() time.Time { return now })
		if err != nil {
			t.Fatal(err)
		}
		defer s.Close()
		report, err := readings.Import(t.Context(), readings.File{Name: "log.csv", ReadSeeker: strings.NewReader(text), Bytes: int64(len(text))}, o, s, now, nil)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.Settle(t.Context(), func(string) care.DayClock { return clock }, nil); err != nil {
			t.Fatal(err)
		}
		want, err := s.ClimateHours(t.Context(), "shelf", now.AddDate(-1, 0, 0), now)
		if err != nil {
			t.Fatal(err)
		}
		hours := map[int64]care.ClimateHour{}
		f, err := report.Layout.Hours(t.Context(), strings.NewReader(text), o, clock, nil, func(h care.ClimateHour) error {
			if _, twice := hours[h.Start.Unix()]; twice {
				t.Errorf("backward %v: %v comes twice", backward, h.Start)
			}
			hours[h.Start.Unix()] = h
			return nil
		})
		if err != nil {
			t.Fatal(err)
		}
		if len(hours) != len(want) || len(want) < 100 || f.Spikes == 0 || f.Gaps == 0 || f.Lines != report.Findings.Lines {
			t.Fatalf("backward %v: %d hours, the import has %d; %+v", backward, len(hours), len(want), f)
		}
		for _, w := range want {
			h := hours[w.Start.Unix()]
			for i, pair := range [][2]care.Spread{{h.TempC, w.TempC}, {h.RHPercent, w.RHPercent}, {h.VPDKPa, w.VPDKPa}} {
				// Kept are hundredths, and thousandths of what is summed up.
				const near = 0.0006
				got, want := pair[0], pair[1]
				if got.Count != want.Count || math.Abs(got.Min-want.Min) > near || math.Abs(got.Mean-want.Mean) > near || math.Abs(got.Max-want.Max) > near {
					t.Errorf("backward %v, %v, %d: %+v, of the import %+v", backward, w.Start, i, got, want)
				}
			}
			if h.Lit != w.Lit {
				t.Errorf("%v: lit %v and %v", w.Start, h.Lit, w.Lit)
			}
		}
	}
}

func TestHoursRefuseLinesFarBack(t *testing.T) {
	var b strings.Builder
	b.WriteString("Time,Temperature (°C)\n")
	for day := 1; day <= 6; day++ {
		fmt.Fprintf(&b, "2026-11-%02d 09:00,20.5\n2026-11-%02d 15:00,21.5\n", day, day)
	}
	b.WriteString("2026-11-02 10:00,20\n")
	o := readings.Options{Space: "shelf", Source: "logger", Zone: time.UTC, Dates: readings.YearFirst}
	layout, err := readings.Look([]byte(b.String()), o)
	if err != nil {
		t.Fatal(err)
	}
	_, err = layout.Hours(t.Context(), strings.NewReader(b.String()), o, care.DayClock{Zone: time.UTC}, nil, func(care.ClimateHour) error { return nil })
	if err == nil || !strings.Contains(err.Error(), "line 14 goes back to 2026-11-02") {
		t.Errorf("got %v", err)
	}
}

// A logger's file to hourly climate, nothing kept: rows per second.
func BenchmarkHours(b *testing.B) {
	const rows = 500_000
	var text bytes.Buffer
	text.WriteString("Time,Temperature (°C),Humidity (%)\n")
	at := time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for i := range rows {
		fmt.Fprintf(&text, "%s,%d.%d,%d.%d\n", at.Format("2006-01-02 15:04:05"), 15+i/360%12, i%10, 50+i/540%30, i%10)
		at = at.Add(10 * time.Second)
	}
	o := readings.Options{Space: "shelf", Source: "logger", Zone: time.UTC}
	layout, err := readings.Look(text.Bytes()[:readings.SampleBytes], o)
	if err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(text.Len()))
	for b.Loop() {
		if _, err := layout.Hours(b.Context(), bytes.NewReader(text.Bytes()), o, care.DayClock{Zone: time.UTC}, nil, func(care.ClimateHour) error { return nil }); err != nil {
			b.Fatal(err)
		}
	}
	b.ReportMetric(rows*float64(b.N)/b.Elapsed().Seconds(), "rows/s")
}
