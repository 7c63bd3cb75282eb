package light

import (
	"math"
	"time"

	"velamen/science/basis"
)

// Surface is a pane, wall or bench: tilt 0° level to 90° upright, facing in
// degrees clockwise from north (90 east, 180 south).
type Surface struct{ TiltDeg, FacingDeg float64 }

func (s Surface) check() error {
	if err := within("tilt", s.TiltDeg, 0, 90, "°"); err != nil {
		return err
	}
	return within("direction faced", s.FacingDeg, 0, 360, "°")
}

// CosIncidence returns the cosine of the angle between the sun's beam and the
// normal of the surface; negative when the sun is behind it.
func (s Surface) CosIncidence(sunElevationDeg, sunAzimuthDeg float64) float64 {
	sinElevation, cosElevation := math.Sincos(sunElevationDeg * degree)
	sinTilt, cosTilt := math.Sincos(s.TiltDeg * degree)
	return sinElevation*cosTilt + cosElevation*sinTilt*math.Cos(degree*(sunAzimuthDeg-s.FacingDeg))
}

// Irradiance is what falls on a surface, W/m², by where it comes from.
type Irradiance struct{ BeamWM2, SkyWM2, GroundWM2 float64 }

// TotalWM2 is the sum of beam, sky and ground.
func (i Irradiance) TotalWM2() float64 { return i.BeamWM2 + i.SkyWM2 + i.GroundWM2 }

// lowestCosZenith keeps the beam's ratio finite around sunrise; 0.087 is a sun
// 5° high.
const lowestCosZenith = 0.087

// OnSurface returns the irradiance on a surface from the global and the
// diffuse radiation on the level (W/m², diffuse at most global), the sun's
// place and the albedo of the ground in front (0 to 1), with an evenly bright
// sky: I = Ib·Rb + Id·(1+cosβ)/2 + I·ρ·(1−cosβ)/2 (Liu & Jordan 1963, in the
// form of Duffie & Beckman Eq. 2.15.1).
func OnSurface(s Surface, globalWM2, diffuseWM2, sunElevationDeg, sunAzimuthDeg, albedo float64) (Irradiance, error) {
	if err := s.check(); err != nil {
		return Irradiance{}, err
	}
	if err := within("global radiation", globalWM2, 0, maxGlobalWM2, "W/m²"); err != nil {
		return Irradiance{}, err
	}
	if err := within("diffuse radiation", diffuseWM2, 0, globalWM2, "W/m²"); err != nil {
		return Irradiance{}, err
	}
	if err := within("elevation of the sun", sunElevationDeg, -90, 90, "°"); err != nil {
		return Irradiance{}, err
	}
	if err := within("azimuth of the sun", sunAzimuthDeg, 0, 360, "°"); err != nil {
		return Irradiance{}, err
	}
	if err := checkAlbedo(albedo); err != nil {
		return Irradiance{}, err
	}
	return s.irradiance(globalWM2, diffuseWM2, sunElevationDeg, sunAzimuthDeg, albedo), nil
}

func (s Surface) irradiance(globalWM2, diffuseWM2, sunElevationDeg, sunAzimuthDeg, albedo float64) Irradiance {
	cosTilt := math.Cos(s.TiltDeg * degree)
	i := Irradiance{
		SkyWM2:    diffuseWM2 * (1 + cosTilt) / 2,
		GroundWM2: globalWM2 * albedo * (1 - cosTilt) / 2,
	}
	if sunElevationDeg > 0 {
		cosZenith := math.Max(lowestCosZenith, math.Sin(sunElevationDeg*degree))
		ratio := math.Max(0, s.CosIncidence(sunElevationDeg, sunAzimuthDeg)) / cosZenith
		i.BeamWM2 = (globalWM2 - diffuseWM2) * ratio
	}
	return i
}

// DiffuseShare returns the diffuse part of a day's global radiation from the
// day's clearness (global over extraterrestrial radiation, 0 to 1), by the
// cubic fitted to Liu & Jordan's daily data. The fit starts at 1.0045, held
// here to 1, and is 0.166 from a clearness of 0.75.
func DiffuseShare(clearness float64) (float64, error) {
	if err := within("clearness of the day", clearness, 0, 1, "(share)"); err != nil {
		return 0, err
	}
	return diffuseShare(clearness), nil
}

func diffuseShare(k float64) float64 {
	if k >= 0.75 {
		return 0.166
	}
	return math.Min(1, 1.0045+k*(0.04349+k*(-3.5227+k*2.6313)))
}

// GroundAlbedo returns the albedo to use in front of a pane when nothing is
// known: grass, with a range over soil and concrete. Snow and white walls
// reflect 0.6 to 0.8 (from memory).
func GroundAlbedo() basis.Value { return groundAlbedo }

// ClearSkyOn returns the irradiance on a surface under a clear sky at an
// instant (years 1950 to 2050).
func ClearSkyOn(at time.Time, site Site, s Surface, albedo float64) (Irradiance, error) {
	if err := s.check(); err != nil {
		return Irradiance{}, err
	}
	if err := checkAlbedo(albedo); err != nil {
		return Irradiance{}, err
	}
	sun, err := SunAt(at, site)
	if err != nil {
		return Irradiance{}, err
	}
	share := clearSkyShareAt(site.ElevationM)
	global := share * aboveAtmosphereWM2(sun)
	return s.irradiance(global, global*diffuseShare(share), sun.ElevationDeg, sun.AzimuthDeg, albedo), nil
}

// ClearDayOn returns the daily light integral, mol m⁻² day⁻¹, on the outside
// of a surface on the cloudless calendar day of date, in date's time zone. It
// ignores neighbouring houses and eaves. The grade is assumption, because the
// evenly bright sky is.
func ClearDayOn(date time.Time, site Site, s Surface, albedo float64) (basis.Value, error) {
	const steps = 144 // every ten minutes: the sum is then good to 0.1 %
	year, month, day := date.Date()
	midnight := time.Date(year, month, day, 0, 0, 0, 0, date.Location())
	var sumWM2 float64
	for i := range steps {
		at := midnight.Add(time.Duration(2*i+1) * 24 * time.Hour / (2 * steps))
		irradiance, err := ClearSkyOn(at, site, s, albedo)
		if err != nil {
			return basis.Value{}, err
		}
		sumWM2 += irradiance.TotalWM2()
	}
	dayMJ := sumWM2 / steps * 86400 / 1e6
	return clearSkyLight(dayMJ/clearSkyShareAt(site.ElevationM), site.ElevationM, "mol m⁻² day⁻¹", basis.Assumption), nil
}

// ClearLightOn returns the PPFD, µmol m⁻² s⁻¹, on the outside of a surface under
// a clear sky at an instant; what one meter reading is set against.
func ClearLightOn(at time.Time, site Site, s Surface, albedo float64) (basis.Value, error) {
	irradiance, err := ClearSkyOn(at, site, s, albedo)
	if err != nil {
		return basis.Value{}, err
	}
	return clearSkyLight(irradiance.TotalWM2()/clearSkyShareAt(site.ElevationM), site.ElevationM, "µmol m⁻² s⁻¹", basis.Assumption), nil
}
