package web

import (
	"context"
	"fmt"
	"strings"

	"velamen/internal/care"
	"velamen/science/basis"
)

// room says what a humidifier would need and whether dew forms on the glass.
func (s *Server) room(ctx context.Context, v *climateView, u care.Units, space care.Space, week []care.ClimateHour, wants care.AirWants) error {
	if space.Kind == care.Terrace || len(week) == 0 {
		return nil
	}
	outside, err := s.outdoors(ctx, space, week)
	if err != nil {
		return err
	}
	if f, ok := space.Room.HumidifierLitres(week, outside, wants); ok {
		litres := newFigure(u, "Water to evaporate", f)
		v.Litres = &litres
	} else {
		switch {
		case space.Room == nil || space.Room.VolumeM3.Grade == 0:
			v.LitresLack = "Say how large the room is, and the litres of a humidifier are reckoned."
		case outside.TempC.Grade == 0 && len(outside.Hours) == 0:
			v.LitresLack = "Nothing is known of the air outside: a space under the open sky, with its usual climate or a sensor, tells it."
		}
	}
	if dew, ok := space.Room.DewOnGlass(week, outside, wants); ok {
		v.Dew = dewWords(u, dew, s, "measured hours")
		v.DewWhy = newBecause(u, &dew.Because, basis.Assumption, "")
	}
	return nil
}

// outdoors is the air outside: as measured in a space under the open sky, or as
// it usually is there.
func (s *Server) outdoors(ctx context.Context, inside care.Space, week []care.ClimateHour) (*care.Outdoors, error) {
	o := &care.Outdoors{}
	var spaces []care.Space
	s.Book.Read(func(c *care.Collection) { spaces = c.Spaces })
	for _, one := range spaces {
		if one.Kind != care.Terrace || strings.EqualFold(one.Name, inside.Name) {
			continue
		}
		if one.NightC.Grade != 0 && one.DayC.Grade != 0 && one.NightRHPercent.Grade != 0 && one.DayRHPercent.Grade != 0 {
			o.TempC = basis.Exactly((one.DayC.Value+one.NightC.Value)/2, "°C", basis.Weakest(one.DayC.Grade, one.NightC.Grade), "")
			o.RHPercent = basis.Exactly((one.DayRHPercent.Value+one.NightRHPercent.Value)/2, "%", basis.Weakest(one.DayRHPercent.Grade, one.NightRHPercent.Grade), "")
			o.UsualOf = "the usual climate of " + one.Name
		}
		hours, err := s.Book.Hours(ctx, one.Name, week[0].Start, week[len(week)-1].Start.Add(1))
		if err != nil {
			return nil, err
		}
		o.Hours, o.HoursFrom = hours, one.Name
		break
	}
	return o, nil
}

func dewWords(u care.Units, d care.Dew, s *Server, hours string) string {
	glass, dew := u.Show(basis.Exactly(d.GlassC, "°C", basis.Assumption, "")), u.Show(basis.Exactly(d.DewPointC, "°C", basis.Measured, ""))
	when := d.Worst.In(s.zone()).Format("Monday, 15:04")
	text := fmt.Sprintf("None in %d %s: at its nearest, on %s, with the glass at about %s and the dew point at %s.", d.Of, hours, when, glass, dew)
	if d.Hours > 0 {
		text = fmt.Sprintf("In %d of %d %s; worst on %s, with the glass at about %s and the dew point at %s.", d.Hours, d.Of, hours, when, glass, dew)
	}
	if d.Held > d.Hours {
		text += fmt.Sprintf(" With the air held as humid as the plants ask for it would be %d hours.", d.Held)
	}
	return text
}
