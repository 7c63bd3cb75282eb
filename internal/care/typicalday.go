package care

import (
	"math"

	"velamen/science/basis"
	"velamen/science/course"
	"velamen/science/leaf"
	"velamen/science/light"
)

// airSpeeds are the speeds reckoned with for each class of air movement, m/s.
// Still rooms measure 0.05 to 0.15, up to 0.2 counts as comfortable, 0.3 to 1
// is felt near a small fan (ASHRAE comfort guidance, from memory).
var airSpeeds = map[AirMovement]basis.Value{
	StillAir:  {Value: 0.1, Low: 0.05, High: 0.15, Unit: "m/s", Grade: basis.FromMemory, Source: "ASHRAE comfort guidance"},
	GentleAir: {Value: 0.3, Low: 0.2, High: 0.5, Unit: "m/s", Grade: basis.FromMemory, Source: "ASHRAE comfort guidance"},
	MovingAir: {Value: 0.7, Low: 0.5, High: 1, Unit: "m/s", Grade: basis.FromMemory, Source: "ASHRAE comfort guidance"},
	StrongAir: {Value: 2, Low: 1, High: 4, Unit: "m/s", Grade: basis.Assumption},
}

// day is a typical day at the plant, hour by hour. Hours with light have the
// day's temperature and humidity, dark hours the night's; where the space was
// measured, each in the shape of the measured day.
type day struct {
	leaf.Climate
	light []bool
	// How much each hour leaves the mean of its half of the day; 0 where nothing
	// was measured.
	shapeC, shapeRH [24]float64
	hours           [4][24]float64
}

// usual returns the usual climate of the subject as the engine changes it.
func (s *subject) usual() course.Climate {
	return course.Climate{
		LightFactor: 1, DayC: s.space.DayC.Value, AirSpeedMS: airSpeeds[s.space.Air].Value,
		DayRHPercent: s.space.DayRHPercent.Value, NightRHPercent: s.space.NightRHPercent.Value,
	}
}

// newDay prepares a typical day; set fills it with a climate.
func (s *subject) newDay() (*day, error) {
	d := &day{light: s.litHours()}
	if s.profile != nil {
		d.shapeC, d.shapeRH = s.profile.shape(d.light)
	}
	var ppfd [24]float64
	if _, err := light.HourlyPPFD(ppfd[:], light.Quantity{Amount: s.usualPPFD.Value, Unit: light.PPFD}, s.lighting, s.lightStart); err != nil {
		return nil, err
	}
	d.hours[2] = ppfd
	heat, err := light.AbsorbedPerPPFD(s.lighting.Source)
	if err != nil {
		return nil, err
	}
	d.Climate = leaf.Climate{
		AirC: d.hours[0][:], RHPercent: d.hours[1][:], PPFD: make([]float64, 24), SpeedMS: d.hours[3][:],
		LightHeatJPerUmol: heat.Value, PressureKPa: s.pressure,
	}
	return d, nil
}

// set fills the hours with a climate; night temperature is not changed by a
// course.
func (d *day) set(c course.Climate, nightC float64) {
	for h := range 24 {
		d.AirC[h], d.RHPercent[h] = nightC, c.NightRHPercent
		if d.light[h] {
			d.AirC[h], d.RHPercent[h] = c.DayC, c.DayRHPercent
		}
		d.AirC[h] += d.shapeC[h]
		d.RHPercent[h] = math.Min(100, math.Max(0, d.RHPercent[h]+d.shapeRH[h]))
		d.PPFD[h] = c.LightFactor * d.hours[2][h]
		d.SpeedMS[h] = c.AirSpeedMS
	}
}
