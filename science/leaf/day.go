package leaf

import (
	"fmt"

	"velamen/science/air"
)

// Climate is a series of hours at one spot: four slices of equal length, one
// value per hour, in order of time.
type Climate struct {
	AirC      []float64 // −10 to 60 °C
	RHPercent []float64 // 0 to 100 %
	PPFD      []float64 // photosynthetic light on the leaf, 0 to 2500 µmol m⁻² s⁻¹
	SpeedMS   []float64 // air speed, 0 to 20 m/s
	// LightHeatJPerUmol is the energy the leaf absorbs for each µmol of
	// photosynthetic light, 0 to 0.6 J; the chapter on light knows it for each
	// kind of lamp.
	LightHeatJPerUmol float64
	PressureKPa       float64 // 50 to 110 kPa
}

// Hours returns the number of hours in the series.
func (c Climate) Hours() int { return len(c.AirC) }

// check reports the first thing wrong with the series as a whole.
func (c Climate) check() error {
	n := len(c.AirC)
	if n == 0 {
		return fmt.Errorf("leaf: the climate has no hours")
	}
	if len(c.RHPercent) != n || len(c.PPFD) != n || len(c.SpeedMS) != n {
		return fmt.Errorf("leaf: the climate has %d temperatures, %d humidities, %d light values and %d air speeds; they must be equally many",
			n, len(c.RHPercent), len(c.PPFD), len(c.SpeedMS))
	}
	return firstError(
		within("absorbed energy of light", "J/µmol", c.LightHeatJPerUmol, lightHeatLow, lightHeatHigh),
		within("air pressure", "kPa", c.PressureKPa, pressureLowKPa, pressureHighKPa),
	)
}

// checkHour says what is wrong with one hour, or nil. Kept out of the loop,
// which only asks whether anything is.
func (c *Climate) checkHour(i int) error {
	err := firstError(
		within("air temperature", "°C", c.AirC[i], airLowC, airHighC),
		within("relative humidity", "%", c.RHPercent[i], rhLowPercent, rhHighPercent),
		within("light", "µmol/(m² s)", c.PPFD[i], ppfdLow, ppfdHigh),
		within("air speed", "m/s", c.SpeedMS[i], speedLowMS, speedHighMS),
		within("absorbed light", "W/m²", c.PPFD[i]*c.LightHeatJPerUmol, absorbedLowWM2, absorbedHighWM2),
	)
	if err != nil {
		return fmt.Errorf("hour %d: %w", i, err)
	}
	return nil
}

// leafHours walks a leaf through a climate.
type leafHours struct {
	stomata Stomata
	climate Climate
	layer   boundary
	// toDark counts the hours from the present one to the next dark one while
	// walking backwards; it is long while no dark hour has been met.
	toDark int
}

func walk(s Stomata, widthM float64, c Climate) (leafHours, error) {
	if err := firstError(s.check(), within("leaf width", "m", widthM, widthLowM, widthHighM), c.check()); err != nil {
		return leafHours{}, err
	}
	return leafHours{
		stomata: s, climate: c,
		layer:  newBoundary(CharacteristicM(widthM), c.PressureKPa),
		toDark: c.Hours() + 24,
	}, nil
}

// at returns the balance of hour i and whether it is a light one. Hours are
// visited from the last to the first, because the late afternoon is known by
// the dusk that follows.
func (w *leafHours) at(i int) (f fast, light bool, err error) {
	c := &w.climate
	airC, rhPercent, ppfd, speedMS := c.AirC[i], c.RHPercent[i], c.PPFD[i], c.SpeedMS[i]
	absorbedWM2 := ppfd * c.LightHeatJPerUmol
	if !(airC >= airLowC && airC <= airHighC && rhPercent >= rhLowPercent && rhPercent <= rhHighPercent &&
		ppfd >= ppfdLow && ppfd <= ppfdHigh && speedMS >= speedLowMS && speedMS <= speedHighMS &&
		absorbedWM2 <= absorbedHighWM2) {
		return fast{}, false, c.checkHour(i)
	}
	light = ppfd >= w.stomata.HalfClosurePPFD
	if light {
		w.toDark++
	} else {
		w.toDark = 0
	}
	saturationKPa := air.SaturationKPa(airC)
	opening := w.stomata.opening(ppfd, saturationKPa*(1-rhPercent/100), light && w.toDark <= w.stomata.LateHours)
	f = w.layer.fast(hour{
		airC: airC, saturationKPa: saturationKPa, rhPercent: rhPercent,
		speedMS: speedMS, absorbedWM2: absorbedWM2,
	}, opening, w.stomata.ClosedMol/2)
	return f, light, nil
}

// HourlyLossGM2 fills dst with the water a leaf loses in each hour of a
// climate, g per m² of projected leaf area, by the closed form of
// [PenmanMonteith]. dst must have one place per hour. The closed conductance
// is laid on both faces as if it were all cuticle; what stomata open beyond it
// is on the lower face. A dusk within the series starts the late-afternoon
// phase before it; light that lasts to the end of the series does not.
//
// It allocates nothing. An hour out of range is an error that names it, and
// the contents of dst are then undefined.
func HourlyLossGM2(dst []float64, s Stomata, widthM float64, c Climate) error {
	if len(dst) != c.Hours() {
		return fmt.Errorf("leaf: %d places for the loss of %d hours", len(dst), c.Hours())
	}
	w, err := walk(s, widthM, c)
	if err != nil {
		return err
	}
	for i := len(dst) - 1; i >= 0; i-- {
		f, _, err := w.at(i)
		if err != nil {
			return err
		}
		dst[i] = f.transpirationMol * gramsPerHour
	}
	return nil
}

// Day sums up a leaf's balance over a climate, per 24 hours.
type Day struct {
	LossGM2      float64 // water lost, g m⁻² per day
	LightLossGM2 float64 // the part lost in hours with light
	DarkLossGM2  float64 // the part lost in the dark
	HottestC     float64 // highest leaf temperature, °C
	HottestHour  int     // index of the hour in which it was reached
}

// DailyLoss returns the water lost by a leaf over a climate of any number of
// whole hours, scaled to a day of 24, with its split between light and dark
// hours and the hottest leaf temperature. Method and errors as [HourlyLossGM2].
func DailyLoss(s Stomata, widthM float64, c Climate) (Day, error) {
	w, err := walk(s, widthM, c)
	if err != nil {
		return Day{}, err
	}
	day := Day{HottestC: -300}
	perDay := 24 / float64(c.Hours()) * gramsPerHour
	for i := c.Hours() - 1; i >= 0; i-- {
		f, light, err := w.at(i)
		if err != nil {
			return Day{}, err
		}
		if light {
			day.LightLossGM2 += f.transpirationMol * perDay
		} else {
			day.DarkLossGM2 += f.transpirationMol * perDay
		}
		// On a tie the earlier hour is named.
		if leafC := c.AirC[i] + f.riseK; leafC >= day.HottestC {
			day.HottestC, day.HottestHour = leafC, i
		}
	}
	day.LossGM2 = day.LightLossGM2 + day.DarkLossGM2
	return day, nil
}
