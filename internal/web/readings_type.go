package web

import (
	"context"
	"fmt"
	"maps"
	"net/http"
	"slices"
	"strings"
	"time"

	"velamen/internal/care"
	"velamen/internal/store"
	"velamen/science/basis"
	"velamen/science/light"
)

// typedSource is the name under which readings are kept that were typed in.
const typedSource = "read by hand"

// typedForm asks for what an instrument shows now.
type typedForm struct{ Temperature, Humidity, Light, At field }

func newTypedForm() typedForm {
	return typedForm{
		Temperature: field{Name: "temperature", Label: "Temperature", Mode: "decimal"},
		Humidity:    field{Name: "humidity", Label: "Humidity", Unit: "%", Mode: "decimal"},
		Light:       field{Name: "light", Label: "Light", Hint: "At the leaves: fc, lx or µmol."},
		At:          field{Name: "at", Label: "When, if not now", Type: "datetime-local"},
	}
}

func (t *typedForm) fields() []*field { return []*field{&t.Temperature, &t.Humidity, &t.Light, &t.At} }

// typeReadings keeps what was read off an instrument by hand.
func (s *Server) typeReadings(w http.ResponseWriter, r *http.Request) error {
	space, err := s.spaceOf(r)
	if err != nil {
		return err
	}
	if s.Readings == nil {
		return fmt.Errorf("%w: readings", errUnavailable)
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	list := f.readings(space, s.units(), s.Now(), s.zone())
	if !f.wrong() && len(list) == 0 {
		f.say("temperature", "Write down at least one.")
	}
	if f.wrong() {
		return s.againClimate(w, r, func(v *climateView) { f.keep(v.Typed.fields()...) })
	}
	kept, err := s.Readings.KeepReadings(r.Context(), list)
	if err != nil {
		return err
	}
	if kept.Differ > 0 {
		f.say("at", "Another figure is kept for this moment already; take that one back, or say another time.")
		return s.againClimate(w, r, func(v *climateView) { f.keep(v.Typed.fields()...) })
	}
	if err := s.settle(r.Context()); err != nil {
		return err
	}
	return seeOther(w, r, spacePath(space.Name)+"/climate?show=day&done=kept")
}

// againClimate shows the page again with what was typed.
func (s *Server) againClimate(w http.ResponseWriter, r *http.Request, change func(*climateView)) error {
	v, err := s.newClimateView(r)
	if err != nil {
		return err
	}
	change(v)
	return s.render(w, r, http.StatusUnprocessableEntity, "climate.html", v)
}

// readings reads the form of single readings.
func (f *form) readings(space care.Space, u care.Units, now time.Time, zone *time.Location) []care.Reading {
	at := now
	if text := f.text("at"); text != "" {
		var err error
		if at, err = time.ParseInLocation("2006-01-02T15:04", text, zone); err != nil {
			f.say("at", "%q is not a time.", text)
		} else if at.After(now.Add(time.Minute)) {
			f.say("at", "That lies in the future.")
		}
	}
	var list []care.Reading
	add := func(name string, q care.Quantity, v basis.Value) {
		if v.Grade == 0 || f.errors[name] != "" {
			return
		}
		one := care.Reading{Space: space.Name, Source: typedSource, Quantity: q, At: at.Truncate(time.Second).UTC(), Value: v.Value}
		if err := one.Check(now); err != nil {
			f.say(name, "%s.", sentence(err.Error()))
			return
		}
		list = append(list, one)
	}
	add("temperature", care.AirTemperature, f.quantity("temperature", airTemperature, u, basis.Value{}))
	add("humidity", care.AirHumidity, f.quantity("humidity", humidity, u, basis.Value{}))
	if level, unit := f.lightLevel("light", u, care.LightLevel{}); level.Grade != 0 {
		named, err := light.ParseUnit(string(unit))
		if err == nil && named == light.DLI {
			f.say("light", "A day's sum is no single reading.")
		} else if ppfd, err := light.Convert(light.Quantity{Amount: level.Value, Unit: named}, light.PPFD, light.Lighting{Source: lightOf(space)}); err != nil {
			f.say("light", "%s.", sentence(err.Error()))
		} else {
			add("light", care.LeafLight, ppfd)
		}
	}
	return list
}

// removeReadings takes back what was typed at one moment.
func (s *Server) removeReadings(w http.ResponseWriter, r *http.Request) error {
	space, err := s.spaceOf(r)
	if err != nil {
		return err
	}
	if s.Readings == nil {
		return fmt.Errorf("%w: readings", errUnavailable)
	}
	f, err := readForm(r)
	if err != nil {
		return err
	}
	at, err := time.Parse(time.RFC3339, f.text("at"))
	if err != nil {
		return fmt.Errorf("%w: %q is not a time", errBadRequest, f.text("at"))
	}
	if err := s.Readings.TakeBackReadings(r.Context(), space.Name, typedSource, at); err != nil {
		return err
	}
	if err := s.settle(r.Context()); err != nil {
		return err
	}
	return seeOther(w, r, spacePath(space.Name)+"/climate?done=back")
}

// typedView is what was typed at one moment, which can be taken back.
type typedView struct{ When, Shown, At string }

const (
	typedDays = 60
	mostTyped = 8
)

// typed lists the last readings that were typed in a space, the newest first.
func (s *Server) typed(ctx context.Context, u care.Units, space string, zone *time.Location) ([]typedView, error) {
	if s.Readings == nil {
		return nil, nil
	}
	var list []typedView
	byTime := map[time.Time][]string{}
	query := store.ReadingQuery{Space: space, Source: typedSource, From: s.Now().AddDate(0, 0, -typedDays)}
	for one, err := range s.Readings.Readings(ctx, query) {
		if err != nil {
			return nil, fmt.Errorf("reading what was typed: %w", err)
		}
		byTime[one.At] = append(byTime[one.At], shownReading(u, one.Quantity, one.Value))
	}
	times := slices.SortedFunc(maps.Keys(byTime), func(a, b time.Time) int { return b.Compare(a) })
	for _, at := range times[:min(len(times), mostTyped)] {
		list = append(list, typedView{at.In(zone).Format("Mon 2 Jan, 15:04"), strings.Join(byTime[at], ", "), at.Format(time.RFC3339)})
	}
	return list, nil
}
