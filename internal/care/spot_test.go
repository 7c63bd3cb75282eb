package care_test

import (
	"math"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

func sill(faces string, far float64, covers ...string) care.Spot {
	return care.Spot{Space: "sill", Name: "left", Faces: faces, FarM: basis.Exactly(far, "m", basis.Given, ""), Covers: covers, Places: 4}
}

func spotAt(t *testing.T, latitude float64, s care.Spot, read *care.LightRead, at time.Time) *care.SpotLight {
	t.Helper()
	c := care.NewCollection()
	c.Place.LatitudeDeg = basis.Exactly(latitude, "°", basis.Given, "")
	c.Spaces = []care.Space{{Name: "sill", Kind: care.Windowsill}}
	l, err := c.LightOf(care.SpotState{Spot: s, Read: read, ReadAt: at}, time.UTC)
	if err != nil {
		t.Fatal(err)
	}
	return l
}

func dli(t *testing.T, l *care.SpotLight, date string) basis.Value {
	t.Helper()
	v, err := l.DLI(day(date))
	if err != nil {
		t.Fatal(err)
	}
	if err := v.Check(); err != nil || v.Low < 0 {
		t.Fatalf("%+v: %v", v, err)
	}
	return v
}

// South of the tropics the sun of a window to the south is that of the north in
// the other hemisphere, half a year apart.
func TestWindowsMirrorTheHemispheres(t *testing.T) {
	north, south := spotAt(t, 45, sill("S", 0.1, "double glass"), nil, time.Time{}), spotAt(t, -45, sill("N", 0.1, "double glass"), nil, time.Time{})
	for summer, winter := range map[string]string{"2026-06-21": "2026-12-21", "2026-12-21": "2026-06-21"} {
		a, b := dli(t, north, summer).Value, dli(t, south, winter).Value
		if math.Abs(a-b) > 0.08*a { // the sun is 3 % nearer in January, 7 % in light
			t.Errorf("%s at 45° N: %.1f mol, %s at 45° S: %.1f", summer, a, winter, b)
		}
	}
	if shady := dli(t, spotAt(t, 45, sill("N", 0.1), nil, time.Time{}), "2026-12-21").Value; shady >= dli(t, spotAt(t, 45, sill("S", 0.1), nil, time.Time{}), "2026-12-21").Value {
		t.Error("in winter a window to the north gets as much as one to the south")
	}
	if far := dli(t, spotAt(t, 45, sill("S", 1.5), nil, time.Time{}), "2026-12-21").Value; far >= dli(t, spotAt(t, 45, sill("S", 0.2), nil, time.Time{}), "2026-12-21").Value {
		t.Error("far from the window it is as bright as at it")
	}
}

// One reading takes the estimate's place, and carries over to other dates.
func TestAReadingCalibratesASpot(t *testing.T) {
	noon := time.Date(2026, 6, 21, 12, 0, 0, 0, time.UTC)
	read := func(ppfd float64) *care.LightRead {
		return &care.LightRead{Space: "sill", Spot: "left", Clear: true, PPFD: basis.Value{Value: ppfd, Low: 0.9 * ppfd, High: 1.1 * ppfd, Unit: "µmol/m²/s", Grade: basis.Measured}}
	}
	plain := spotAt(t, 45, sill("SE", 0.1, "double glass"), nil, time.Time{})
	dim, bright := spotAt(t, 45, sill("SE", 0.1, "double glass"), read(60), noon), spotAt(t, 45, sill("SE", 0.1, "double glass"), read(240), noon)
	for _, date := range []string{"2026-06-21", "2026-10-01", "2026-12-21"} {
		a, b := dli(t, dim, date), dli(t, bright, date)
		if math.Abs(b.Value/a.Value-4) > 1e-9 {
			t.Errorf("%s: %.2f and %.2f mol; four times the reading is four times the light", date, a.Value, b.Value)
		}
		if p := dli(t, plain, date); (a.High-a.Low)/a.Value >= (p.High-p.Low)/p.Value {
			t.Errorf("%s: a reading left the range as wide as it was: %+v, %+v", date, p, a)
		}
	}
	if !dim.Read || dim.Because().Note == plain.Because().Note {
		t.Error("the because does not name the reading")
	}
	cloudy := read(60)
	cloudy.Clear = false
	if spotAt(t, 45, sill("SE", 0.1), cloudy, noon).Read {
		t.Error("a reading under clouds was set against a clear sky")
	}
}

func TestSpotsInTheJournal(t *testing.T) {
	s, other := sill("S", 0.3, "sheer curtain"), sill("S", 0.3)
	other.Name = "right"
	at := func(day int) time.Time { return repotted.AddDate(0, 0, day) }
	entry := func(n string, day int, kind care.Kind, d care.Detail) care.Entry {
		return care.Entry{ID: "0190b5c2-0000-7000-8000-00000000000" + n, At: at(day), Kind: kind, Detail: d}
	}
	reading := care.LightRead{Space: "sill", Spot: "LEFT", PPFD: basis.Exactly(80, "µmol/m²/s", basis.Measured, "")}
	moved := s
	moved.Places = 2
	entries := []care.Entry{
		entry("1", 0, care.SpotSet, care.Detail{Spot: &s}), entry("2", 0, care.SpotSet, care.Detail{Spot: &other}),
		entry("3", 1, care.LightReadAt, care.Detail{LightRead: &reading}), entry("4", 2, care.SpotSet, care.Detail{Spot: &moved}),
	}
	for _, e := range entries {
		if problems := e.Check(at(10)); len(problems) > 0 {
			t.Errorf("%s: %v", e.Kind, problems)
		}
	}
	c := care.Replay(entries, at(10))
	if got := c.SpotsIn("Sill"); len(got) != 2 || got[0].Places != 2 || got[0].Read == nil || got[1].Read != nil {
		t.Errorf("%+v", got)
	}
	// The meter was read before anybody described the spot.
	early := []care.Entry{entry("1", 0, care.LightReadAt, care.Detail{LightRead: &reading}), entry("2", 1, care.SpotSet, care.Detail{Spot: &s})}
	c = care.Replay(early, at(10))
	if got := c.SpotsIn("sill"); len(got) != 1 || got[0].Read == nil || got[0].Read.PPFD.Value != 80 || !got[0].ReadAt.Equal(at(0)) {
		t.Errorf("read before it was described: %+v", got)
	}
	for name, bad := range map[string]care.Detail{
		"no name": {Spot: &care.Spot{Space: "sill"}}, "no such direction": {Spot: &care.Spot{Space: "sill", Name: "x", Faces: "up"}},
		"too far":       {Spot: &care.Spot{Space: "sill", Name: "x", FarM: basis.Exactly(80, "m", basis.Given, "")}},
		"unknown cover": {Spot: &care.Spot{Space: "sill", Name: "x", Covers: []string{"wool"}}}, "none": {},
	} {
		if len(entry("5", 0, care.SpotSet, bad).Check(at(10))) == 0 {
			t.Errorf("%s: accepted", name)
		}
	}
}
