package care_test

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/science/basis"
)

// resident is a collection with one plant that was potted some years ago, at a
// latitude, on a terrace or under lamps, with what was seen at it since.
func resident(t *testing.T, latitude float64, under care.SpaceKind, on time.Time, years float64, seen ...care.Entry) (list []care.Candidate, later []care.NotNow) {
	t.Helper()
	tables, err := culture.Load()
	if err != nil {
		t.Fatal(err)
	}
	potted := on.AddDate(0, 0, -int(365.25*years))
	entries := []care.Entry{
		{Kind: care.PlaceSet, Detail: care.Detail{Place: &care.Place{LatitudeDeg: given(latitude, "°")}}},
		{Kind: care.SpaceSet, Detail: care.Detail{Space: &care.Space{Name: "bench", Kind: under}}},
		{Kind: care.PlantSet, Plant: "p", Detail: care.Detail{Plant: &care.Plant{Label: "C-1", Group: "cattleya-standard", Space: "bench"}}},
		{Kind: care.RepotDone, Plant: "p", At: potted, Detail: care.Detail{Repot: &care.Repot{Date: potted, Work: care.Repotted, RootsKept: basis.Exactly(0.7, "share", basis.Given, "")}}},
	}
	entries = append(entries, seen...)
	for i := range entries {
		entries[i].ID = fmt.Sprintf("00000000-0000-7000-8000-%012x", i+1)
		if entries[i].At.IsZero() {
			entries[i].At = potted.AddDate(0, 0, -1)
		}
		if entries[i].Plant == "" && entries[i].Kind == care.SignSeen {
			entries[i].Plant = "p"
		}
	}
	return care.Replay(entries, on.AddDate(0, 0, 1)).Season(tables, on, 12)
}

func dateOf(text string) time.Time {
	at, err := time.Parse(time.DateOnly, text)
	if err != nil {
		panic(err)
	}
	return at
}

func sign(on string, s care.SeenSign) care.Entry {
	return care.Entry{Kind: care.SignSeen, Plant: "p", At: dateOf(on).Add(8 * time.Hour), Detail: care.Detail{Sign: s}}
}

// When a plant with an old medium can be repotted: what was seen at it decides,
// and only without that the spring of its hemisphere (common practice).
func TestSeasonWindows(t *testing.T) {
	const terrace, lamps = care.Terrace, care.LampShelf
	for name, c := range map[string]struct {
		latitude float64
		space    care.SpaceKind
		on       string
		seen     []care.Entry
		from, to string // of the window; empty: not now
		says     string // of the timing, the caveats or why not
	}{
		"northern spring":            {48, terrace, "2026-02-10", nil, "2026-03-01", "2026-05-04", "spring"},
		"northern autumn":            {48, terrace, "2026-09-20", nil, "", "", "from 1 March on"},
		"southern spring":            {-38, terrace, "2026-09-20", nil, "2026-09-20", "2026-12-12", "spring"},
		"southern autumn":            {-38, terrace, "2026-03-20", nil, "", "", "from 1 September on"},
		"southern spring, its end":   {-38, terrace, "2026-12-20", nil, "2026-12-20", "2026-12-31", "spring"},
		"near the equator":           {4, terrace, "2026-03-20", nil, "2026-03-20", "2026-06-11", "near the equator"},
		"under lamps":                {48, lamps, "2026-09-20", nil, "2026-09-20", "2026-12-12", "under lamps"},
		"root tips in autumn":        {48, terrace, "2026-09-20", []care.Entry{sign("2026-09-15", care.NewRootTip)}, "2026-09-20", "2026-10-20", "new root tips"},
		"new growth":                 {-38, terrace, "2026-03-20", []care.Entry{sign("2026-03-10", care.NewGrowth)}, "2026-03-20", "2026-04-14", "new growth"},
		"after flowering":            {48, terrace, "2026-09-20", []care.Entry{sign("2026-08-01", care.InBloomSeen), sign("2026-09-10", care.FlowersOver)}, "2026-09-20", "2026-10-29", "after flowering"},
		"in bloom":                   {48, terrace, "2026-04-10", []care.Entry{sign("2026-04-01", care.InBloomSeen), sign("2026-04-02", care.NewRootTip)}, "", "", "in bloom"},
		"at rest":                    {48, terrace, "2026-04-10", []care.Entry{sign("2026-03-01", care.AtRest)}, "", "", "at rest"},
		"growth after rest":          {48, terrace, "2026-04-10", []care.Entry{sign("2026-03-01", care.AtRest), sign("2026-04-05", care.NewGrowth)}, "2026-04-10", "2026-05-10", "new growth"},
		"rot, in bloom":              {48, terrace, "2026-11-10", []care.Entry{sign("2026-11-01", care.InBloomSeen), sign("2026-11-09", care.SpreadingRot)}, "2026-11-10", "2026-11-13", "cut the flowers"},
		"rot, at rest":               {48, terrace, "2026-11-10", []care.Entry{sign("2026-11-01", care.AtRest), sign("2026-11-09", care.SoftCrown)}, "2026-11-10", "2026-11-13", "at rest"},
		"set while in bloom":         {48, terrace, "2026-04-10", []care.Entry{sign("2026-04-01", care.InBloomSeen), {Kind: care.RepotPlanned, Plant: "p", At: dateOf("2026-04-09"), Detail: care.Detail{PlannedFor: dateOf("2026-04-20")}}}, "2026-04-20", "2026-04-20", "set all the same: in bloom"},
		"a day that was set is past": {48, terrace, "2026-04-10", []care.Entry{sign("2026-04-01", care.InBloomSeen), {Kind: care.RepotPlanned, Plant: "p", At: dateOf("2026-03-09"), Detail: care.Detail{PlannedFor: dateOf("2026-04-02")}}}, "", "", "in bloom"},
	} {
		t.Run(name, func(t *testing.T) {
			list, later := resident(t, c.latitude, c.space, dateOf(c.on), 6, c.seen...)
			if c.from == "" {
				if len(list) > 0 || len(later) != 1 || !strings.Contains(later[0].Why, c.says) {
					t.Fatalf("%+v, %+v; want it later, because %q", list, later, c.says)
				}
				return
			}
			if len(list) != 1 {
				t.Fatalf("%+v, %+v; want one candidate", list, later)
			}
			one := list[0]
			if got := one.From.Format(time.DateOnly) + " to " + one.To.Format(time.DateOnly); got != c.from+" to "+c.to {
				t.Errorf("the window is %s, want %s to %s", got, c.from, c.to)
			}
			if words := one.Timing + strings.Join(one.Caveats, "; "); !strings.Contains(words, c.says) {
				t.Errorf("says %q, want %q", words, c.says)
			}
			if one.Urgency <= 0 || one.To.Before(one.From) {
				t.Errorf("%+v", one)
			}
		})
	}
}

// A plant without a cause is no candidate, and each cause weighs.
func TestSeasonCauses(t *testing.T) {
	on := dateOf("2026-04-10")
	if list, later := resident(t, 48, care.Terrace, on, 1.2); len(list)+len(later) > 0 {
		t.Errorf("a plant of 1.2 years without a sign: %+v, %+v", list, later)
	}
	urgency := func(years float64, seen ...care.Entry) float64 {
		list, _ := resident(t, 48, care.Terrace, on, years, seen...)
		if len(list) != 1 {
			return 0
		}
		return list[0].Urgency
	}
	bound, rocks, rot := sign("2026-04-01", care.PotBound), sign("2026-04-01", care.RocksInPot), sign("2026-04-08", care.SpreadingRot)
	aged, tight, loose, rotting := urgency(6), urgency(1.2, bound), urgency(1.2, bound, rocks), urgency(1.2, rot)
	if !(aged > 0 && tight > 0 && loose > tight && rotting > loose) {
		t.Errorf("urgency by age %g, pot-bound %g, and rocking %g, of rot %g", aged, tight, loose, rotting)
	}
	if gone := urgency(1.2, rot, sign("2026-04-09", care.RotGone)); gone != 0 {
		t.Errorf("rot that is gone still weighs %g", gone)
	}
}

// Days away: the one told last counts, a sitter has some minutes, and what
// cannot be is refused.
func TestDaysAway(t *testing.T) {
	at := func(from, to string, minutes float64) care.Entry {
		return care.Entry{Kind: care.AwaySet, At: dateOf("2026-11-01"), Detail: care.Detail{Away: &care.Away{From: dateOf(from), To: dateOf(to), SitterMinutes: minutes}}}
	}
	entries := []care.Entry{
		{Kind: care.SettingsSet, At: dateOf("2026-11-01"), Detail: care.Detail{Settings: &care.Settings{MinutesPerDay: 40, Weekdays: care.Weekdays{time.Sunday: {Given: true}, time.Thursday: {Given: true, Minutes: 15}}}}},
		at("2026-11-10", "2026-11-20", 0), at("2026-11-14", "2026-11-15", 25),
	}
	for i := range entries {
		entries[i].ID = fmt.Sprintf("00000000-0000-7000-8000-%012x", i+1)
		if problems := entries[i].Check(dateOf("2026-11-02")); len(problems) > 0 {
			t.Fatal(problems)
		}
	}
	c := care.Replay(entries, dateOf("2026-11-02"))
	for on, want := range map[string]float64{
		"2026-11-09": 40, "2026-11-10": 0, "2026-11-13": 0, "2026-11-14": 25, "2026-11-15": 25, "2026-11-20": 0, "2026-11-21": 40,
		"2026-11-22": 0 /* Sunday */, "2026-11-26": 15, /* Thursday */
	} {
		if got := c.MinutesOn(dateOf(on)); got != want {
			t.Errorf("%s allows %g min, want %g", on, got, want)
		}
	}
	if got := care.NewCollection().MinutesOn(dateOf("2026-11-09")); !math.IsInf(got, 1) {
		t.Errorf("without a word a day allows %g min, want no limit", got)
	}
	for field, a := range map[string]care.Away{
		"detail.away.from":           {To: dateOf("2026-11-20")},
		"detail.away.to":             {From: dateOf("2026-11-20"), To: dateOf("2026-11-19")},
		"detail.away.sitter_minutes": {From: dateOf("2026-11-20"), To: dateOf("2026-11-21"), SitterMinutes: math.NaN()},
	} {
		e := care.Entry{ID: "00000000-0000-7000-8000-000000000001", Kind: care.AwaySet, At: dateOf("2026-11-01"), Detail: care.Detail{Away: &a}}
		problems := fmt.Sprint(e.Check(dateOf("2026-11-02")))
		if !strings.Contains(problems, field) {
			t.Errorf("%+v: %s, want something about %s", a, problems, field)
		}
	}
}
