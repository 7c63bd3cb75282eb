package readings_test

import (
	"bytes"
	"slices"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/readings"
	"velamen/science/light"
)

// A forecast in steps of three hours, in local time with decimal commas: the
// hours between are on straight lines, what is behind is left out, and it ends
// at the first gap.
func TestForecastFile(t *testing.T) {
	zone, err := time.LoadLocation("Australia/Melbourne")
	if err != nil {
		t.Fatal(err)
	}
	text := "Zeit;Temperatur (°C);Luftfeuchte (%)\n" +
		"28.11.2026 09:00;12,0;80\n28.11.2026 12:00;18,0;65\n28.11.2026 15:00;21,0;50\n28.11.2026 18:00;15,0;62\n" +
		"29.11.2026 12:00;19,0;60\n29.11.2026 15:00;20,0;60\n"
	now := time.Date(2026, 11, 28, 11, 20, 0, 0, zone)
	o := readings.Options{Space: "terrace", Zone: zone, LightFrom: light.Sun}
	f, report, err := readings.Foresee(t.Context(), fileOf(text), o, now)
	if err != nil {
		t.Fatal(err)
	}
	if want := time.Date(2026, 11, 28, 11, 0, 0, 0, zone); !f.Start.Equal(want) || f.Space != "terrace" {
		t.Errorf("it begins at %v in %q, want %v", f.Start, f.Space, want)
	}
	if want := []float64{16, 18, 19, 20, 21, 19, 17, 15}; !slices.Equal(f.TempC, want) {
		t.Errorf("temperatures %v, want %v", f.TempC, want)
	}
	if want := []float64{70, 65, 60, 55, 50, 54, 58, 62}; !slices.Equal(f.RHPercent, want) {
		t.Errorf("humidities %v, want %v", f.RHPercent, want)
	}
	if f.PPFD != nil || report.Findings.Lines != 6 {
		t.Errorf("light %v, %d lines", f.PPFD, report.Findings.Lines)
	}
	e := care.Entry{ID: "01900000-0000-7000-8000-000000000001", At: now, Kind: care.ForecastIn, Detail: care.Detail{Foreseen: &f}}
	if problems := e.Check(now); len(problems) > 0 {
		t.Error(problems)
	}
}

// Forecasts that cannot be used are refused with the reason.
func TestForecastsThatAreRefused(t *testing.T) {
	now := time.Date(2026, 11, 28, 11, 20, 0, 0, time.UTC)
	o := readings.Options{Zone: time.UTC, LightFrom: light.Sun}
	for text, want := range map[string]string{
		"Time,Temperature (°C),Humidity (%)\n2026-11-20 09:00,12,80\n2026-11-20 10:00,13,80\n": "no temperature and humidity",
		"Time,Temperature (°C)\n2026-11-29 09:00,12\n2026-11-29 10:00,13\n":                    "no temperature and humidity",
		"time,space,source,quantity,value,unit\r\n":                                            "exported",
		"nothing\n": "no line",
	} {
		if f, _, err := readings.Foresee(t.Context(), fileOf(text), o, now); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%q: %v, %v; want an error with %q", text, f, err, want)
		}
	}
}

func fileOf(text string) readings.File {
	return readings.File{Name: "forecast.csv", ReadSeeker: bytes.NewReader([]byte(text)), Bytes: int64(len(text))}
}

func FuzzForecastFile(f *testing.F) {
	f.Add([]byte("Time,Temperature (°C),Humidity (%)\n2026-11-29 09:00,12,80\n2026-11-29 10:00,13,80\n"))
	f.Add([]byte("date;time;temp F;rh;lux\n11/29/26;9:00 AM;70;80;1000\n"))
	now := time.Date(2026, 11, 28, 11, 20, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text []byte) {
		o := readings.Options{Zone: time.UTC, LightFrom: light.Sun}
		got, _, err := readings.Foresee(t.Context(), fileOf(string(text)), o, now)
		if err != nil {
			return
		}
		e := care.Entry{ID: "01900000-0000-7000-8000-000000000001", At: now, Kind: care.ForecastIn, Detail: care.Detail{Foreseen: &got}}
		if problems := e.Check(now); len(problems) > 0 {
			t.Error(problems)
		}
	})
}
