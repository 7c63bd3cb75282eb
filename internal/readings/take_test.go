package readings

import (
	"bytes"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"velamen/internal/care"
	"velamen/science/light"
)

func zone(t testing.TB, name string) *time.Location {
	t.Helper()
	z, err := ParseZone(name)
	if err != nil {
		t.Fatal(err)
	}
	return z
}

func options(t testing.TB, zoneName string) Options {
	return Options{Space: "shelf", Source: "logger", Zone: zone(t, zoneName), LightFrom: light.Sun}
}

// take reads a whole text and returns what would be kept.
func take(t testing.TB, text []byte, o Options) (*Layout, Findings, []care.Reading) {
	t.Helper()
	l, err := Look(text[:min(len(text), SampleBytes)], o)
	if err != nil {
		t.Fatal(err)
	}
	var all []care.Reading
	f, err := l.Take(t.Context(), bytes.NewReader(text), o, 0, func(_ context.Context, _ int, list []care.Reading) error {
		all = append(all, list...)
		return nil
	}, nil)
	if err != nil {
		t.Fatal(err)
	}
	return l, f, all
}

func shownReading(r care.Reading) string {
	return fmt.Sprintf("%s %s %.2f", r.At.Format("2006-01-02T15:04:05Z"), r.Quantity, r.Value)
}

// Each layout says the same: 28 and 29 November 2026 around midnight in Berlin
// (UTC+1), 21.5 °C and 55 %, then 20.0 °C and 60 %.
func TestLayoutsOfLoggers(t *testing.T) {
	same := []string{
		"2026-11-28T22:55:00Z temperature 21.50", "2026-11-28T22:55:00Z humidity 55.00",
		"2026-11-28T23:05:00Z temperature 20.00", "2026-11-28T23:05:00Z humidity 60.00",
	}
	wide := func(s string) string {
		out := []byte{0xff, 0xfe}
		for _, u := range utf16.Encode([]rune(s)) {
			out = append(out, byte(u), byte(u>>8))
		}
		return string(out)
	}
	for name, text := range map[string]string{
		"iso with comma":         "Time,Temperature (°C),Humidity (%)\n2026-11-28 23:55:00,21.5,55\n2026-11-29 00:05:00,20.0,60\n",
		"semicolon and commas":   "Datum;Uhrzeit;Temperatur [°C];Feuchte [%]\r\n28.11.2026;23:55;21,5;55,0\r\n29.11.2026;00:05;20,0;60,0\r\n",
		"tab and two columns":    "Date\tTime\tTemp °C\tRH %\n28/11/2026\t23:55:00\t21.5\t55\n29/11/2026\t00:05:00\t20\t60\n",
		"american with pm":       "\"Date Time\",\"Temperature (°F)\",\"RH (%)\"\n\"11/28/2026 11:55:00 PM\",\"70.7\",\"55\"\n\"11/29/2026 12:05:00 AM\",\"68.0\",\"60\"\n",
		"preamble":               "Serial;123456\nModel;X\nPlace;Shelf\n\nNo.;Timestamp;CH1 Temp. °C;CH2 RH %\n1;2026-11-28 23:55;21,5;55\n2;2026-11-29 00:05;20;60\n",
		"own offset":             "timestamp,temperature_c,humidity_pct\n2026-11-28T17:55:00-05:00,21.5,55\n2026-11-28T18:05:00-05:00,20,60\n",
		"utc mark":               "timestamp,temperature_c,humidity\n2026-11-28T22:55:00Z,21.5,55\n2026-11-28T23:05:00.123Z,20,60\n",
		"seconds since 1970":     "epoch,temp_c,rh\n1795906500,21.5,55\n1795907100,20,60\n",
		"milliseconds":           "unix,t,rh\n1795906500000,21.5,55\n1795907100000,20,60\n",
		"month words":            "Date,Time,Temperature °C,Humidity %\n28 Nov 2026,23:55,21.5,55\n29 Nov 2026,00:05,20,60\n",
		"no headings":            "2026-11-28 23:55;21,5 °C;55 %\n2026-11-29 00:05;20,0 °C;60 %\n",
		"units behind":           "Time|Temperature|Humidity\n2026-11-28 23:55|21.5 °C|55 %\n2026-11-29 00:05|20 °C|60 %\n",
		"newest first":           "Time,Temperature (°C),Humidity (%)\n2026-11-29 00:05:00,20.0,60\n2026-11-28 23:55:00,21.5,55\n",
		"kelvin":                 "Time,Temperature (K),Humidity (%)\n2026-11-28 23:55:00,294.65,55\n2026-11-29 00:05:00,293.15,60\n",
		"two probes":             "Time,Temp 1 (°C),Temp 2 (°C),Dew point (°C),RH (%)\n2026-11-28 23:55:00,21.5,5,12,55\n2026-11-29 00:05:00,20.0,6,12,60\n",
		"latin letters":          "Zeit;Temperatur (\xb0C);Feuchte (%)\n28.11.2026 23:55;21,5;55\n29.11.2026 00:05;20;60\n",
		"wide letters":           wide("Time\tTemperature (°C)\tHumidity (%)\r\n2026-11-28 23:55\t21.5\t55\r\n2026-11-29 00:05\t20\t60\r\n"),
		"mark of UTF-8":          "\uFEFFTime,Temperature (°C),Humidity (%)\n2026-11-28 23:55:00,21.5,55\n2026-11-29 00:05:00,20.0,60\n",
		"two-digit years":        "Date;Temperature (°C);Humidity (%)\n28.11.26 23:55;21,5;55\n29.11.26 00:05;20;60\n",
		"quoted decimal commas":  "Date,Temperature (°C),Humidity (%)\n28.11.2026 23:55,\"21,5\",\"55,0\"\n29.11.2026 00:05,\"20,0\",\"60,0\"\n",
		"compact dates":          "Date,Time,Temperature (°C),Humidity (%)\n20261128,23:55,21.5,55\n20261129,00:05,20.0,60\n",
		"missing values besides": "Time,Temperature (°C),Humidity (%),Lux\n2026-11-28 23:55:00,21.5,55,--\n2026-11-29 00:05:00,20.0,60,NaN\n",
	} {
		t.Run(name, func(t *testing.T) {
			_, f, all := take(t, []byte(text), options(t, "Europe/Berlin"))
			slices.SortStableFunc(all, func(a, b care.Reading) int { return a.At.Compare(b.At) })
			var got []string
			for _, r := range all {
				r.At = r.At.Truncate(time.Minute)
				got = append(got, shownReading(r))
			}
			if !slices.Equal(got, same) || f.LeftOut != 0 {
				t.Errorf("got %q, left out %v", got, f.Wrong)
			}
		})
	}
}

func TestLightTakesItsSource(t *testing.T) {
	o := options(t, "UTC")
	for heading, want := range map[string]float64{
		"PPFD (µmol/m²/s)": 540, "Light (klx)": 540 * 1000 / 54.0, "Lux": 540 / 54.0, "Illuminance (lx)": 540 / 54.0, "\"Light, fc\"": 540 * 10.7639 / 54,
	} {
		text := "Time," + heading + ",RH %\n2026-11-28 12:00,540,50\n2026-11-28 12:10,540,50\n"
		if heading == "Light (klx)" {
			text = strings.ReplaceAll(text, "540", "54")
			want = 1000
		}
		_, _, all := take(t, []byte(text), o)
		if len(all) != 4 || all[0].Quantity != care.LeafLight && all[1].Quantity != care.LeafLight {
			t.Errorf("%s: %v", heading, all)
			continue
		}
		got := all[0].Value
		// 54 lx per µmol m⁻² s⁻¹ of sunlight is the rounded figure of Thimijan &
		// Heins (1983); the table's own lies within 3 % of it.
		if math.Abs(got-want) > 0.03*want {
			t.Errorf("%s: %g, want about %g", heading, got, want)
		}
	}
}

func TestWhatCannotBeToldIsAskedFor(t *testing.T) {
	for name, c := range map[string]struct{ text, says string }{
		"order of dates":    {"Time,Temp (°C)\n05/06/2026 10:00,20\n05/06/2026 10:10,20\n", "order of day, month and year"},
		"unit of warm ones": {"Time,Temperature\n2026-06-05 10:00,71\n2026-06-05 10:10,72\n", "say C or F"},
		"unit of light":     {"Time,Light\n2026-06-05 10:00,71\n2026-06-05 10:10,72\n", "say lx, fc or µmol"},
		"share":             {"Time,RH\n2026-06-05 10:00,0.71\n2026-06-05 10:10,0.72\n", "write it in %"},
		"no known column":   {"Time,Foo,Bar\n2026-06-05 10:00,71,3\n2026-06-05 10:10,72,3\n", "no column is known to hold"},
		"no times":          {"Foo,Bar\n1,2\n3,4\n", "no line holds a time"},
		"dates only":        {"Date,Temp (°C)\n2026-06-05,20\n2026-06-06,21\n", "no times of day"},
		"empty":             {"  \n", "empty"},
		"a workbook":        {"PK\x03\x04....", "save it as CSV"},
		"bytes":             {"a\x00b", "no text"},
	} {
		if _, err := Look([]byte(c.text), options(t, "UTC")); err == nil || !strings.Contains(err.Error(), c.says) {
			t.Errorf("%s: %v", name, err)
		}
	}
	o := options(t, "UTC")
	o.Dates = MonthFirst
	l, err := Look([]byte("Time,Temp (°C)\n05/06/2026 10:00,20\n05/06/2026 10:10,20\n"), o)
	if err != nil || l.Example.At.Format(time.DateOnly) != "2026-05-06" {
		t.Errorf("told the order: %+v, %v", l, err)
	}
}

// A passage over midnight tells the order of dates that are otherwise open.
func TestMidnightTellsTheOrder(t *testing.T) {
	for text, want := range map[string]DateOrder{
		"Time,T (°C)\n01/02/2026 23:50,20\n02/02/2026 00:00,20\n": DayFirst,
		"Time,T (°C)\n02/01/2026 23:50,20\n02/02/2026 00:00,20\n": MonthFirst,
		"Time,T (°C)\n2026/02/01 23:50,20\n2026/02/02 00:00,20\n": YearFirst,
	} {
		if l, err := Look([]byte(text), options(t, "UTC")); err != nil || l.Dates != want {
			t.Errorf("%q: %+v, %v", text, l, err)
		}
	}
}

// hourly writes a line every half hour of a clock.
func clockLines(from string, count int, zone *time.Location, changed bool) string {
	var b strings.Builder
	b.WriteString("Time,Temperature (°C)\n")
	at, _ := time.ParseInLocation("2006-01-02 15:04", from, zone)
	_, first := at.Zone()
	for i := range count {
		now := at.Add(time.Duration(i) * 30 * time.Minute)
		shown := now.In(zone)
		if !changed {
			shown = now.In(time.FixedZone("", first))
		}
		fmt.Fprintf(&b, "%s,20\n", shown.Format("2006-01-02 15:04"))
	}
	return b.String()
}

// Clocks that are set forward and back, in both hemispheres and by half an hour:
// the instants run on evenly. The dates are those of the IANA database for 2026.
func TestClocksThatAreChanged(t *testing.T) {
	for _, c := range []struct{ zone, from string }{
		{"Europe/Berlin", "2026-03-28 20:00"}, {"Europe/Berlin", "2026-10-24 20:00"},
		{"Australia/Melbourne", "2026-04-04 20:00"}, {"Australia/Melbourne", "2026-10-03 20:00"},
		{"America/New_York", "2026-03-07 20:00"}, {"America/New_York", "2026-11-01 00:00"},
		{"America/Santiago", "2026-04-04 20:00"}, {"America/Santiago", "2026-09-05 20:00"},
		{"Australia/Lord_Howe", "2026-04-04 20:00"}, {"Australia/Lord_Howe", "2026-10-03 20:00"},
	} {
		z := zone(t, c.zone)
		text := clockLines(c.from, 40, z, true)
		_, f, all := take(t, []byte(text), options(t, c.zone))
		if len(all) != 40 || f.LeftOut+f.Steps+f.Gaps > 0 {
			t.Errorf("%s from %s: %d readings, %+v", c.zone, c.from, len(all), f)
			continue
		}
		for i := 1; i < len(all); i++ {
			if step := all[i].At.Sub(all[i-1].At); step != 30*time.Minute {
				t.Errorf("%s: %s after %s", c.zone, all[i].At.In(z), all[i-1].At.In(z))
			}
		}
		// The same file with the newest line first.
		lines := strings.Split(strings.TrimSpace(text), "\n")
		slices.Reverse(lines[1:])
		_, f, back := take(t, []byte(strings.Join(lines, "\n")), options(t, c.zone))
		slices.Reverse(back)
		if !slices.Equal(all, back) || f.Steps > 0 {
			t.Errorf("%s from %s, newest first: %+v", c.zone, c.from, f)
		}
		// A clock that is never changed takes a fixed offset; with the zone's own
		// the hour that never was gives it away in spring.
		unchanged := clockLines(c.from, 40, z, false)
		at, _ := time.ParseInLocation("2006-01-02 15:04", c.from, z)
		_, fixed, plain := take(t, []byte(unchanged), options(t, at.Format("-07:00")))
		if !slices.Equal(plain, all) || fixed.LeftOut > 0 {
			t.Errorf("%s from %s with a fixed offset: %+v", c.zone, c.from, fixed)
		}
		_, wrong, _ := take(t, []byte(unchanged), options(t, c.zone))
		if spring := strings.Contains(text, "") && at.Add(20*time.Hour).Sub(at) == 20*time.Hour && offsetAt(z, at) < offsetAt(z, at.Add(20*time.Hour)); spring != (wrong.LeftOut > 0) {
			t.Errorf("%s from %s, clock unchanged: %+v", c.zone, c.from, wrong)
		}
	}
}

func offsetAt(z *time.Location, at time.Time) int { _, s := at.In(z).Zone(); return s }

func TestFindingsNameTheLine(t *testing.T) {
	var b strings.Builder
	b.WriteString("Time,Temperature (°C),RH (%)\n")
	at := time.Date(2026, 6, 1, 0, 0, 0, 0, time.UTC)
	for i := range 60 {
		temp := "20.0"
		switch i {
		case 10:
			temp = "55.0" // line 12, a spike
		case 20:
			temp = "85.0" // line 22, no temperature of air
		case 21:
			temp = "warm"
		case 30:
			at = at.Add(5 * time.Hour) // a gap before line 32
		case 40:
			at = at.Add(-20 * time.Minute) // the clock set back before line 42
		}
		fmt.Fprintf(&b, "%s,%s,50\n", at.Format("2006-01-02 15:04"), temp)
		at = at.Add(10 * time.Minute)
	}
	b.WriteString("end of data,,\n")
	_, f, all := take(t, []byte(b.String()), options(t, "UTC"))
	if f.Lines != 61 || f.LeftOut != 3 || f.Spikes != 1 || f.Gaps != 1 || f.Steps != 1 || len(all) != 116 {
		t.Fatalf("%d kept, %+v", len(all), f)
	}
	for _, c := range []struct {
		got  []Finding
		want []int
	}{{f.Wrong, []int{22, 23, 62}}, {f.SpikeAt, []int{12}}, {f.GapList, []int{32}}, {f.StepsAt, []int{42}}} {
		var lines []int
		for _, one := range c.got {
			lines = append(lines, one.Line)
		}
		if !slices.Equal(lines, c.want) {
			t.Errorf("lines %v, want %v: %v", lines, c.want, c.got)
		}
	}
}

// An import that was stopped goes on where it was, and the times of the lines
// after it are the same as in one go.
func TestAnImportGoesOn(t *testing.T) {
	text := []byte(clockLines("2026-10-20 00:00", Batch+10000, zone(t, "Europe/Berlin"), true))
	o := options(t, "Europe/Berlin")
	l, _, whole := take(t, text, o)
	ctx, stop := context.WithCancel(t.Context())
	var got []care.Reading
	mark := 0
	keep := func(_ context.Context, line int, list []care.Reading) error {
		got, mark = append(got, list...), line
		return nil
	}
	_, err := l.Take(ctx, bytes.NewReader(text), o, 0, func(ctx context.Context, line int, list []care.Reading) error {
		stop()
		return keep(ctx, line, list)
	}, nil)
	if err == nil || mark == 0 || len(got) == len(whole) {
		t.Fatalf("it was not stopped: %v at %d", err, mark)
	}
	if _, err := l.Take(t.Context(), bytes.NewReader(text), o, mark, keep, nil); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(got, whole) {
		t.Errorf("%d readings in two goes, %d in one", len(got), len(whole))
	}
}

func FuzzLoggerFile(f *testing.F) {
	for _, seed := range []string{
		"Time,Temperature (°C),Humidity (%)\n2026-11-28 23:55:00,21.5,55\n2026-11-29 00:05:00,20.0,60\n",
		"28.11.2026;23:55;21,5;55,0\n", "\xff\xfea\x00", "epoch,t\n1795906500,21\n", "a\"b,c\n\"", "Time,T\n11/28/2026 11:55 PM,70\n",
	} {
		f.Add([]byte(seed))
	}
	z := zone(f, "Europe/Berlin")
	now := time.Date(2200, 1, 1, 0, 0, 0, 0, time.UTC)
	f.Fuzz(func(t *testing.T, text []byte) {
		o := Options{Space: "shelf", Source: "logger", Zone: z, LightFrom: light.Sun}
		l, err := Look(text[:min(len(text), SampleBytes)], o)
		if err != nil {
			return
		}
		last := 0
		_, err = l.Take(t.Context(), bytes.NewReader(text), o, 0, func(_ context.Context, line int, list []care.Reading) error {
			if line < last || len(list) > Batch {
				t.Fatalf("line %d after %d, %d readings", line, last, len(list))
			}
			last = line
			for _, r := range list {
				if err := r.Check(now); err != nil {
					t.Fatalf("kept %+v: %v", r, err)
				}
			}
			return nil
		}, nil)
		if err != nil && !strings.Contains(err.Error(), "reading the file") {
			t.Fatal(err)
		}
	})
}
