package light

import (
	"math"
	"slices"
	"time"
)

// HourlyPPFD spreads a usual level over the day: dst[h] is the mean PPFD, µmol
// m⁻² s⁻¹, from h to h+1 o'clock, for 24 hours. The light starts at startHour
// (0 to 24) and lasts lighting.Hours, past midnight if need be; it is flat for
// Steady and half a sine for ClearDayPeak. The level may stand in any unit; a
// DLI is met exactly, since the 24 values times 0.0036 add up to it.
//
// dst is reused when it has room for 24 values, and then nothing is allocated.
func HourlyPPFD(dst []float64, level Quantity, lighting Lighting, startHour float64) ([]float64, error) {
	if err := checkHours(lighting.Hours); err != nil {
		return nil, err
	}
	if err := within("start of the light", startHour, 0, 24, "h"); err != nil {
		return nil, err
	}
	if lighting.Hours == 0 && level.Unit == DLI && level.Amount == 0 {
		level.Unit = PPFD // no light in no time is no contradiction
	}
	peak, err := converted(level.Amount, level.Unit, PPFD, lighting)
	if err != nil {
		return nil, err
	}
	var until func(hours, total float64) float64
	switch lighting.Shape {
	case Steady:
		until = steadyUntil
	case ClearDayPeak:
		until = halfSineUntil
	default:
		return nil, errNoShape
	}
	dst = slices.Grow(dst[:0], 24)[:24]
	clear(dst)
	if lighting.Hours == 0 {
		return dst, nil
	}
	for h := range dst {
		// The second turn is the part of the light after midnight.
		for _, clock := range [2]float64{float64(h), float64(h + 24)} {
			from := math.Max(0, math.Min(lighting.Hours, clock-startHour))
			to := math.Max(0, math.Min(lighting.Hours, clock+1-startHour))
			if from < to {
				dst[h] += peak * (until(to, lighting.Hours) - until(from, lighting.Hours))
			}
		}
	}
	return dst, nil
}

// steadyUntil and halfSineUntil are the integral of the day's shape (peak 1)
// from its start, in hours.
func steadyUntil(hours, _ float64) float64 { return hours }

func halfSineUntil(hours, total float64) float64 {
	return total / math.Pi * (1 - math.Cos(math.Pi*hours/total))
}

// HourlyDaylightPPFD is HourlyPPFD for daylight at a place: the light starts
// at sunrise and ends at sunset of date's calendar day, in date's time zone.
// Of lighting it uses Source and Factor only. A level of any amount gives 24
// zeros in polar night. In polar day the half sine still sinks to
// zero at midnight, which is too low there.
func HourlyDaylightPPFD(dst []float64, level Quantity, lighting Lighting, date time.Time, site Site) ([]float64, error) {
	day, err := DaylightOn(date, site)
	if err != nil {
		return nil, err
	}
	lighting.Shape = ClearDayPeak
	var start float64
	start, lighting.Hours = day.ClockHours()
	if day.PolarNight {
		if err := level.check(); err != nil {
			return nil, err
		}
		level = Quantity{0, PPFD}
	}
	return HourlyPPFD(dst, level, lighting, start)
}
