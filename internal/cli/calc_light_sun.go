package cli

import (
	"fmt"
	"math"
	"time"

	"velamen/science/light"
)

// calcLightSun is the sun on one day at one place.
type calcLightSun struct {
	Latitude  number `name:"latitude-deg" required:"" range:"-90 to 90 °" placeholder:"DEG" help:"Latitude, north positive, -90 to 90."`
	Longitude number `name:"longitude-deg" required:"" range:"-180 to 180 °" placeholder:"DEG" help:"Longitude, east positive, -180 to 180."`
	Date      string `placeholder:"DATE" help:"The day, as 2026-11-24; today if left out."`
	Time      string `placeholder:"HH:MM" help:"Time of day on the clock; the sun's highest stand if left out."`
	Offset    number `name:"utc-offset-hours" range:"-12 to 14 h" placeholder:"H" help:"How far the clock is ahead of UTC, -12 to 14; from the longitude if left out."`
	Altitude  number `name:"altitude-m" range:"-430 to 6000 m" placeholder:"M" help:"Height above the sea, -430 to 6000 m; sea level if left out."`

	Out calcOutput `embed:""`
}

// Run prints the sun's stand, the day and its light.
func (c calcLightSun) Run(r *run) error {
	date, err := dayOf(c.Date, r.today)
	if err != nil {
		return err
	}
	altitudeM, rests := c.Altitude.or(lowland)
	site := light.Site{LatDeg: c.Latitude.value, LonDeg: c.Longitude.value, ElevationM: altitudeM}
	zone, clock := c.zone()
	year, month, day := date.Date()
	date = time.Date(year, month, day, 0, 0, 0, 0, zone)
	bright, err := light.DaylightOn(date, site)
	if err != nil {
		return at("--date", err)
	}
	moment, err := c.moment(date, bright.Noon)
	if err != nil {
		return err
	}
	position, err := sunPosition(moment, site)
	if err != nil {
		return err
	}
	position.notes = clock
	outdoors, err := clearSky(moment, site, date.YearDay(), rests)
	if err != nil {
		return err
	}
	return c.Out.show(r, answer{"velamen-calc-light-sun-1", []section{position, sunDay(bright, date), outdoors}})
}

// zone is the clock's zone: as given, or the one the longitude lies in.
func (c calcLightSun) zone() (*time.Location, []string) {
	hours := c.Offset.value
	var note []string
	if !c.Offset.given {
		hours = math.Round(c.Longitude.value / 15)
		note = []string{fmt.Sprintf("The clock is taken as %s from the longitude alone; give --utc-offset-hours if yours differs, as in summer time.", zoneName(hours))}
	}
	return time.FixedZone(zoneName(hours), int(math.Round(3600*hours))), note
}

func zoneName(hours float64) string {
	sign := '+'
	if hours < 0 {
		sign = '-'
	}
	minutes := int(math.Round(60 * math.Abs(hours)))
	return fmt.Sprintf("UTC%c%02d:%02d", sign, minutes/60, minutes%60)
}

// moment is the time of day asked about.
func (c calcLightSun) moment(date, noon time.Time) (time.Time, error) {
	if c.Time == "" {
		return noon, nil
	}
	for _, layout := range []string{"15:04", "15:04:05"} {
		if t, err := time.Parse(layout, c.Time); err == nil {
			return date.Add(time.Duration(t.Hour())*time.Hour + time.Duration(t.Minute())*time.Minute + time.Duration(t.Second())*time.Second), nil
		}
	}
	return time.Time{}, fmt.Errorf("--time: %q is not a time of day; write it as 12:30, from 00:00 to 23:59", c.Time)
}

func sunPosition(moment time.Time, site light.Site) (section, error) {
	sun, err := light.SunAt(moment, site)
	if err != nil {
		return section{}, at("--date", err)
	}
	return section{key: "position", title: "The sun", about: "at " + moment.Format("15:04:05 on 2 January 2006, MST"), lines: []line{
		{key: "time", name: "time", value: moment.Format(time.RFC3339)},
		{key: "elevation_deg", name: "height above the horizon", value: sun.ElevationDeg, unit: "°", decimals: 2},
		{key: "apparent_elevation_deg", name: "height with refraction", value: sun.ApparentElevationDeg, unit: "°", decimals: 2},
		{key: "azimuth_deg", name: "direction", value: sun.AzimuthDeg, unit: "° from north over east", shown: shown(math.Mod(math.Round(100*sun.AzimuthDeg)/100, 360), 2, 0)},
		{key: "declination_deg", name: "declination", value: sun.DeclinationDeg, unit: "°", decimals: 2},
		{key: "equation_of_time_min", name: "equation of time", value: sun.EquationOfTimeMin, unit: "min", decimals: 1},
		{key: "distance_au", name: "distance", value: sun.DistanceAU, unit: "AU", decimals: 4},
	}, because: "low-accuracy solar coordinates of Meeus, Astronomical Algorithms ch. 25 and 28 (from memory), good to 0.01°"}, nil
}

// sunDay is sunrise to sunset. Where the sun does not cross the horizon, the
// times are empty.
func sunDay(d light.Daylight, date time.Time) section {
	crossing := func(t time.Time) (value any, words string) {
		if t.IsZero() {
			return nil, "none"
		}
		words = t.Format("15:04:05")
		if t.YearDay() != date.YearDay() {
			words += t.Format(" on 2 January")
		}
		return t.Format(time.RFC3339), words
	}
	rise, riseWords := crossing(d.Rise)
	set, setWords := crossing(d.Set)
	s := section{key: "day", title: "The day", lines: []line{
		{key: "rise", name: "sunrise", value: rise, shown: riseWords},
		{key: "noon", name: "highest stand", value: d.Noon.Format(time.RFC3339), shown: d.Noon.Format("15:04:05")},
		{key: "set", name: "sunset", value: set, shown: setWords},
		{key: "day_length_h", name: "sunrise to sunset", value: d.Length().Hours(), unit: "h", decimals: 2},
	}, because: "upper limb on a free, level horizon with refraction 0.5667° and radius 0.26667° (Reda & Andreas 2004, NREL/TP-560-34302, §3.11); good to about a minute up to 65° of latitude"}
	switch {
	case d.PolarDay:
		s.notes = []string{"The sun does not set."}
	case d.PolarNight:
		s.notes = []string{"The sun does not rise."}
	}
	return s
}

// clearSky is the light outdoors on a cloudless day.
func clearSky(moment time.Time, site light.Site, dayOfYear int, rests []parameter) (section, error) {
	out, err := light.ClearDay(site, dayOfYear)
	if err != nil {
		return section{}, at("--date", err)
	}
	globalWM2, err := light.ClearSkyAt(moment, site)
	if err != nil {
		return section{}, at("--date", err)
	}
	ppfd, err := light.PPFDFromGlobal(globalWM2)
	if err != nil {
		return section{}, at("--time", err)
	}
	return section{key: "clear_sky", title: "A cloudless day in the open", lines: []line{
		{key: "extraterrestrial_mj_per_m2_day", name: "above the atmosphere, Ra", value: out.Day.ExtraterrestrialMJ, unit: "MJ/m² a day", decimals: 2},
		{key: "daylight_h", name: "daylight hours, N", value: out.Day.DaylightHours, unit: "h", decimals: 2},
		{key: "clear_sky_mj_per_m2_day", name: "global radiation, Rso", value: out.GlobalMJ, unit: "MJ/m² a day", decimals: 2},
		{key: "global_w_per_m2", name: "global radiation at that time", value: globalWM2, unit: "W/m²", decimals: 0},
		{key: "ppfd_umol_per_m2_s", name: "PPFD at that time", value: ppfd.Value, unit: "µmol m⁻² s⁻¹", decimals: 0, span: spanOf(ppfd.Low, ppfd.High)},
		{key: "peak_ppfd_umol_per_m2_s", name: "peak PPFD", value: out.NoonPPFD.Value, unit: out.NoonPPFD.Unit, decimals: 0, span: spanOf(out.NoonPPFD.Low, out.NoonPPFD.High)},
		{key: "dli_mol_per_m2_day", name: "a day's sum, DLI", value: out.DLI.Value, unit: out.DLI.Unit, decimals: 1, span: spanOf(out.DLI.Low, out.DLI.High)},
	}, because: "FAO-56 (Allen et al. 1998) ch. 3: Ra by eq. 21 to 25, N by eq. 34, Rso by eq. 37; PPFD and sum by the photons of PAR per joule of global radiation, a published factor; ordinary days bring less",
		rests: append(rests,
			parameter{"peak_ppfd", "peak PPFD", out.NoonPPFD},
			parameter{"dli", "a day's sum", out.DLI})}, nil
}
