package leaf

import "velamen/science/basis"

// The valid range of each input, as stated in the package documentation.
const (
	airLowC, airHighC               = -10.0, 60.0
	rhLowPercent, rhHighPercent     = 0.0, 100.0
	pressureLowKPa, pressureHighKPa = 50.0, 110.0
	speedLowMS, speedHighMS         = 0.0, 20.0
	absorbedLowWM2, absorbedHighWM2 = 0.0, 1000.0
	widthLowM, widthHighM           = 0.001, 0.5
	// Ten moles are five times the conductance of a leaf pierced all over,
	// and as good as a film of water.
	stomatalLowMol, stomatalHighMol   = 0.0, 10.0
	cuticularLowMol, cuticularHighMol = 0.0, 1.0
	ppfdLow, ppfdHigh                 = 0.0, 2500.0
	lightHeatLow, lightHeatHigh       = 0.0, 0.6
	// Air of 60 °C without any vapour lacks 20 kPa.
	vpdLowKPa, vpdHighKPa = 0.0, 20.0
)

// within reports a value outside its range, NaN included.
func within(quantity, unit string, value, low, high float64) error {
	return basis.Within("leaf", quantity, value, low, high, unit)
}

// firstError returns the first error of the list, or nil.
func firstError(errs ...error) error {
	for _, err := range errs {
		if err != nil {
			return err
		}
	}
	return nil
}
