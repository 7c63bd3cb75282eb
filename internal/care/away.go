package care

import (
	"math"
	"slices"
	"time"
)

// Away is a stretch of days on which the grower does no round.
type Away struct {
	From time.Time `json:"from"` // first day, a calendar day at midnight UTC
	To   time.Time `json:"to"`   // last day
	// Sitter is who looks after the plants meanwhile, and for how long a day;
	// empty when nobody does.
	Sitter        string  `json:"sitter,omitempty"`
	SitterMinutes float64 `json:"sitter_minutes,omitempty"`
}

// AwayAt is an absence with the entry that tells it.
type AwayAt struct {
	Away
	Entry string
}

// longestAway is the longest absence that is planned for.
const longestAway = 366

func (a *Away) check(bad func(field, format string, args ...any)) {
	if a == nil {
		return
	}
	switch {
	case a.From.IsZero():
		bad("detail.away.from", "is missing: which is the first day?")
	case a.To.IsZero():
		bad("detail.away.to", "is missing: which is the last day?")
	case a.To.Before(a.From):
		bad("detail.away.to", "%s lies before the first day, %s", a.To.Format(time.DateOnly), a.From.Format(time.DateOnly))
	case daysBetween(a.From, a.To) >= longestAway:
		bad("detail.away.to", "%d days away; %d are the most", daysBetween(a.From, a.To)+1, longestAway)
	}
	if !(a.SitterMinutes >= 0 && a.SitterMinutes <= 24*60) || math.IsNaN(a.SitterMinutes) {
		bad("detail.away.sitter_minutes", "%g is outside 0 to 1440 min", a.SitterMinutes)
	}
	if len(a.Sitter) > 120 {
		bad("detail.away.sitter", "has %d letters; 120 are the most", len(a.Sitter))
	}
}

// Holds reports whether a day is one of the absence.
func (a *Away) Holds(on time.Time) bool { return !on.Before(a.From) && !on.After(a.To) }

// AwayOn returns the absence on a day; of several the one told last.
func (c *Collection) AwayOn(on time.Time) (AwayAt, bool) {
	for _, a := range slices.Backward(c.Aways) {
		if a.Holds(on) {
			return a, true
		}
	}
	return AwayAt{}, false
}

// MinutesOn returns what a day allows: what the sitter has while the grower is
// away, else what was said for its weekday, else for any day; +Inf if nothing was
// said.
func (c *Collection) MinutesOn(on time.Time) float64 {
	if a, away := c.AwayOn(on); away {
		return a.SitterMinutes
	}
	return c.Settings.minutesOn(on.Weekday())
}

func (s *Settings) minutesOn(day time.Weekday) float64 {
	if w := s.Weekdays[day]; w.Given {
		return w.Minutes
	}
	if s.MinutesPerDay > 0 {
		return s.MinutesPerDay
	}
	return math.Inf(1)
}

// allowsAs reports whether a day allows the same as by other settings.
func (s *Settings) allowsAs(other *Settings) bool {
	return s.MinutesPerDay == other.MinutesPerDay && s.LitresPerDay == other.LitresPerDay && s.Weekdays == other.Weekdays
}

// WeekdayMinutes is what one day of the week allows, where it differs from the
// others; zero is a day off.
type WeekdayMinutes struct {
	Given   bool    `json:"given,omitempty"`
	Minutes float64 `json:"minutes,omitempty"`
}

// Weekdays is indexed by time.Weekday, Sunday first.
type Weekdays [7]WeekdayMinutes

func (s *Settings) check(bad func(field, format string, args ...any)) {
	if s == nil {
		return
	}
	number := func(field string, v, most float64) {
		if !(v >= 0 && v <= most) {
			bad("detail.settings."+field, "%g is outside 0 to %g", v, most)
		}
	}
	number("minutes_per_day", s.MinutesPerDay, 24*60)
	number("litres_per_day", s.LitresPerDay, 1e5)
	number("bench_minutes_per_week", s.BenchMinutesPerWeek, 7*24*60)
	for i, w := range s.Weekdays {
		number("weekdays["+time.Weekday(i).String()+"]", w.Minutes, 24*60)
	}
}
