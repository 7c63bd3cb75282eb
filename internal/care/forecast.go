package care

import (
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/pot"
)

// Forecast is the water and the salt in a plant's new home, hour by hour, from
// the last flush to some days ahead. The range is that between a medium at its
// driest and at its wettest.
type Forecast struct {
	Start  time.Time   `json:"start"` // midnight before the first hour
	Ahead  int         `json:"ahead"` // first hour that lies after the day of the forecast began
	Water  Band        `json:"water"` // share of what the home holds
	Salt   Band        `json:"salt"`  // mean EC of the pore water, mS/cm
	Pours  []Poured    `json:"pours"` // those of the time shown, done and to come
	Due    time.Time   `json:"due"`   // day of the next flush
	Driest basis.Value `json:"driest_limit"`
	Salty  basis.Value `json:"saltiest_limit"`

	LeastWater Figure `json:"least_water"` // in the days ahead
	MostSalt   Figure `json:"most_salt"`
	WetHours   Figure `json:"wet_hours"` // a day, in the days ahead: the measure of a mount

	// Kept says that no flush was noted for so long that the rhythm is taken to
	// have been kept.
	Kept bool `json:"rhythm_taken_as_kept,omitempty"`
}

// Band is an hourly course with its range; the three have the same length.
type Band struct {
	Value []float64 `json:"value"`
	Low   []float64 `json:"low"`
	High  []float64 `json:"high"`
}

// Poured is one flush of a forecast, all its pours together.
type Poured struct {
	At     time.Time `json:"at"`
	ML     float64   `json:"ml"`
	Fed    bool      `json:"fed,omitempty"`    // the last pour carries feed
	Wetted bool      `json:"wetted,omitempty"` // no flush: a watering in between, or a further wetting of a mount
}

// LastWater is when a plant was last flushed, watered in between and fed, as far
// as it was noted.
type LastWater struct{ Flush, Water, Feed time.Time }

const (
	forgottenDays = 14 // without a note, after which flushes are taken as done but not noted
	shownDays     = 7  // of the past, at most
	shownOfMount  = 2  // the same of a mount, which dries within a day
)

// NewForecast follows the new home of a plant whose course was worked out with
// NewCourse, for some days (1 to 60) from the day of the course on. Before the
// last flush the planned rhythm is taken as kept; from then on the flushes
// follow the course's instruction, an overdue one on the day of the course.
func NewForecast(c Case, p Plant, tables culture.Table, planned Course, last LastWater, days int) (Forecast, error) {
	if days < 1 || days > 60 {
		return Forecast{}, fmt.Errorf("a forecast of %d days; 1 to 60 are possible", days)
	}
	if planned.Day < 0 {
		return Forecast{}, fmt.Errorf("plant %s has not been repotted yet", p.Label)
	}
	s, err := settle(c, p, tables)
	if err != nil {
		return Forecast{}, err
	}
	t, err := s.newTranspiration()
	if err != nil {
		return Forecast{}, err
	}
	a := &ahead{s: s, t: t, c: &planned, days: days}
	out, err := a.forecast(last)
	if err != nil {
		return Forecast{}, fmt.Errorf("plant %s: %w", p.Label, err)
	}
	return out, nil
}

// ahead works out one forecast. Its hours count from the midnight of the repot.
type ahead struct {
	s    *subject
	t    *transpiration
	c    *Course
	days int

	pours   []pot.Pour
	flushes []Poured
}

// week is the week of a day; days after the last week are taken to be like it.
func (a *ahead) week(day int) *Week {
	return &a.c.Weeks[min(max(day/7, 0), len(a.c.Weeks)-1)]
}

func (a *ahead) forecast(last LastWater) (Forecast, error) {
	today := a.c.Day
	out := Forecast{Driest: driestWetness[a.s.group.DriesBetween.Is], Salty: saltyECmS}
	flushed := a.dayOf(last.Flush)
	if today-flushed > forgottenDays {
		out.Kept = true
	}
	due := a.schedule(flushed, a.dayOf(last.Water), a.dayOf(last.Feed), today, out.Kept)
	out.Due = a.s.date(due)

	first := max(0, today-shownDays)
	if a.s.plant.Repot.To.Mount != nil {
		first = max(0, today-shownOfMount)
	} else if !out.Kept {
		first = max(first, flushed)
	}
	hours := 24 * (today + a.days)
	forcing, err := a.forcing(hours)
	if err != nil {
		return out, err
	}
	out.Start, out.Ahead = a.s.date(first), 24*(today-first)
	var wetHours [3]float64
	for i, pick := range []func(basis.Value) float64{central, driest, wettest} {
		water, salt, wet, err := a.run(forcing, pick)
		if err != nil {
			return out, err
		}
		wetHours[i] = 24 * mean(wet[24*today:])
		out.Water.widen(water[24*first:], i == 0)
		out.Salt.widen(salt[24*first:], i == 0)
	}
	slices.SortStableFunc(a.flushes, func(x, y Poured) int { return x.At.Compare(y.At) })
	for _, f := range a.flushes {
		if !f.At.Before(out.Start) {
			out.Pours = append(out.Pours, f)
		}
	}
	a.extremes(&out)
	out.WetHours = figure(wetHours[0], wetHours[1], wetHours[2], "h", Because{
		Rule: "the share of each hour in which the home is wet enough for its roots, added up and shared out over the days ahead",
		Inputs: []Input{
			{"flushed every", a.c.Flush.Every.Value}, {"wettings a day", basis.Exactly(float64(a.c.Flush.Wettings), "1", basis.Assumption, "")},
			{"wanted on a mount", mountWetHours},
		},
	})
	return out, nil
}

// dayOf is the day of the course on which something was done; the repot itself
// counts as a flush.
func (a *ahead) dayOf(at time.Time) int {
	if at.IsZero() {
		return 0
	}
	day := int(math.Round(midnight(at).Sub(a.s.plant.Repot.Date).Hours() / 24))
	return min(max(day, 0), a.c.Day)
}

// schedule lays out the flushes and the waterings between them: the rhythm of
// each week up to the last flush that was noted, that one, and the rhythm from
// then on; since that flush only a noted watering counts. It returns the day of
// the next flush that is not done yet.
func (a *ahead) schedule(flushed, watered, fed, today int, kept bool) int {
	every := func(day int) int { return max(1, int(a.week(day).Flush.Every.Value.Value)) }
	feedEvery := max(1, int(math.Round(a.c.Usual.FeedEvery.Value)))
	lastFed := 0
	type flushDay struct {
		day int
		fed bool
	}
	var days []flushDay
	flush := func(day int) {
		feed := day-lastFed >= feedEvery
		if day <= today {
			feed = feed && fed == 0 || day > 0 && day == fed
		}
		if feed {
			lastFed = day
		}
		days = append(days, flushDay{day, feed})
	}
	if kept {
		flushed = today
	}
	day := 0
	for ; day < flushed; day += every(day) {
		flush(day)
	}
	if !kept {
		flush(flushed)
		lastFed = max(lastFed, fed)
		day = max(flushed+every(flushed), today)
	}
	due := day
	for ; day < today+a.days; day += every(day) {
		flush(day)
	}
	for i, f := range days {
		next := f.day + every(f.day)
		if i+1 < len(days) {
			next = days[i+1].day
		}
		a.flush(f.day, f.fed)
		between := a.week(f.day).Flush.WaterEvery
		if !kept && f.day == flushed {
			if watered > flushed {
				a.water(watered, flushed)
			}
			a.waterings(max(max(flushed, watered)+between, today), next, f.day)
			continue
		}
		a.waterings(f.day+between, next, f.day)
	}
	return due
}

// waterings adds what is watered from a day on until the next flush, as the
// course of the day of the last flush asks for it.
func (a *ahead) waterings(from, next, flushed int) {
	f := a.week(flushed).Flush
	if f.Between == nil {
		return
	}
	for day := from; day < next; day += max(1, f.WaterEvery) {
		a.water(day, flushed)
	}
}

// water adds one watering between two flushes.
func (a *ahead) water(day, flushed int) {
	f := a.week(flushed).Flush
	mL := f.PourML
	if f.Between != nil {
		mL = f.Between.Value.Value
	}
	hour := 24*day + wateringHour
	a.pours = append(a.pours, pot.Pour{Hour: hour, ML: mL, ECmS: a.s.flushWater.ECmS.Value})
	a.flushes = append(a.flushes, Poured{At: a.s.date(day).Add(wateringHour * time.Hour), ML: mL, Wetted: true})
}

// flush adds one flush as the course of that day asks for it: its pours an hour
// apart from the watering hour on, the last one fed on a feed day, and on a
// mount the further wettings of the day.
func (a *ahead) flush(day int, feed bool) {
	f := a.week(day).Flush
	hour := 24*day + wateringHour
	n := max(1, int(f.Pours.Value.Value))
	plain := a.s.flushWater.ECmS.Value
	for i := range n {
		ec := plain
		if feed && i == n-1 {
			ec = a.week(day).Targets.FeedECmS.Value.Value
		}
		a.pours = append(a.pours, pot.Pour{Hour: hour + i, ML: f.PourML, ECmS: ec})
	}
	at := a.s.date(day).Add(wateringHour * time.Hour)
	a.flushes = append(a.flushes, Poured{At: at, ML: float64(n) * f.PourML, Fed: feed})
	for w := 1; w < f.Wettings; w++ {
		later := hour + w*12/mostWettings
		a.pours = append(a.pours, pot.Pour{Hour: later, ML: f.PourML, ECmS: plain})
		a.flushes = append(a.flushes, Poured{At: a.s.date(0).Add(time.Duration(later) * time.Hour), ML: f.PourML, Wetted: true})
	}
}

// forcing lays the weeks of the course end to end: each with the climate it asks
// for and with what the roots bring in it.
func (a *ahead) forcing(hours int) (pot.Forcing, error) {
	var all pot.Forcing
	for from := 0; from < hours; from += 24 * 7 {
		week := a.week(from / 24)
		n := week.Targets
		climate := course.Climate{
			LightFactor: n.LightPPFD.Value.Value / math.Max(1e-9, a.s.usualPPFD.Value),
			DayC:        n.DayHeatCapC.Value.Value, AirSpeedMS: n.AirSpeedMS.Value.Value,
			DayRHPercent: n.DayRHPercent.Value.Value, NightRHPercent: n.NightRHPercent.Value.Value,
		}
		// The leaves lose what this climate takes from them, or what the roots
		// bring if that is less.
		share := 1.0
		if demand := a.t.demand(climate); demand > 0 {
			share = math.Min(1, math.Max(0, week.Supply)/demand)
		}
		part, err := a.s.forcing(a.t, climate, share*a.s.plant.Repot.LeavesKept.Value, min(24*7, hours-from))
		if err != nil {
			return all, err
		}
		all.DemandML = append(all.DemandML, part.DemandML...)
		all.PotentialEvaporationMM = append(all.PotentialEvaporationMM, part.PotentialEvaporationMM...)
		all.RHPercent = append(all.RHPercent, part.RHPercent...)
	}
	return all, a.t.failed
}

// run simulates the home from the bench on.
func (a *ahead) run(forcing pot.Forcing, pick func(basis.Value) float64) (water, salt, wet []float64, err error) {
	home, err := a.s.build(a.s.plant.Repot.To, true, pick)
	if err != nil {
		return nil, nil, nil, err
	}
	start, err := FreshFromBag(home.pot, 0.2)
	if err != nil {
		return nil, nil, nil, err
	}
	if soaked := a.s.plant.Repot.SoakedHours.Value; soaked > 0 && a.s.plant.Repot.To.Mount == nil {
		if _, err = home.pot.Soak(&start, math.Min(math.Max(soaked, 0.1), 336), 3*home.pot.VolumeML(), a.s.flushWater.ECmS.Value); err != nil {
			return nil, nil, nil, err
		}
	}
	hours := len(forcing.DemandML)
	pours := slices.Clone(a.pours)
	slices.SortStableFunc(pours, func(x, y pot.Pour) int { return x.Hour - y.Hour })
	pours = slices.DeleteFunc(pours, func(p pot.Pour) bool { return p.Hour >= hours })
	out := pot.Series{Wetness: make([]float64, hours), ECmS: make([]float64, hours), WetShare: make([]float64, hours)}
	_, err = pot.Simulate(home.pot, start, forcing, pours, out)
	return out.Wetness, out.ECmS, out.WetShare, err
}

// widen takes a run into the band; the first one is the value.
func (b *Band) widen(run []float64, first bool) {
	if first {
		b.Value, b.Low, b.High = run, slices.Clone(run), slices.Clone(run)
		return
	}
	for h, v := range run {
		b.Low[h], b.High[h] = math.Min(b.Low[h], v), math.Max(b.High[h], v)
	}
}

// extremes finds the driest and the saltiest hour ahead. Hours before the first
// pour of the day of the repot do not count.
func (a *ahead) extremes(f *Forecast) {
	from := f.Ahead
	if a.c.Day == 0 {
		from += wateringHour
	}
	driest, saltiest := from, from
	for h := from; h < len(f.Water.Value); h++ {
		if f.Water.Value[h] < f.Water.Value[driest] {
			driest = h
		}
		if f.Salt.Value[h] > f.Salt.Value[saltiest] {
			saltiest = h
		}
	}
	when := func(h int) string {
		return f.Start.Add(time.Duration(h+1) * time.Hour).Format("Monday 2 January, 15:04")
	}
	every := Input{"flushed every", a.c.Flush.Every.Value}
	poured := Input{"poured each time", a.c.Flush.Total.Value}
	water := Input{"EC of the water, " + a.s.flushWater.Name, a.s.flushWater.ECmS}
	note := "from the culture tables and the course; weighings and drainage readings are not taken in yet"
	f.LeastWater = figure(f.Water.Value[driest], slices.Min(f.Water.Low[from:]), f.Water.Value[driest], "share", Because{
		Rule:   "the home simulated hour by hour (surface, wall and roots dry it, pours fill it); driest on " + when(driest),
		Inputs: []Input{every, poured, {"should not fall below", f.Driest}},
		Note:   note,
	})
	f.MostSalt = figure(f.Salt.Value[saltiest], f.Salt.Value[saltiest], slices.Max(f.Salt.High[from:]), "mS/cm", Because{
		Rule:   "salt carried in by water and feed, taken up by roots and washed out by flushes; saltiest on " + when(saltiest),
		Inputs: []Input{every, water, {"feed, finished solution", a.c.Now.FeedECmS.Value}, {"should not rise above", f.Salty}},
		Note:   note,
	})
}
