package air

// Constants of ASHRAE 2017 chapter 1 for moist air as a mixture of ideal gases.
const (
	// massRatio is the molar mass of water over that of dry air.
	massRatio = 0.621945
	// inverseMassRatio is written as the handbook prints it in equation 26.
	inverseMassRatio = 1.607858
	// dryAirJPerKgK is the gas constant of dry air.
	dryAirJPerKgK = 287.042

	dryAirHeatKJPerKgK = 1.006
	vapourHeatKJPerKgK = 1.86
	latentAt0CKJPerKg  = 2501.0
)

// HumidityRatio returns the mass of vapour in kg per kg of dry air. The vapour
// pressure must be below the air pressure.
//
//	W = 0.621945·pw/(p − pw)   ASHRAE 2017 ch. 1, equation 20
func HumidityRatio(vapourKPa, pressureKPa float64) float64 {
	return massRatio * vapourKPa / (pressureKPa - vapourKPa)
}

// EnthalpyKJPerKg returns the enthalpy of moist air in kJ per kg of dry air,
// counted from dry air and liquid water at 0 °C.
//
//	h = 1.006·t + W·(2501 + 1.86·t)   ASHRAE 2017 ch. 1, equation 30
func EnthalpyKJPerKg(airC, humidityRatio float64) float64 {
	return dryAirHeatKJPerKgK*airC + humidityRatio*(latentAt0CKJPerKg+vapourHeatKJPerKgK*airC)
}

// SpecificVolumeM3PerKg returns the volume of moist air in m³ per kg of dry air.
//
//	v = 287.042·T·(1 + 1.607858·W)/p, T in K, p in Pa   ASHRAE 2017 ch. 1, equation 26
func SpecificVolumeM3PerKg(airC, humidityRatio, pressureKPa float64) float64 {
	return dryAirJPerKgK * (airC + kelvinAt0C) * (1 + inverseMassRatio*humidityRatio) / (1000 * pressureKPa)
}

// DensityKgPerM3 returns the density of moist air, vapour included, in kg/m³.
//
//	ρ = (1 + W)/v   ASHRAE 2017 ch. 1, equation 11
func DensityKgPerM3(airC, humidityRatio, pressureKPa float64) float64 {
	return (1 + humidityRatio) / SpecificVolumeM3PerKg(airC, humidityRatio, pressureKPa)
}

// AbsoluteHumidityGPerM3 returns the mass of vapour in g per m³ of air.
//
//	2166.79·ea/T, T in K: the gas law with the gas constant of water vapour, 461.51 J/(kg·K)
func AbsoluteHumidityGPerM3(airC, vapourKPa float64) float64 {
	return 2166.79 * vapourKPa / (airC + kelvinAt0C)
}
