package light

import (
	"math"
	"time"
)

// At rise and set the upper limb touches the horizon (Reda & Andreas 2004,
// §3.11: refraction 0.5667°, radius 0.26667°).
const (
	horizonRefractionDeg = 0.5667
	sunRadiusDeg         = 0.26667
)

// Daylight is the bright part of one solar day.
type Daylight struct {
	Noon time.Time // the sun's highest stand
	// Rise before and Set after that noon. Rise is the zero time when the sun
	// was up already twelve hours before noon, Set when it is still up twelve
	// hours after; in polar night both are zero.
	Rise, Set            time.Time
	PolarDay, PolarNight bool
}

// DaylightOn returns sunrise and sunset around the solar noon that belongs to
// the calendar day of date, in date's time zone (years 1950 to 2050). With a
// low, free horizon they are good to about a minute up to 65° of latitude, and
// less the more slantwise the sun meets the horizon.
//
// The set returned is the evening's of that noon. Tables that work by days of
// Universal Time print, for places far west, the set of the evening before.
func DaylightOn(date time.Time, site Site) (Daylight, error) {
	if err := site.Check(); err != nil {
		return Daylight{}, err
	}
	if err := checkYear(date); err != nil {
		return Daylight{}, err
	}
	year, month, day := date.Date()
	midnight := time.Date(year, month, day, 0, 0, 0, 0, date.Location())
	noon := solarNoonAfter(midnight, site.LonDeg)
	up := func(at time.Time) bool { return aboveHorizonDeg(at, site) >= 0 }

	d := Daylight{Noon: noon}
	before, after := noon.Add(-12*time.Hour), noon.Add(12*time.Hour)
	upBefore, upNoon, upAfter := up(before), up(noon), up(after)
	if !upNoon {
		d.PolarNight = true
		return d, nil
	}
	d.PolarDay = upBefore && upAfter
	if !upBefore {
		d.Rise = crossing(before, noon, up)
	}
	if !upAfter {
		d.Set = crossing(after, noon, up)
	}
	return d, nil
}

// Length returns how long the sun is up, 0 to 24 h.
func (d Daylight) Length() time.Duration {
	if d.PolarNight {
		return 0
	}
	rise, set := d.ends()
	return set.Sub(rise)
}

// ClockHours returns the hour of the clock at which the daylight starts (0 to
// 24) and its hours (0 to 24), as HourlyPPFD takes them.
func (d Daylight) ClockHours() (startHour, hours float64) {
	rise, _ := d.ends()
	hour, minute, second := rise.Clock()
	start := float64(hour) + float64(minute)/60 + (float64(second)+float64(rise.Nanosecond())*1e-9)/3600
	return start, d.Length().Hours()
}

func (d Daylight) ends() (rise, set time.Time) {
	rise, set = d.Rise, d.Set
	if rise.IsZero() {
		rise = d.Noon.Add(-12 * time.Hour)
	}
	if set.IsZero() {
		set = d.Noon.Add(12 * time.Hour)
	}
	return rise, set
}

// solarNoonAfter returns the true noon of the mean solar day whose noon is the
// first at or after midnight; mean noons come exactly every 24 hours, so each
// calendar day has its own.
func solarNoonAfter(midnight time.Time, lonDeg float64) time.Time {
	meanNoonUTC := 43200 - lonDeg*240 // seconds after midnight UTC
	wait := math.Mod(meanNoonUTC-float64(midnight.Unix()%86400), 86400)
	if wait < 0 {
		wait += 86400
	}
	mean := midnight.Add(seconds(wait))
	// The equation of time changes by half a minute a day at most, so two
	// steps leave less than a millisecond.
	noon := mean
	for range 2 {
		noon = mean.Add(-seconds(60 * ephemerisAt(noon).equationOfTimeMin))
	}
	return noon
}

func seconds(s float64) time.Duration { return time.Duration(s * float64(time.Second)) }

// aboveHorizonDeg is the elevation of the sun's upper limb with refraction.
func aboveHorizonDeg(at time.Time, site Site) float64 {
	e := ephemerisAt(at)
	elevation, _ := horizonFrom(site.LatDeg, e.declinationDeg, e.hourAngleDeg(at, site.LonDeg))
	return elevation + horizonRefractionDeg + sunRadiusDeg
}

// crossing halves the span between a time when the sun is down and one when it
// is up until a tenth of a second is left.
func crossing(down, upAt time.Time, up func(time.Time) bool) time.Time {
	for {
		half := upAt.Sub(down) / 2
		if half.Abs() < 50*time.Millisecond {
			return upAt
		}
		if middle := down.Add(half); up(middle) {
			upAt = middle
		} else {
			down = middle
		}
	}
}
