package air

// GlassInnerC returns the temperature of the inner face of glass between two
// air temperatures, in steady state: of the whole fall in temperature, the face
// takes the share that the resistance between room and glass has in the whole
// resistance 1/U. SingleGlazingU, DoubleGlazingU and InsideSurfaceResistance
// hold working figures; their ranges show how far the answer can be trusted.
//
// Errors: a temperature outside −40 to 60 °C; U outside 0.1 to 10 W/(m² K);
// an inside resistance that is negative or above 1/U, the resistance of the
// whole.
//
//	T_face = Ti − U·R_inside·(Ti − To)
func GlassInnerC(insideC, outsideC, uWPerM2K, insideResistanceM2KPerW float64) (float64, error) {
	if err := within("inside temperature", insideC, LowestAirC, HighestAirC, "°C"); err != nil {
		return 0, err
	}
	if err := within("outside temperature", outsideC, LowestAirC, HighestAirC, "°C"); err != nil {
		return 0, err
	}
	if err := within("heat transmittance of the glass", uWPerM2K, 0.1, 10, "W/(m² K)"); err != nil {
		return 0, err
	}
	if err := within("inside surface resistance", insideResistanceM2KPerW, 0, 1/uWPerM2K, "m² K/W"); err != nil {
		return 0, err
	}
	return insideC - uWPerM2K*insideResistanceM2KPerW*(insideC-outsideC), nil
}

// Condensation says whether a surface in contact with the air stays dry.
type Condensation struct {
	SurfaceC  float64
	DewPointC float64
	// HighestRHPercent is the most humid that air of this temperature may be
	// with the surface still dry: 100 when the surface is no colder than it.
	HighestRHPercent float64
	// Forms is true when dew, or frost on a surface below 0 °C, will form.
	Forms bool
}

// CondensationOn compares the air with a surface of the given temperature,
// usually the coldest glass of the room. On a surface below 0 °C frost can grow
// at a little less vapour than dew needs, so saturation over ice decides there.
// Errors: a state or surface temperature outside the range of this package.
func (s State) CondensationOn(surfaceC float64) (Condensation, error) {
	if err := s.Check(); err != nil {
		return Condensation{}, err
	}
	if err := within("surface temperature", surfaceC, LowestAirC, HighestAirC, "°C"); err != nil {
		return Condensation{}, err
	}
	surfaceKPa := SaturationKPa(surfaceC)
	if surfaceC < 0 {
		// The two formulations differ by 0.06 % at 0 °C; the lesser of them
		// keeps the limit from jumping up where ice takes over.
		surfaceKPa = min(surfaceKPa, SaturationASHRAEKPa(surfaceC))
	}
	return Condensation{
		SurfaceC:         surfaceC,
		DewPointC:        DewPointC(s.VapourKPa()),
		HighestRHPercent: min(100, 100*surfaceKPa/SaturationKPa(s.AirC)),
		Forms:            s.VapourKPa() > surfaceKPa,
	}, nil
}
