package air

// State is air whose temperature, humidity and pressure lie in the range of
// this package. The constructors check it; a State put together by hand can be
// checked with Check, which every function that takes a State does.
type State struct {
	AirC        float64
	RHPercent   float64
	PressureKPa float64
}

// NewState returns the state of air at a temperature in °C, a relative humidity
// in percent and a pressure in kPa. Errors: see Check.
func NewState(airC, rhPercent, pressureKPa float64) (State, error) {
	s := State{AirC: airC, RHPercent: rhPercent, PressureKPa: pressureKPa}
	if err := s.Check(); err != nil {
		return State{}, err
	}
	return s, nil
}

// StateFromDewPoint returns the state of air whose dew point is known. Errors:
// those of RHFromDewPoint and Check.
func StateFromDewPoint(airC, dewPointC, pressureKPa float64) (State, error) {
	rhPercent, err := RHFromDewPoint(airC, dewPointC)
	if err != nil {
		return State{}, err
	}
	return NewState(airC, rhPercent, pressureKPa)
}

// StateFromWetBulb returns the state of air from the two readings of a
// psychrometer. The instrument's wet bulb is not quite the thermodynamic one that
// Describe gives: even an aspirated bulb may read some tenths of a kelvin off
// in dry air. Errors: those of RHFromWetBulb and Check.
func StateFromWetBulb(airC, wetBulbC, pressureKPa float64, ventilation Psychrometer) (State, error) {
	rhPercent, err := RHFromWetBulb(airC, wetBulbC, pressureKPa, ventilation)
	if err != nil {
		return State{}, err
	}
	return NewState(airC, rhPercent, pressureKPa)
}

// Check returns an error unless the air is −40 to 60 °C, its relative humidity
// 0 to 100 % and its pressure 50 to 110 kPa.
func (s State) Check() error {
	if err := checkAirC(s.AirC); err != nil {
		return err
	}
	if err := checkRHPercent("relative humidity", s.RHPercent); err != nil {
		return err
	}
	return checkPressureKPa(s.PressureKPa)
}

// VapourKPa returns the vapour pressure in kPa.
func (s State) VapourKPa() float64 { return VapourKPa(s.AirC, s.RHPercent) }

// HumidityRatio returns kg of vapour per kg of dry air.
func (s State) HumidityRatio() float64 { return HumidityRatio(s.VapourKPa(), s.PressureKPa) }

// Description is everything that follows from a State. Enthalpy, specific
// volume and humidity ratio are per kg of dry air, density is of the moist air.
type Description struct {
	AirC                   float64 `json:"air_c"`
	RHPercent              float64 `json:"rh_percent"`
	PressureKPa            float64 `json:"pressure_kpa"`
	SaturationKPa          float64 `json:"saturation_kpa"`
	VapourKPa              float64 `json:"vapour_kpa"`
	VPDKPa                 float64 `json:"vpd_kpa"`
	DewPointC              float64 `json:"dew_point_c"`
	WetBulbC               float64 `json:"wet_bulb_c"`
	HumidityRatio          float64 `json:"humidity_ratio_kg_per_kg"`
	EnthalpyKJPerKg        float64 `json:"enthalpy_kj_per_kg"`
	SpecificVolumeM3PerKg  float64 `json:"specific_volume_m3_per_kg"`
	DensityKgPerM3         float64 `json:"density_kg_per_m3"`
	AbsoluteHumidityGPerM3 float64 `json:"absolute_humidity_g_per_m3"`
}

// Describe returns every quantity that follows from the state. At exactly 0 %
// relative humidity the dew point is the documented limit of DewPointC.
func (s State) Describe() Description {
	vapourKPa, ratio := s.VapourKPa(), s.HumidityRatio()
	return Description{
		AirC:                   s.AirC,
		RHPercent:              s.RHPercent,
		PressureKPa:            s.PressureKPa,
		SaturationKPa:          SaturationKPa(s.AirC),
		VapourKPa:              vapourKPa,
		VPDKPa:                 VPDKPa(s.AirC, s.RHPercent),
		DewPointC:              DewPointC(vapourKPa),
		WetBulbC:               WetBulbC(s.AirC, s.RHPercent, s.PressureKPa),
		HumidityRatio:          ratio,
		EnthalpyKJPerKg:        EnthalpyKJPerKg(s.AirC, ratio),
		SpecificVolumeM3PerKg:  SpecificVolumeM3PerKg(s.AirC, ratio, s.PressureKPa),
		DensityKgPerM3:         DensityKgPerM3(s.AirC, ratio, s.PressureKPa),
		AbsoluteHumidityGPerM3: AbsoluteHumidityGPerM3(s.AirC, vapourKPa),
	}
}
