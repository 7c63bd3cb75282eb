package light

import (
	"fmt"
	"math"
)

// solarConstantMJ per m² and minute (FAO-56 ch. 3, Eq. 21), 1366.7 W/m².
const solarConstantMJ = 0.0820

// SolarDay is the sun on one day of the year at one latitude, by the short
// series of FAO-56. They serve radiation and day length; their declination may
// be 1.3° off, so for the time and direction of the beam use SunAt.
type SolarDay struct {
	LatDeg    float64
	DayOfYear int
	// InverseDistance is the relative inverse distance of earth and sun,
	// squared, dr.
	InverseDistance float64
	DeclinationRad  float64
	// SunsetHourAngleRad is 0 in polar night and π in polar day.
	SunsetHourAngleRad float64
	// ExtraterrestrialMJ is Ra, MJ m⁻² day⁻¹ on a level surface above the
	// atmosphere.
	ExtraterrestrialMJ float64
	// DaylightHours is N, the time the sun's centre is above a level horizon
	// without refraction. Plants sense 30 to 40 minutes more, because twilight
	// counts for them (Runkle, American Orchid Society, Principles of light).
	DaylightHours float64
}

// OnDayOfYear returns the sun of a day of the year (1 to 366) at a latitude
// (−90 to 90°, north positive).
func OnDayOfYear(latDeg float64, dayOfYear int) (SolarDay, error) {
	if err := checkLatitude(latDeg); err != nil {
		return SolarDay{}, err
	}
	if err := checkDayOfYear(dayOfYear); err != nil {
		return SolarDay{}, err
	}
	j := float64(dayOfYear)
	d := SolarDay{LatDeg: latDeg, DayOfYear: dayOfYear}
	d.InverseDistance = 1 + 0.033*math.Cos(2*math.Pi*j/365)   // FAO-56 Eq. 23
	d.DeclinationRad = 0.409 * math.Sin(2*math.Pi*j/365-1.39) // FAO-56 Eq. 24
	d.SunsetHourAngleRad = sunsetHourAngle(d.lat(), d.DeclinationRad)
	d.ExtraterrestrialMJ = dailyExtraterrestrialMJ(d.lat(), d.DeclinationRad, d.InverseDistance)
	d.DaylightHours = 24 / math.Pi * d.SunsetHourAngleRad // FAO-56 Eq. 34
	return d, nil
}

func (d SolarDay) lat() float64 { return d.LatDeg * math.Pi / 180 }

// sunsetHourAngle is FAO-56 Eq. 25 with the argument held to −1 (polar day)
// and 1 (polar night).
func sunsetHourAngle(latRad, declinationRad float64) float64 {
	return math.Acos(math.Max(-1, math.Min(1, -math.Tan(latRad)*math.Tan(declinationRad))))
}

func dailyExtraterrestrialMJ(latRad, declinationRad, inverseDistance float64) float64 {
	sunset := sunsetHourAngle(latRad, declinationRad)
	level := 24 * 60 / math.Pi * solarConstantMJ * inverseDistance * // FAO-56 Eq. 21
		(sunset*math.Sin(latRad)*math.Sin(declinationRad) +
			math.Cos(latRad)*math.Cos(declinationRad)*math.Sin(sunset))
	return math.Max(0, level) // rounding may leave −1e-17 in polar night
}

// ClearSkyMJ returns Rso, the global radiation of a cloudless day, MJ m⁻²
// day⁻¹, at an elevation above sea level (−430 to 6000 m).
func (d SolarDay) ClearSkyMJ(elevationM float64) (float64, error) {
	if err := checkElevation(elevationM); err != nil {
		return 0, err
	}
	return clearSkyShareAt(elevationM) * d.ExtraterrestrialMJ, nil
}

func clearSkyShareAt(elevationM float64) float64 {
	return clearSkyShare.Value + clearSkySharePerM.Value*elevationM // FAO-56 Eq. 37
}

// GlobalFromSunshineMJ returns Rs, the global radiation of a day, MJ m⁻²
// day⁻¹, from its hours of bright sunshine (0 to DaylightHours).
func (d SolarDay) GlobalFromSunshineMJ(sunshineHours float64) (float64, error) {
	if err := within("bright sunshine", sunshineHours, 0, d.DaylightHours, "h"); err != nil {
		return 0, fmt.Errorf("%w (day %d at latitude %v°)", err, d.DayOfYear, d.LatDeg)
	}
	if d.DaylightHours == 0 {
		return 0, nil
	}
	share := angstromA.Value + angstromB.Value*sunshineHours/d.DaylightHours // FAO-56 Eq. 35
	return share * d.ExtraterrestrialMJ, nil
}

// GlobalFromTemperatureMJ returns Rs, MJ m⁻² day⁻¹, from a min/max thermometer
// in the open, for places without a sunshine record; coastal says whether a
// large water body governs the air. It is a rough estimate (from memory: good
// for means over several days) and may not be used under a roof.
func (d SolarDay) GlobalFromTemperatureMJ(minAirC, maxAirC float64, coastal bool) (float64, error) {
	if err := within("lowest air temperature", minAirC, -60, 60, "°C"); err != nil {
		return 0, err
	}
	if err := within("highest air temperature", maxAirC, minAirC, 60, "°C"); err != nil {
		return 0, err
	}
	k := temperatureInterior.Value
	if coastal {
		k = temperatureCoastal.Value
	}
	return k * math.Sqrt(maxAirC-minAirC) * d.ExtraterrestrialMJ, nil // FAO-56 Eq. 50
}

// NetShortwaveMJ returns Rns, the part of a day's global radiation (0 to 50
// MJ/m²) that a surface of the albedo (0 to 1; reference grass 0.23) keeps.
func NetShortwaveMJ(globalMJ, albedo float64) (float64, error) {
	if err := within("daily global radiation", globalMJ, 0, 50, "MJ/m²"); err != nil {
		return 0, err
	}
	if err := checkAlbedo(albedo); err != nil {
		return 0, err
	}
	return (1 - albedo) * globalMJ, nil // FAO-56 Eq. 38
}
