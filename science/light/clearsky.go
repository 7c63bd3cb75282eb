package light

import (
	"math"
	"time"

	"velamen/science/basis"
)

// Outdoors is the light of a cloudless day in the open.
type Outdoors struct {
	Day      SolarDay
	GlobalMJ float64     // Rso, MJ m⁻² day⁻¹
	NoonPPFD basis.Value // µmol m⁻² s⁻¹ at solar noon
	DLI      basis.Value // mol m⁻² day⁻¹
}

// ClearDay returns the light outdoors on a cloudless day of the year (1 to
// 366). It is what the place allows; ordinary days bring less.
func ClearDay(site Site, dayOfYear int) (Outdoors, error) {
	if err := site.Check(); err != nil {
		return Outdoors{}, err
	}
	d, err := OnDayOfYear(site.LatDeg, dayOfYear)
	if err != nil {
		return Outdoors{}, err
	}
	globalMJ, err := d.ClearSkyMJ(site.ElevationM)
	if err != nil {
		return Outdoors{}, err
	}
	noonAboveWM2 := solarConstantMJ * 1e6 / 60 * d.InverseDistance *
		math.Max(0, math.Cos(d.lat()-d.DeclinationRad))
	return Outdoors{
		Day:      d,
		GlobalMJ: globalMJ,
		NoonPPFD: clearSkyLight(noonAboveWM2, site.ElevationM, "µmol m⁻² s⁻¹", basis.Published),
		DLI:      clearSkyLight(d.ExtraterrestrialMJ, site.ElevationM, "mol m⁻² day⁻¹", basis.Published),
	}, nil
}

// clearSkyLight turns radiation above the atmosphere (or its sum on a pane)
// into light below a clear sky.
func clearSkyLight(above, elevationM float64, unit string, grade basis.Grade) basis.Value {
	low, high := basis.Spread(func(in []float64) float64 {
		return above * (in[0] + in[1]*elevationM) * in[2]
	}, clearSkyShare, clearSkySharePerM, ppfdPerGlobal)
	return basis.Value{
		Value: above * clearSkyShareAt(elevationM) * ppfdPerGlobal.Value, Low: low, High: high, Unit: unit,
		Grade:  basis.Weakest(grade, clearSkyShare.Grade, ppfdPerGlobal.Grade),
		Source: "clear sky: " + clearSkyShare.Source + "; PAR: " + ppfdPerGlobal.Source,
	}
}

// ClearSkyAt returns the global radiation on a level surface under a clear sky
// at an instant (years 1950 to 2050), W/m²; 0 while the sun is down.
func ClearSkyAt(at time.Time, site Site) (float64, error) {
	sun, err := SunAt(at, site)
	if err != nil {
		return 0, err
	}
	return clearSkyShareAt(site.ElevationM) * aboveAtmosphereWM2(sun), nil
}

func aboveAtmosphereWM2(sun SunPosition) float64 {
	return solarConstantMJ * 1e6 / 60 / (sun.DistanceAU * sun.DistanceAU) *
		math.Max(0, math.Sin(sun.ElevationDeg*degree))
}
