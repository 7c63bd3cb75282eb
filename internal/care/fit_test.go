package care_test

import (
	"slices"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/science/basis"
)

// A cooler, moister, darker place suits a turned-down plant better than a hot,
// dry, bright one, and the gaps say why.
func TestPlacesAreRankedByWhatTheCourseAsksFor(t *testing.T) {
	s := ordinary()
	kase := s.read(t)
	record := kase.Plants[0]
	record.Space = kase.Spaces[0].Name
	c := s.on(t, 5)
	space := func(name string, dayC, rh, ppfd float64) care.Space {
		given := func(v float64, unit string) basis.Value { return basis.Exactly(v, unit, basis.Given, "") }
		return care.Space{Name: name, Kind: care.LampShelf, DayC: given(dayC, "°C"), NightC: given(16, "°C"), DayRHPercent: given(rh, "%"), NightRHPercent: given(rh, "%"),
			Light: care.LightLevel{Level: given(ppfd, "µmol/m²/s"), Unit: care.PPFD, Source: "led", HoursPerDay: given(12, "h")}}
	}
	wanted := c.Now
	good := space("good", wanted.DayHeatCapC.Value.Value-0.5, 85, wanted.LightPPFD.Value.Value)
	kase.Spaces = append(kase.Spaces, good, space("hot and dry", 33, 30, 4*wanted.LightPPFD.Value.Value))
	options := []care.PlaceOption{{Space: "hot and dry"}, {Space: "good"}, {Space: record.Space}}
	fits, err := care.Fits(kase, record, tables, c.Outline(), options, c.On)
	if err != nil {
		t.Fatal(err)
	}
	if fits[0].Space != "good" || fits[len(fits)-1].Space != "hot and dry" {
		t.Errorf("ranked %s, %s, %s", fits[0].Space, fits[1].Space, fits[2].Space)
	}
	if fits[0].Misfit > 0.3 {
		t.Errorf("what it asks for misses it by %.2f: %v", fits[0].Misfit, fits[0].Gaps)
	}
	for _, word := range []string{"warmer by day", "humidity by night", "times as bright"} {
		if !slices.ContainsFunc(fits[2].Gaps, func(g string) bool { return strings.Contains(g, word) }) {
			t.Errorf("%v does not say %q", fits[2].Gaps, word)
		}
	}
	here := slices.IndexFunc(fits, func(f care.Fit) bool { return f.Here })
	if here < 0 || fits[here].Space != record.Space {
		t.Error("it is not said where the plant stands")
	}
}

// The usual climate of a space is that of its readings once there are enough,
// day and night by the light of the plant.
func TestCoursesRestOnMeasuredClimate(t *testing.T) {
	s := ordinary()
	kase := s.read(t)
	record := kase.Plants[0]
	record.Space = kase.Spaces[0].Name
	hours := func(days int) (list []care.ClimateHour) {
		for h := range 24 * days {
			temp, rh := 17.0, 80.0
			if h%24 >= 7 && h%24 < 19 {
				temp, rh = 24+float64(h%24-13)*0.2, 40
			}
			list = append(list, care.ClimateHour{Start: repotted.Add(time.Duration(h) * time.Hour), TempC: care.Spread{Mean: temp, Count: 1}, RHPercent: care.Spread{Mean: rh, Count: 1}})
		}
		return list
	}
	if _, ok := care.NewClimateProfile(hours(2)); ok {
		t.Error("two days are called usual")
	}
	profile, ok := care.NewClimateProfile(hours(10))
	if !ok || profile.Days != 10 {
		t.Fatalf("ten days make %+v, %v", profile, ok)
	}
	before, err := care.NewCourse(kase, record, tables, repotted)
	if err != nil {
		t.Fatal(err)
	}
	kase.Measured = map[string]care.ClimateProfile{strings.ToLower(record.Space): profile}
	after, err := care.NewCourse(kase, record, tables, repotted)
	if err != nil {
		t.Fatal(err)
	}
	u := after.Usual
	if u.DayC.Grade != basis.Measured || u.NightRHPercent.Value < 60 || u.DayRHPercent.Value > 60 {
		t.Errorf("usual day %+v, humidity %+v by day and %+v by night", u.DayC, u.DayRHPercent, u.NightRHPercent)
	}
	if before.Usual.DayRHPercent.Value == u.DayRHPercent.Value {
		t.Error("the readings changed nothing")
	}
}

// Courses change with the week, not with every reading.
func TestTheProfileIsThatOfWholeWeeks(t *testing.T) {
	monday := day("2026-11-23")
	from, until := care.ProfileSpan(monday)
	for d := range 7 {
		f, u := care.ProfileSpan(monday.AddDate(0, 0, d).Add(13 * time.Hour))
		if !f.Equal(from) || !u.Equal(until) {
			t.Errorf("day %d: %s to %s", d, f, u)
		}
	}
	if !until.Equal(monday) || until.Sub(from) != care.ProfileWeeks*7*24*time.Hour {
		t.Errorf("%s to %s", from, until)
	}
}
