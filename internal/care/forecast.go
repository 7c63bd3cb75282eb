package care

import (
	"fmt"
	"math"
	"slices"
	"time"

	"velamen/internal/culture"
	"velamen/science/basis"
	"velamen/science/pot"
)

// Forecast is the water and the salt in a plant's new home, hour by hour, from
// the last flush to some days ahead. The value is the middle of 200 possible pots
// that explain what was read, the range that of the middle 80 % of them.
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
	// Climate says where the climate came from.
	Climate string `json:"climate"`
	// Worth says what one more reading would tell, the best first.
	Worth []ReadingWorth `json:"worth_reading,omitempty"`
}

// Outlook is what a forecast rests on besides the course.
type Outlook struct {
	Last    LastWater
	Days    int        // ahead, 1 to 60
	Pot     []PotEvent // what was noted of the pot
	Rains   []Rain     // those that fell on it
	Around  Around
	Learned *Learned // nil: nothing was read
	Name    string   // seeds the chance in it; the id of the plant
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
// NewCourse, for some days from the day of the course on. Before the last flush
// the planned rhythm is taken as kept where nothing was noted; from then on the
// flushes follow the course's instruction, an overdue one on the day of the
// course.
func NewForecast(c Case, p Plant, tables culture.Table, planned Course, o Outlook) (Forecast, error) {
	if o.Days < 1 || o.Days > 60 {
		return Forecast{}, fmt.Errorf("a forecast of %d days; 1 to 60 are possible", o.Days)
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
	a := &ahead{s: s, t: t, c: &planned, Outlook: o, around: newSurroundings(s, t, &planned, o.Around)}
	if o.Learned != nil {
		a.around.headroom = o.Learned.figure(headroomName).Now.Value / headroom(s.plant.Vigour).Value
	}
	out, err := a.forecast()
	if err != nil {
		return Forecast{}, fmt.Errorf("plant %s: %w", p.Label, err)
	}
	return out, nil
}

// ahead works out one forecast. Its hours count from the midnight of the repot.
type ahead struct {
	Outlook
	s      *subject
	t      *transpiration
	c      *Course
	around *surroundings

	pours   []pot.Event
	flushes []Poured
}

// week is the week of a day; days after the last week are taken to be like it.
func (a *ahead) week(day int) *Week { return a.around.week(day) }

func (a *ahead) forecast() (Forecast, error) {
	today := a.c.Day
	out := Forecast{Driest: driestWetness[a.s.group.DriesBetween.Is], Salty: saltyECmS}
	flushed := a.dayOf(a.Last.Flush)
	if today-flushed > forgottenDays {
		out.Kept = true
	}
	due := a.schedule(flushed, a.dayOf(a.Last.Water), a.dayOf(a.Last.Feed), today, out.Kept)
	out.Due = a.s.date(due)
	if !out.Kept {
		a.noted(today)
	}
	slices.SortStableFunc(a.pours, func(x, y pot.Event) int { return x.Hour - y.Hour })
	slices.SortStableFunc(a.flushes, func(x, y Poured) int { return x.At.Compare(y.At) })

	first := max(0, today-shownDays)
	if a.s.plant.Repot.To.Mount != nil {
		first = max(0, today-shownOfMount)
	} else if !out.Kept {
		first = max(first, flushed)
	}
	out.Start, out.Ahead = a.s.date(first), 24*(today-first)
	begin := max(0, first-settleDays)
	ensemble, err := a.ensemble(begin, today+a.Days-begin)
	if err != nil {
		return out, err
	}
	bands, err := ensemble.Bands(a.from(begin, today+a.Days), 24*(first-begin), 24*(today-begin))
	if err != nil {
		return out, err
	}
	out.Water, out.Salt = bandOf(bands.Wetness), bandOf(bands.ECmS)
	for _, f := range a.flushes {
		if !f.At.Before(out.Start) && f.At.Before(a.s.date(today+a.Days)) {
			out.Pours = append(out.Pours, f)
		}
	}
	out.Climate = a.around.says()
	a.extremes(&out)
	perDay := 1 / float64(a.Days)
	out.WetHours = figure(perDay*bands.WetHours.Middle, perDay*bands.WetHours.Low, perDay*bands.WetHours.High, "h", Because{
		Rule: "the hours in which the home is wet enough for its roots, shared out over the days ahead",
		Inputs: []Input{
			{"flushed every", a.c.Flush.Every.Value}, {"wettings a day", basis.Exactly(float64(a.c.Flush.Wettings), "1", basis.Assumption, "")},
			{"wanted on a mount", mountWetHours},
		},
		Note: out.Climate,
	})
	out.Worth, err = a.worth(ensemble, begin, due)
	return out, err
}

// ensemble is that of the readings, or one of what the tables let expect, in the
// weather of some days.
func (a *ahead) ensemble(begin, days int) (*pot.Ensemble, error) {
	weather, err := a.around.weather(begin, days, a.c.Day)
	if err != nil {
		return nil, err
	}
	if a.Learned != nil {
		return a.Learned.ensemble.Again(a.s.drawing(begin), weather)
	}
	return pot.NewEnsemble(ensembleMembers, drawnFigures, a.s.drawing(begin), weather, pot.DefaultInstruments(), a.s.tareG(), basis.ChanceOf(a.Name))
}

// from returns the pours of some days, in hours of the ensemble's weather.
func (a *ahead) from(begin, end int) []pot.Event {
	var list []pot.Event
	for _, p := range a.pours {
		if p.Hour -= 24 * begin; p.Hour >= 0 && p.Hour < 24*(end-begin) {
			list = append(list, p)
		}
	}
	return list
}

// noted puts what was noted in the place of what was planned for the days behind.
func (a *ahead) noted(today int) {
	log := slices.DeleteFunc(a.around.log(a.Pot, a.Rains), func(v pot.Event) bool { return v.What != pot.Watered || v.Hour >= 24*(today+1) })
	if len(log) == 0 {
		return
	}
	from, to := log[0].Hour/24, log[len(log)-1].Hour/24
	behind := func(day int) bool { return day >= from && day <= to }
	a.pours = slices.DeleteFunc(a.pours, func(v pot.Event) bool { return behind(v.Hour / 24) })
	a.flushes = slices.DeleteFunc(a.flushes, func(f Poured) bool {
		return behind(daysBetween(a.s.plant.Repot.Date, midnight(f.At)))
	})
	a.pours = append(a.pours, log...)
	for i := 0; i < len(log); {
		one := Poured{At: a.s.date(0).Add(time.Duration(log[i].Hour) * time.Hour)}
		hour := log[i].Hour
		for ; i < len(log) && log[i].Hour == hour; i++ {
			one.ML += log[i].Value
			one.Fed = one.Fed || log[i].ECmS > lowSaltECmS.Value && log[i].ECmS > 1.5*a.s.flushWater.ECmS.Value
		}
		one.Wetted = one.ML < 0.6*a.week(hour/24).Flush.Total.Value.Value
		a.flushes = append(a.flushes, one)
	}
}

func bandOf(spans []pot.Span) Band {
	b := Band{Value: make([]float64, len(spans)), Low: make([]float64, len(spans)), High: make([]float64, len(spans))}
	for h, s := range spans {
		b.Low[h], b.Value[h], b.High[h] = s.Low, s.Middle, s.High
	}
	return b
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
	for ; day < today+a.Days; day += every(day) {
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
	a.pours = append(a.pours, pot.Event{Hour: hour, What: pot.Watered, Value: mL, ECmS: a.s.flushWater.ECmS.Value})
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
		a.pours = append(a.pours, pot.Event{Hour: hour + i, What: pot.Watered, Value: f.PourML, ECmS: ec})
	}
	at := a.s.date(day).Add(wateringHour * time.Hour)
	a.flushes = append(a.flushes, Poured{At: at, ML: float64(n) * f.PourML, Fed: feed})
	for w := 1; w < f.Wettings; w++ {
		later := hour + w*12/mostWettings
		a.pours = append(a.pours, pot.Event{Hour: later, What: pot.Watered, Value: f.PourML, ECmS: plain})
		a.flushes = append(a.flushes, Poured{At: a.s.date(0).Add(time.Duration(later) * time.Hour), ML: f.PourML, Wetted: true})
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
	note := "from the culture tables and the course; nothing was read off this pot yet"
	if l := a.Learned; l != nil {
		note = l.Says()
	}
	note += "; " + f.Climate
	f.LeastWater = figure(f.Water.Value[driest], slices.Min(f.Water.Low[from:]), f.Water.High[driest], "share", Because{
		Rule:   "the home simulated hour by hour (surface, wall and roots dry it, pours fill it); driest on " + when(driest),
		Inputs: []Input{every, poured, {"should not fall below", f.Driest}},
		Note:   note,
	})
	f.MostSalt = figure(f.Salt.Value[saltiest], f.Salt.Low[saltiest], slices.Max(f.Salt.High[from:]), "mS/cm", Because{
		Rule:   "salt carried in by water and feed, taken up by roots and washed out by flushes; saltiest on " + when(saltiest),
		Inputs: []Input{every, water, {"feed, finished solution", a.c.Now.FeedECmS.Value}, {"should not rise above", f.Salty}},
		Note:   note,
	})
}
