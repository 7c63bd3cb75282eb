package light

import (
	"math"
	"time"
)

const (
	firstYear = 1950
	lastYear  = 2050
	degree    = math.Pi / 180
)

// SunPosition is where the sun stands, as seen from a site.
type SunPosition struct {
	// ElevationDeg of the sun's centre above a level horizon, without
	// refraction; negative at night.
	ElevationDeg float64
	// ApparentElevationDeg includes refraction in air of 10 °C at the
	// pressure usual for the site's elevation, while the sun is up.
	ApparentElevationDeg float64
	AzimuthDeg           float64 // clockwise from north, 0 to 360
	DeclinationDeg       float64
	EquationOfTimeMin    float64 // apparent minus mean solar time
	DistanceAU           float64
}

// SunAt returns the position of the sun at an instant (years 1950 to 2050).
// Angles are good to about 0.01°, the equation of time to a second or two.
func SunAt(at time.Time, site Site) (SunPosition, error) {
	if err := site.Check(); err != nil {
		return SunPosition{}, err
	}
	if err := checkYear(at); err != nil {
		return SunPosition{}, err
	}
	e := ephemerisAt(at)
	hourAngle := e.hourAngleDeg(at, site.LonDeg)
	elevation, azimuth := horizonFrom(site.LatDeg, e.declinationDeg, hourAngle)
	return SunPosition{
		ElevationDeg:         elevation,
		ApparentElevationDeg: elevation + refractionDeg(elevation, site.ElevationM),
		AzimuthDeg:           azimuth,
		DeclinationDeg:       e.declinationDeg,
		EquationOfTimeMin:    e.equationOfTimeMin,
		DistanceAU:           e.distanceAU,
	}, nil
}

func checkYear(at time.Time) error {
	return within("year", float64(at.UTC().Year()), firstYear, lastYear, "AD")
}

// ephemeris is what does not depend on the site.
type ephemeris struct {
	declinationDeg, equationOfTimeMin, distanceAU float64
}

// ephemerisAt follows Meeus, Astronomical Algorithms, 2nd ed., ch. 25 (low
// accuracy) and 28, in the NOAA arrangement; coefficients from memory, checked
// against published positions.
func ephemerisAt(at time.Time) ephemeris {
	const j2000Unix = 946728000 // 2000-01-01 12:00 UTC
	days := (float64(at.Unix()-j2000Unix) + float64(at.Nanosecond())*1e-9) / 86400
	t := days / 36525 // Julian centuries

	meanLongitude := degree * math.Mod(280.46646+t*(36000.76983+t*0.0003032), 360) // Meeus 25.2
	anomaly := degree * math.Mod(357.52911+t*(35999.05029-t*0.0001537), 360)       // Meeus 25.3
	eccentricity := 0.016708634 - t*(0.000042037+t*0.0000001267)                   // Meeus 25.4
	sinM, cosM := math.Sincos(anomaly)
	sin2M, cos2M := 2*sinM*cosM, 1-2*sinM*sinM
	sin3M := sinM*cos2M + cosM*sin2M
	centre := degree * (sinM*(1.914602-t*(0.004817+t*0.000014)) + // equation of the centre, Meeus p. 164
		sin2M*(0.019993-t*0.000101) + sin3M*0.000289)
	node := degree * (125.04 - 1934.136*t)
	sinNode, cosNode := math.Sincos(node)
	longitude := meanLongitude + centre - degree*(0.00569+0.00478*sinNode) // apparent, Meeus p. 164
	obliquity := degree * (23 + (26+(21.448-t*(46.815+t*(0.00059-t*0.001813)))/60)/60 + 0.00256*cosNode)

	var e ephemeris
	e.declinationDeg = math.Asin(math.Sin(obliquity)*math.Sin(longitude)) / degree // Meeus 25.7
	e.distanceAU = 1.000001018 * (1 - eccentricity*eccentricity) /                 // Meeus 25.5
		(1 + eccentricity*math.Cos(anomaly+centre))
	y := math.Tan(obliquity / 2)
	y *= y
	sin2L, cos2L := math.Sincos(2 * meanLongitude)
	e.equationOfTimeMin = 4 / degree * (y*sin2L - 2*eccentricity*sinM + // Meeus 28.3
		4*eccentricity*y*sinM*cos2L - y*y*sin2L*cos2L - 1.25*eccentricity*eccentricity*sin2M)
	return e
}

// hourAngleDeg is negative before and positive after solar noon, −180 to 180.
func (e ephemeris) hourAngleDeg(at time.Time, lonDeg float64) float64 {
	const daySeconds = 86400
	seconds := float64(((at.Unix()%daySeconds)+daySeconds)%daySeconds) + float64(at.Nanosecond())*1e-9
	angle := math.Mod(seconds/240+e.equationOfTimeMin/4+lonDeg-180, 360)
	switch {
	case angle < -180:
		return angle + 360
	case angle > 180:
		return angle - 360
	}
	return angle
}

// horizonFrom turns latitude, declination and hour angle into elevation and
// azimuth from north (Duffie & Beckman, Solar Engineering, Eq. 1.6.5 and
// 1.6.6 by their usual spherical form, from memory).
func horizonFrom(latDeg, declinationDeg, hourAngleDeg float64) (elevationDeg, azimuthDeg float64) {
	sinLat, cosLat := math.Sincos(latDeg * degree)
	sinDec, cosDec := math.Sincos(declinationDeg * degree)
	sinHour, cosHour := math.Sincos(hourAngleDeg * degree)
	up := sinLat*sinDec + cosLat*cosDec*cosHour
	north := cosLat*sinDec - sinLat*cosDec*cosHour
	east := -cosDec * sinHour
	elevationDeg = math.Atan2(up, math.Hypot(north, east)) / degree
	azimuthDeg = math.Atan2(east, north) / degree
	if azimuthDeg < 0 {
		azimuthDeg += 360
	}
	return elevationDeg, azimuthDeg
}

// refractionDeg is Reda & Andreas 2004, Eq. 42 (Sæmundsson's form) for 10 °C.
func refractionDeg(elevationDeg, siteM float64) float64 {
	// Below that, no part of the disc can be seen and the formula has no use.
	if elevationDeg < -(horizonRefractionDeg + sunRadiusDeg) {
		return 0
	}
	pressure := math.Pow((293-0.0065*siteM)/293, 5.26) // over sea level's, FAO-56 Eq. 7
	return pressure * 1.02 / 60 / math.Tan(degree*(elevationDeg+10.3/(elevationDeg+5.11)))
}
