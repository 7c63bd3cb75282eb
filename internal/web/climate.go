package web

import (
	"cmp"
	"context"
	"errors"
	"fmt"
	"html/template"
	"iter"
	"net/http"
	"net/url"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/culture"
	"velamen/internal/readings"
	"velamen/internal/store"
	"velamen/science/basis"
	"velamen/science/light"
)

func climateRoutes(on *router) {
	on.get("/space/{name}/climate", (*Server).showClimate)
	on.post("/space/{name}/readings", (*Server).typeReadings)
	on.post("/space/{name}/readings/remove", (*Server).removeReadings)
	on.post("/space/{name}/file", (*Server).takeFile, upTo(mostFileBytes+1<<20), lasting(fileTime))
	on.post("/space/{name}/forecast/remove", (*Server).removeForecast)
}

// climateView is the measured climate of a space against what its plants ask
// for.
type climateView struct {
	frame
	Space, Path string
	Action      string
	Measured    bool // anything, ever
	Spans       []spanLink
	Earlier     string
	Later       string
	When        string // the time that is shown
	Picture     template.HTML
	Foretold    bool   // a forecast is in it
	Nothing     string // why there is no picture
	Said        string // how much of the time was outside what is wanted
	Suspect     string
	Latest      []latestView
	TypedList   []typedView
	Foreseen    *foreseenView
	Ahead       *foretoldView
	Worst       *worstView
	Beyond      string // how many ask for more humidity than an open place has
	Week        string // the time that the worst off was looked for in
	Litres      *figureView
	LitresLack  string
	Dew         string
	DewWhy      *becauseView
	Typed       typedForm
	Upload      uploadForm
}

// spanLink leads to another span of time.
type spanLink struct {
	Path, Name string
	Here       bool
}

// latestView is the last reading of a sensor.
type latestView struct{ Name, Shown, Source, When string }

// worstView is the plant that lacks most, and why.
type worstView struct {
	plantLink
	Reasons []string
	Others  int // plants that lack something too
	Of      int
}

// climateSpan is a span of time that a page shows.
type climateSpan struct {
	key, name string
	days      int
	byDay     bool // from daily summaries
}

var climateSpans = []climateSpan{{"day", "Day", 1, false}, {"week", "Week", 7, false}, {"season", "Season", 92, true}, {"year", "Year", 365, true}}

// weekDays is how far back the worst off is looked for.
const weekDays = 7

// zone is the time zone of the place.
func (s *Server) zone() *time.Location {
	var place care.Place
	s.Book.Read(func(c *care.Collection) { place = c.Place })
	return readings.ZoneOf(place, s.Now().Location())
}

// clock returns the clock of a space.
func (s *Server) clock(space string) (k care.DayClock) {
	zone := s.zone()
	s.Book.Read(func(c *care.Collection) { k = c.DayClock(space, zone) })
	return k
}

// settleAfter makes the summaries anew after what the days and nights go by may
// have changed. What is not done in time is done with the next reading.
func (s *Server) settleAfter(r *http.Request) {
	if s.Readings == nil {
		return
	}
	if err := s.settle(r.Context()); err != nil {
		s.Logger.Warn("the climate is not summarised anew yet", "error", err)
	}
}

// Settle brings the summaries up to date with readings that came by another way
// than through the pages.
func (s *Server) Settle(ctx context.Context) error { return s.settle(ctx) }

// SpaceNamed returns the name of a space as it is written in the collection.
func (s *Server) SpaceNamed(name string) (string, error) {
	space, err := s.spaceNamed(name)
	return space.Name, err
}

// LightFrom is what shines in a space, for readings in lux.
func (s *Server) LightFrom(space string) light.Source {
	found, err := s.spaceNamed(space)
	if err != nil {
		return light.Sun
	}
	return lightOf(found)
}

// settle brings the summaries up to date with the readings, and the book with
// the summaries.
func (s *Server) settle(ctx context.Context) error {
	changed, err := s.Readings.Settle(ctx, s.clock, nil)
	return errors.Join(err, s.Book.Measured(ctx, changed))
}

func (s *Server) showClimate(w http.ResponseWriter, r *http.Request) error {
	v, err := s.newClimateView(r)
	if err != nil {
		return err
	}
	return s.render(w, r, http.StatusOK, "climate.html", v)
}

func (s *Server) newClimateView(r *http.Request) (*climateView, error) {
	space, err := s.spaceOf(r)
	if err != nil {
		return nil, err
	}
	ctx, u, clock := r.Context(), s.units(), s.clock(space.Name)
	v := &climateView{Space: space.Name, Path: spacePath(space.Name)}
	v.Title, v.Here, v.Style, v.Action = "Climate of "+space.Name, "spaces", "spaces.css", v.Path+"/climate"
	last, err := s.latest(ctx, u, space.Name, clock.Zone, v)
	if err != nil {
		return nil, err
	}
	span := climateSpans[1]
	for _, one := range climateSpans {
		if one.key == r.URL.Query().Get("show") {
			span = one
		}
	}
	today := clock.DateOf(s.Now())
	ahead := s.foretold(space.Name, clock)
	latest := ahead.lastDay(clock, today) // that can be shown
	on := today
	if v.Measured && last.Before(today) {
		on = last
	}
	if ahead.runs(s.Now()) {
		on = ahead.usualEnd(span, today, latest)
	}
	asked, err := time.Parse(time.DateOnly, r.URL.Query().Get("on"))
	if err == nil && asked.Year() >= 1980 && !asked.After(latest) {
		on = asked
	} else {
		asked = time.Time{}
	}
	for _, one := range climateSpans {
		v.Spans = append(v.Spans, spanLink{v.at(one, asked), one.name, one.key == span.key})
	}
	from := on.AddDate(0, 0, 1-span.days)
	v.Earlier = v.at(span, on.AddDate(0, 0, -span.days))
	if on.Before(latest) {
		later := on.AddDate(0, 0, span.days)
		if later.After(latest) {
			later = latest
		}
		v.Later = v.at(span, later)
	}
	v.When = shownSpan(from, on)
	v.Typed, v.Upload, v.Foreseen = newTypedForm(), newUploadForm(space, clock.Zone), s.foreseen(space)
	if v.TypedList, err = s.typed(ctx, u, space.Name, clock.Zone); err != nil {
		return nil, err
	}

	plants, err := s.wanting(ctx, space.Name)
	if err != nil {
		return nil, err
	}
	wants := newWantedAir(plants)
	if err := s.draw(ctx, v, u, clock, span, from, on, wants, ahead); err != nil {
		return nil, err
	}
	if on.After(today) { // what was measured ends there
		on = today
	}
	week, err := s.Book.Hours(ctx, space.Name, clock.Begin(on.AddDate(0, 0, 1-weekDays)), clock.Begin(on.AddDate(0, 0, 1)))
	if err != nil {
		return nil, err
	}
	v.Week = shownSpan(on.AddDate(0, 0, 1-weekDays), on)
	v.Worst = worstOff(u, plants, week)
	v.Beyond = beyondOpenAir(space, plants, week)
	if v.Ahead, err = s.aheadOf(ctx, u, space, plants, week, wants, ahead); err != nil {
		return nil, err
	}
	return v, s.room(ctx, v, u, space, week, wants.all)
}

// at leads to a span of time that ends on a day; without one, to the one that is
// usually shown.
func (v *climateView) at(span climateSpan, on time.Time) string {
	q := url.Values{"show": {span.key}}
	if !on.IsZero() {
		q.Set("on", on.Format(time.DateOnly))
	}
	return v.Path + "/climate?" + q.Encode()
}

func shownSpan(from, until time.Time) string {
	if from.Equal(until) {
		return from.Format("Monday 2 January 2006")
	}
	return from.Format("2 January") + " to " + until.Format("2 January 2006")
}

// latest lists the last readings of a space and returns the day of the last.
func (s *Server) latest(ctx context.Context, u care.Units, space string, zone *time.Location, v *climateView) (last time.Time, err error) {
	if s.Readings == nil {
		return last, nil
	}
	sensors, err := s.Readings.Sensors(ctx)
	if err != nil {
		return last, fmt.Errorf("reading what was measured last: %w", err)
	}
	for _, one := range sensors {
		if !strings.EqualFold(one.Space, space) {
			continue
		}
		v.Measured = true
		y, m, d := one.Last.In(zone).Date()
		if day := time.Date(y, m, d, 0, 0, 0, 0, time.UTC); day.After(last) {
			last = day
		}
		v.Latest = append(v.Latest, latestView{sentence(string(one.Quantity)), shownReading(u, one.Quantity, one.Value), one.Source, one.Last.In(zone).Format("Mon 2 Jan 2006, 15:04")})
	}
	return last, nil
}

func shownReading(u care.Units, q care.Quantity, value float64) string {
	switch q {
	case care.AirTemperature:
		return u.Show(basis.Exactly(value, "°C", basis.Measured, ""))
	case care.AirHumidity:
		return fmt.Sprintf("%.0f %%", value)
	}
	return fmt.Sprintf("%.0f µmol/m²/s", value)
}

// wantingPlant is a plant with what it asks of the air now.
type wantingPlant struct {
	link  plantLink
	wants care.AirWants
}

// wanting returns the plants of a space with what they ask for. Those whose
// course or group cannot be told are left out.
func (s *Server) wanting(ctx context.Context, space string) ([]wantingPlant, error) {
	type one struct {
		inhabitant
		group string
	}
	var all []one
	var recovering []string
	today := s.Book.Today()
	s.Book.Read(func(c *care.Collection) {
		for id, p := range c.Plants {
			who := inhabitant{id, p.Record.Label, p.Record.Name, p.Record.Space, p.Recovering(today)}
			if p.Ended.IsZero() && lives(who, space, len(c.Spaces)) {
				all = append(all, one{who, p.Record.Group})
			}
		}
	})
	slices.SortFunc(all, func(a, b one) int { return cmp.Compare(a.label, b.label) })
	for _, p := range all {
		if p.recovering {
			recovering = append(recovering, p.id)
		}
	}
	outlines, err := s.Book.Outlines(ctx, recovering)
	if err != nil {
		return nil, err
	}
	groups := map[string]*culture.Group{}
	var list []wantingPlant
	for _, p := range all {
		var wanted *care.Climate
		name := p.group
		if p.recovering {
			o := outlines[0].Outline
			outlines = outlines[1:]
			if o == nil {
				continue
			}
			climate := o.Wanted(today)
			wanted, name = &climate, o.Group
		}
		group, known := groups[name]
		if !known {
			if found, err := s.Book.Tables().Lookup(name); err == nil {
				group = &found
			}
			groups[name] = group
		}
		if group != nil {
			list = append(list, wantingPlant{linkTo(p.inhabitant), care.WantsOf(*group, wanted)})
		}
	}
	return list, nil
}

// mostReasons is how many shortfalls of the worst plant are told.
const mostReasons = 3

// worstOff finds the plant that lacked most over measured hours.
func worstOff(u care.Units, plants []wantingPlant, hours []care.ClimateHour) *worstView {
	if len(hours) == 0 {
		return nil
	}
	var worst *worstView
	most, lacking := 0.0, 0
	memory := map[care.AirWants][]care.Shortfall{}
	for _, p := range plants {
		falls, known := memory[p.wants]
		if !known {
			falls = p.wants.Shortfalls(hours)
			memory[p.wants] = falls
		}
		weight := 0.0
		for _, f := range falls {
			weight += f.Weight()
		}
		if len(falls) > 0 {
			lacking++
		}
		if weight <= most {
			continue
		}
		most, worst = weight, &worstView{plantLink: p.link}
		for _, f := range falls[:min(len(falls), mostReasons)] {
			worst.Reasons = append(worst.Reasons, shortfallWords(u, f))
		}
	}
	if worst != nil {
		worst.Others, worst.Of = lacking-1, len(plants)
	}
	return worst
}

// beyondOpenAir says how many plants ask for more humidity than the air of a space
// had at its most humid: after a repot that cut the roots short, the course may ask
// for what no open place has, and moving them about would not help.
func beyondOpenAir(space care.Space, plants []wantingPlant, hours []care.ClimateHour) string {
	if space.Kind == care.Enclosure {
		return ""
	}
	most, known := 0.0, false
	for i := range hours {
		if h := &hours[i].RHPercent; h.Known() {
			most, known = max(most, h.Max), true
		}
	}
	n := 0
	for _, p := range plants {
		if known && min(p.wants.Day.LowRH, p.wants.Night.LowRH) > most {
			n++
		}
	}
	if n == 0 {
		return ""
	}
	asks := "asks"
	if n > 1 {
		asks = "ask"
	}
	return fmt.Sprintf("%d of %d plants here %s, day and night, for more humidity than the air had at its most humid, %.0f %%: their roots bring too little for it. A clear cover or box over them, with a gap for air, holds it where no open place does (common practice); never in the sun, where it gets hot under it. What they ask for falls as the roots come back.", n, len(plants), asks, most)
}

func shortfallWords(u care.Units, f care.Shortfall) string {
	beyond, limit := fmt.Sprintf("%.0f µmol/m²/s", f.Beyond), shownReading(u, f.Of, f.Limit)
	switch f.Of {
	case care.AirTemperature:
		beyond = fmt.Sprintf("%.1f °C", f.Beyond)
		if u.Fahrenheit {
			beyond = fmt.Sprintf("%.1f °F", 1.8*f.Beyond)
		}
	case care.AirHumidity:
		beyond = fmt.Sprintf("%.0f %%", max(1, f.Beyond))
	}
	side := "at least"
	if f.TooMuch {
		side = "at most"
	}
	return fmt.Sprintf("%s in %d of %d hours, on average by %s; it asks for %s %s", sentence(f.Words()), f.Hours, f.All, beyond, side, limit)
}

// Readings keeps what sensors measure. A store.Store is one.
type Readings interface {
	readings.Store
	KeepReadings(ctx context.Context, list []care.Reading) (care.Kept, error)
	TakeBackReadings(ctx context.Context, space, source string, at time.Time) error
	Readings(ctx context.Context, q store.ReadingQuery) iter.Seq2[care.Reading, error]
	RemoveSource(ctx context.Context, source string) error
	Sensors(ctx context.Context) ([]store.Sensor, error)
	Settle(ctx context.Context, clockOf store.ClockOf, progress store.Progress) (care.Changed, error)
}
