package care

import (
	"fmt"
	"strconv"
	"strings"

	"velamen/science/basis"
	"velamen/science/light"
)

// settleLight finds out how much light the plant usually gets, in PPFD and as a
// daily sum, and when the day begins.
func (s *subject) settleLight(Case) error {
	l := &s.space.Light
	if l.Source == "" {
		l.Source = "sun"
		if s.space.Kind.UnderLamps() {
			l.Source = "led"
		}
		s.assume("space.light_from", l.Source, "usual for a "+string(s.space.Kind))
	}
	source, err := light.ParseSource(l.Source)
	if err != nil {
		return err
	}
	s.lighting = light.Lighting{Source: source, Shape: light.ClearDayPeak}
	if source == light.Sun || source == light.BlueSky {
		s.lighting.Hours, err = s.dayLength()
		if err != nil {
			return err
		}
	} else {
		s.lighting.Shape = light.Steady
		s.fill(&l.HoursPerDay, "space.light_hours", basis.Value{Value: 12, Low: 10, High: 14, Unit: "h", Grade: basis.CommonPractice}, "usual under lamps")
		s.lighting.Hours = l.HoursPerDay.Value
	}
	s.lightStart = 12 - s.lighting.Hours/2
	if l.Level.Grade == 0 {
		if err := s.assumeLight(); err != nil {
			return err
		}
	}
	unit, err := light.ParseUnit(string(l.Unit))
	if err != nil {
		return err
	}
	quantity := light.Quantity{Amount: l.Level.Value, Unit: unit}
	for _, usual := range []struct {
		unit  light.Unit
		value *basis.Value
	}{{light.PPFD, &s.usualPPFD}, {light.DLI, &s.usualDLI}} {
		v := usual.value
		if *v, err = light.Convert(quantity, usual.unit, s.lighting); err != nil {
			return fmt.Errorf("light in space %s: %w", s.space.Name, err)
		}
		// The reading's own range widens that of the conversion.
		if l.Level.Value > 0 {
			v.Low *= l.Level.Low / l.Level.Value
			v.High *= l.Level.High / l.Level.Value
		}
		v.Grade = basis.Weakest(v.Grade, l.Level.Grade)
	}
	s.usualPPFD.Unit, s.usualDLI.Unit = "µmol/m²/s", "mol/m²/day"
	return s.settleFloor(source)
}

// settleFloor takes the group's floor from foot-candles of sunlight, in which
// society sheets speak, and the lamp's factor for showing light.
func (s *subject) settleFloor(source light.Source) error {
	factor, err := source.LuxPerPPFD()
	if err != nil {
		return err
	}
	s.luxPerPPFD = factor.Value
	s.lightFloor = s.group.Derived.LightFloorFC
	for _, end := range []*float64{&s.lightFloor.Value, &s.lightFloor.Low, &s.lightFloor.High} {
		v, err := light.Convert(light.Quantity{Amount: *end, Unit: light.FootCandle}, light.PPFD, light.Lighting{Source: light.Sun})
		if err != nil {
			return err
		}
		*end = v.Value
	}
	s.lightFloor.Unit = "µmol/m²/s"
	return nil
}

// dayLength is the length of the day at the repot; without a latitude, 12 h.
func (s *subject) dayLength() (float64, error) {
	if s.place.LatitudeDeg.Grade == 0 {
		return 12, nil
	}
	day, err := light.OnDayOfYear(s.place.LatitudeDeg.Value, s.plant.Repot.Date.YearDay())
	return day.DaylightHours, err
}

// clearSkyFC is a bright day outdoors, 10 000 to 12 000 fc (University of
// Illinois Extension, Lighting for houseplants).
var clearSkyFC = basis.Value{Value: 10000, Low: 10000, High: 12000, Unit: "fc", Grade: basis.Published, Source: "University of Illinois Extension, Lighting for houseplants"}

// assumeLight stands in for a light reading: the covers above the plant where
// they are named, otherwise the least light the group is usually given.
func (s *subject) assumeLight() error {
	l := &s.space.Light
	if len(s.space.Covers) == 0 {
		// LightFC is for midday on a clear day; lamps are given about half of
		// that peak for the same daily sum (2/π).
		low := s.group.LightFC
		l.Level, l.Unit = basis.Value{Value: low.Low, Low: 0.5 * low.Low, High: low.High, Unit: "fc", Grade: basis.Assumption}, FootCandle
		s.assumed = append(s.assumed, Assumed{Field: "space.light", Is: l.Level, Why: "the least that " + s.group.Name + " is usually given; one meter reading replaces it"})
		return nil
	}
	layers := make([]light.Layer, len(s.space.Covers))
	for i, text := range s.space.Covers {
		layer, err := parseCover(text)
		if err != nil {
			return err
		}
		layers[i] = layer
	}
	share, err := light.Transmission(layers...)
	if err != nil {
		return err
	}
	l.Unit = FootCandle
	l.Level = basis.Value{
		Value: clearSkyFC.Value * share.Value, Low: clearSkyFC.Low * share.Low, High: clearSkyFC.High * share.High,
		Unit: "fc", Grade: basis.Assumption,
	}
	s.assumed = append(s.assumed, Assumed{Field: "space.light", Is: l.Level, Why: "a clear sky through " + strings.Join(s.space.Covers, " and ") + "; one meter reading replaces it"})
	return nil
}

// parseCover reads "double glass" or "shade cloth 50 %".
func parseCover(text string) (light.Layer, error) {
	name := strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "%"))
	var blocked float64
	if i := strings.LastIndexByte(name, ' '); i > 0 {
		if percent, err := strconv.ParseFloat(name[i+1:], 64); err == nil {
			name, blocked = strings.TrimSpace(name[:i]), percent
		}
	}
	cover, err := light.ParseCover(name)
	return light.Layer{Cover: cover, BlockedPercent: blocked}, err
}
