package light

import "velamen/science/basis"

// luxPerFootCandle is one lumen per square foot in lumens per square metre;
// the foot is 0.3048 m by definition.
const luxPerFootCandle = 1 / (0.3048 * 0.3048)

// LuxFromFootCandles converts foot-candles (0 to 60,000) to lux, exactly.
func LuxFromFootCandles(fc float64) (float64, error) {
	if err := checkFootCandles(fc); err != nil {
		return 0, err
	}
	return fc * luxPerFootCandle, nil
}

// FootCandlesFromLux converts lux (0 to 600,000) to foot-candles, exactly.
func FootCandlesFromLux(lux float64) (float64, error) {
	if err := checkLux(lux); err != nil {
		return 0, err
	}
	return lux / luxPerFootCandle, nil
}

// PPFDFromLux converts a lux reading (0 to 600,000) to PPFD in µmol m⁻² s⁻¹.
// The range is that of the source's lux factor.
func PPFDFromLux(lux float64, source Source) (basis.Value, error) {
	return Convert(Quantity{lux, Lux}, PPFD, Lighting{Source: source})
}

// LuxFromPPFD converts PPFD (0 to 4000 µmol m⁻² s⁻¹) to the lux a meter would
// show under the source.
func LuxFromPPFD(ppfd float64, source Source) (basis.Value, error) {
	return Convert(Quantity{ppfd, PPFD}, Lux, Lighting{Source: source})
}

const maxGlobalWM2 = 1500 // above the solar constant, for bright cloud edges

// PPFDFromGlobal converts global solar radiation (0 to 1500 W/m²) to PPFD in
// µmol m⁻² s⁻¹.
func PPFDFromGlobal(globalWM2 float64) (basis.Value, error) {
	if err := within("global radiation", globalWM2, 0, maxGlobalWM2, "W/m²"); err != nil {
		return basis.Value{}, err
	}
	return scaled(ppfdPerGlobal, globalWM2, "µmol m⁻² s⁻¹"), nil
}

// LuxFromGlobal converts clear-sky global solar radiation (0 to 1500 W/m²) to
// lux.
func LuxFromGlobal(globalWM2 float64) (basis.Value, error) {
	if err := within("global radiation", globalWM2, 0, maxGlobalWM2, "W/m²"); err != nil {
		return basis.Value{}, err
	}
	return scaled(lumensPerWatt, globalWM2, "lx"), nil
}

// DLIFromGlobal converts a day's global solar radiation (0 to 50 MJ/m²) to the
// daily light integral in mol m⁻² day⁻¹; µmol per joule are mol per megajoule.
func DLIFromGlobal(globalMJ float64) (basis.Value, error) {
	if err := within("daily global radiation", globalMJ, 0, 50, "MJ/m²"); err != nil {
		return basis.Value{}, err
	}
	return scaled(ppfdPerGlobal, globalMJ, "mol m⁻² day⁻¹"), nil
}

// scaled multiplies a value and its range by a factor ≥ 0.
func scaled(v basis.Value, by float64, unit string) basis.Value {
	v.Value, v.Low, v.High, v.Unit = v.Value*by, v.Low*by, v.High*by, unit
	return v
}
