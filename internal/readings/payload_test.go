package readings

import (
	"math"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/light"
)

func arrival() Arrival {
	return Arrival{Space: "shelf", Source: "node", Now: time.Date(2026, 11, 28, 9, 0, 0, 0, time.UTC), LightFrom: light.Sun}
}

func TestLinesOfSmallDevices(t *testing.T) {
	list, err := ParseLines([]byte("# node 3\r\ntemperature 70.7 F\r\nhumidity 55\n\nlight 540 ppfd 2026-11-28T19:30:00+11:00\ntemperature 20 1795850000\n"), arrival())
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"2026-11-28T09:00:00Z temperature 21.50", "2026-11-28T09:00:00Z humidity 55.00",
		"2026-11-28T08:30:00Z light 540.00", "2026-11-28T07:13:20Z temperature 20.00",
	}
	for i, r := range list {
		if got := shownReading(r); i >= len(want) || got != want[i] || r.Space != "shelf" || r.Source != "node" {
			t.Errorf("%d: %s of %s in %s", i, got, r.Source, r.Space)
		}
	}
	if len(list) != len(want) {
		t.Errorf("%d readings", len(list))
	}
}

func TestJSONOfReadings(t *testing.T) {
	list, err := ParseJSON([]byte(`{"space":"Balcony","units":{"temperature":"F"},"readings":[{"at":"2026-11-28T08:00:00Z","temperature":70.7,"humidity":55},{"at":1795850000,"light":100},{"humidity":60}]}`), arrival())
	if err != nil {
		t.Fatal(err)
	}
	if len(list) != 4 || math.Abs(list[0].Value-21.5) > 1e-9 || list[2].At.Unix() != 1795850000 || !list[3].At.Equal(arrival().Now) || list[0].Space != "Balcony" || list[0].Source != "node" {
		t.Errorf("%+v", list)
	}
}

func TestMessagesThatAreRefused(t *testing.T) {
	for text, says := range map[string]string{
		"":                                   "no reading",
		"temperature":                        "1 words",
		"temperature warm":                   "not a number",
		"temperature NaN":                    "outside",
		"temperature 85":                     "outside -40 to 60",
		"temperature 20 %":                   "no unit of temperature",
		"temperature 20 furlongs":            "unit",
		"pressure 1013":                      "not a quantity",
		"humidity 50 % 2026-13-01":           "not a time",
		"humidity 50 % 2027-12-01T00:00:00Z": "future",
		"humidity 50\ntemperature x":         "line 2",
	} {
		if _, err := ParseLines([]byte(text), arrival()); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", text, err)
		}
	}
	for text, says := range map[string]string{
		"":                                "not the JSON",
		"[]":                              "not the JSON",
		"{}":                              "no reading",
		`{"readings":[{"temp":1}]}`:       "unknown field",
		`{"readings":[{"humidity":101}]}`: "readings[0].humidity",
		`{"readings":[{"at":"now","humidity":10}]}`:           "readings[0].at",
		`{"readings":[{"humidity":10}]} x`:                    "follows",
		`{"units":{"wind":"m"},"readings":[{"humidity":10}]}`: "not one of",
	} {
		if _, err := ParseJSON([]byte(text), arrival()); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v", text, err)
		}
	}
	if _, err := ParseLines([]byte(strings.Repeat("humidity 50\n", MostSent+1)), arrival()); err == nil {
		t.Error("too many readings are taken")
	}
}

func sound(t *testing.T, list []care.Reading, err error) {
	if err != nil {
		return
	}
	for _, r := range list {
		if err := r.Check(arrival().Now); err != nil {
			t.Fatalf("%+v: %v", r, err)
		}
	}
}

func FuzzLines(f *testing.F) {
	f.Add([]byte("temperature 21.4 C 2026-11-28T09:00:00Z\nhumidity 55"))
	f.Fuzz(func(t *testing.T, text []byte) {
		list, err := ParseLines(text, arrival())
		sound(t, list, err)
	})
}

func FuzzJSON(f *testing.F) {
	f.Add([]byte(`{"source":"n","units":{"temperature":"F"},"readings":[{"at":"2026-11-28T09:00:00Z","temperature":70.5,"humidity":55}]}`))
	f.Fuzz(func(t *testing.T, text []byte) {
		list, err := ParseJSON(text, arrival())
		sound(t, list, err)
	})
}
