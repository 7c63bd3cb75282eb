package light

import "math"

// ClockSpan is a part of a day on a clock that runs UTCOffsetHours (−12 to 14)
// ahead of UTC; hours count from 0 to 24.
type ClockSpan struct {
	StartHour, EndHour float64
	UTCOffsetHours     float64
}

func (c ClockSpan) check() error {
	if err := within("clock's offset from UTC", c.UTCOffsetHours, -12, 14, "h"); err != nil {
		return err
	}
	if err := within("start of the span", c.StartHour, 0, 24, "h"); err != nil {
		return err
	}
	return within("end of the span", c.EndHour, c.StartHour, 24, "h")
}

// ExtraterrestrialBetweenMJ returns Ra of a span of the day, MJ/m² on a level
// surface above the atmosphere. The formula of FAO-56 turns negative at night;
// here each span is cut at sunrise and sunset first, so the hours of a day add
// up to Ra of the day.
func ExtraterrestrialBetweenMJ(site Site, dayOfYear int, span ClockSpan) (float64, error) {
	if err := site.Check(); err != nil {
		return 0, err
	}
	if err := span.check(); err != nil {
		return 0, err
	}
	d, err := OnDayOfYear(site.LatDeg, dayOfYear)
	if err != nil {
		return 0, err
	}
	noonShift := site.LonDeg/15 - span.UTCOffsetHours + seasonalCorrectionHours(dayOfYear) - 12 // FAO-56 Eq. 31, longitudes east
	first := math.Pi / 12 * (span.StartHour + noonShift)                                        // FAO-56 Eq. 29
	last := math.Pi / 12 * (span.EndHour + noonShift)                                           // FAO-56 Eq. 30
	var total float64
	// On a clock far from the sun's, the span may reach into the daylight of
	// the solar day before or after.
	for day := -1; day <= 1; day++ {
		turn := 2 * math.Pi * float64(day)
		from := math.Max(first, turn-d.SunsetHourAngleRad)
		to := math.Min(last, turn+d.SunsetHourAngleRad)
		if from < to {
			total += extraterrestrialMJ(d.lat(), d.DeclinationRad, d.InverseDistance, from, to)
		}
	}
	return total, nil
}

// extraterrestrialMJ is FAO-56 Eq. 28 between two hour angles by day.
func extraterrestrialMJ(latRad, declinationRad, inverseDistance, from, to float64) float64 {
	return 12 * 60 / math.Pi * solarConstantMJ * inverseDistance *
		((to-from)*math.Sin(latRad)*math.Sin(declinationRad) +
			math.Cos(latRad)*math.Cos(declinationRad)*(math.Sin(to)-math.Sin(from)))
}

// ClearSkyBetweenMJ returns the global radiation of a span of a cloudless day,
// MJ/m² on a level surface.
func ClearSkyBetweenMJ(site Site, dayOfYear int, span ClockSpan) (float64, error) {
	above, err := ExtraterrestrialBetweenMJ(site, dayOfYear, span)
	return clearSkyShareAt(site.ElevationM) * above, err
}

// seasonalCorrectionHours is FAO-56's short form of the equation of time.
func seasonalCorrectionHours(dayOfYear int) float64 {
	b := 2 * math.Pi * (float64(dayOfYear) - 81) / 364                   // FAO-56 Eq. 33
	return 0.1645*math.Sin(2*b) - 0.1255*math.Cos(b) - 0.025*math.Sin(b) // FAO-56 Eq. 32
}
