package leaf

// Leaf is one leaf, or a square metre of leaves of one kind.
type Leaf struct {
	// WidthM is the greatest width across the blade, 0.001 to 0.5 m.
	WidthM float64
	// StomatalMol is the conductance of the stomata to water vapour, all on
	// the lower face, 0 to 10 mol m⁻² s⁻¹ of projected area.
	StomatalMol float64
	// CuticularMol is the conductance of the skin to water vapour, both faces
	// together and half on each, 0 to 1 mol m⁻² s⁻¹ of projected area.
	CuticularMol float64
}

// check reports the first quantity that lies outside its range.
func (l Leaf) check() error {
	return firstError(
		within("leaf width", "m", l.WidthM, widthLowM, widthHighM),
		within("stomatal conductance", "mol/(m² s)", l.StomatalMol, stomatalLowMol, stomatalHighMol),
		within("cuticular conductance", "mol/(m² s)", l.CuticularMol, cuticularLowMol, cuticularHighMol),
	)
}

// Surroundings is the air at the leaf and the light it takes in. Walls, glass
// and neighbours are taken to be as warm as the air.
type Surroundings struct {
	AirC      float64 // −10 to 60 °C
	RHPercent float64 // 0 to 100 %
	// PressureKPa is the air pressure, 50 to 110 kPa.
	PressureKPa float64
	SpeedMS     float64 // air speed at the leaf, 0 to 20 m/s
	// AbsorbedWM2 is the light turned into heat in the leaf, 0 to 1000 W/m² of
	// projected area: all wavelengths of sun or lamp, less what is reflected
	// or passes through.
	AbsorbedWM2 float64
}

// check reports the first quantity that lies outside its range.
func (s Surroundings) check() error {
	return firstError(
		within("air temperature", "°C", s.AirC, airLowC, airHighC),
		within("relative humidity", "%", s.RHPercent, rhLowPercent, rhHighPercent),
		within("air pressure", "kPa", s.PressureKPa, pressureLowKPa, pressureHighKPa),
		within("air speed", "m/s", s.SpeedMS, speedLowMS, speedHighMS),
		within("absorbed light", "W/m²", s.AbsorbedWM2, absorbedLowWM2, absorbedHighWM2),
	)
}

// Result is the balance of a leaf. Fluxes count from the leaf outward, except
// for net radiation, which counts inward:
//
//	NetRadiationWM2 = SensibleWM2 + LatentWM2
type Result struct {
	LeafC                float64 // temperature of the leaf, °C
	TranspirationMol     float64 // water lost, mol m⁻² s⁻¹
	TranspirationGPerM2H float64 // the same in g m⁻² h⁻¹
	NetRadiationWM2      float64 // absorbed light less the net heat radiated away
	SensibleWM2          float64 // heat carried off by air
	LatentWM2            float64 // heat carried off by water vapour
	LeafVPDKPa           float64 // saturation at the leaf less the vapour pressure of the air
	BoundaryHeatMol      float64 // boundary-layer conductance to heat, both faces together
	VapourMol            float64 // conductance to vapour from the leaf's inside to the free air
}

// gramsPerHour turns a flux of water in mol/s into g/h.
const gramsPerHour = molarMassWater * 3600
