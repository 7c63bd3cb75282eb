package pot

import (
	"fmt"

	"velamen/science/air"
	"velamen/science/basis"
)

// AirMovement is how the air moves over a pot.
type AirMovement uint8

const (
	StillAir AirMovement = iota // a room without a fan
	FanAir                      // a fan that moves the leaves
)

// String returns the words shown to the grower.
func (m AirMovement) String() string {
	switch m {
	case StillAir:
		return "still air"
	case FanAir:
		return "a fan running"
	}
	return "unknown air movement"
}

func (p *Parameters) transfer(m AirMovement) (basis.Value, error) {
	switch m {
	case StillAir:
		return p.StillAirMMPerS, nil
	case FanAir:
		return p.FanAirMMPerS, nil
	}
	return basis.Value{}, fmt.Errorf("pot: air movement %d is unknown, expected %d (%v) or %d (%v)", m, StillAir, StillAir, FanAir, FanAir)
}

// PotentialEvaporationMM returns the mm per day that evaporate from a wet
// surface in the shade indoors, in air of the given temperature (0 to 50 °C),
// relative humidity (0 to 100 %) and pressure (50 to 110 kPa). Its range covers
// the transfer coefficient and the warmth of the surface.
//
//	E = g·(ρ_sat(T_s) − ρ_air), T_s between wet bulb and air: bulk transfer of vapour
//
// Sun or lamps on the medium add to it and are not included.
func (p *Parameters) PotentialEvaporationMM(airC, rhPercent, pressureKPa float64, movement AirMovement) (basis.Value, error) {
	transfer, err := p.transfer(movement)
	if err := firstError(err,
		within("air temperature", airC, 0, 50, "°C"),
		within("relative humidity", rhPercent, 0, 100, "%"),
		within("air pressure", pressureKPa, air.LowestPressureKPa, air.HighestPressureKPa, "kPa"),
	); err != nil {
		return basis.Value{}, err
	}
	wetBulbC := air.WetBulbC(airC, rhPercent, pressureKPa)
	airGPerM3 := air.AbsoluteHumidityGPerM3(airC, air.VapourKPa(airC, rhPercent))
	mmPerDay := func(in []float64) float64 {
		surfaceC := wetBulbC + in[1]*(airC-wetBulbC)
		surfaceGPerM3 := air.AbsoluteHumidityGPerM3(surfaceC, air.SaturationKPa(surfaceC))
		// mm/s·g/m³ is 1e-3 g m⁻² s⁻¹, and 1000 g m⁻² is 1 mm.
		return max(0, in[0]*1e-6*24*secondsPerHour*(surfaceGPerM3-airGPerM3))
	}
	central := mmPerDay([]float64{transfer.Value, p.SurfaceWarmth.Value})
	low, high := basis.Spread(mmPerDay, transfer, p.SurfaceWarmth)
	return basis.Value{
		Value: central, Low: max(0, low), High: high, Unit: "mm/day",
		Grade:  basis.Weakest(transfer.Grade, p.SurfaceWarmth.Grade),
		Source: transfer.Source,
	}, nil
}
