package light

import (
	"errors"
	"fmt"

	"velamen/science/basis"
)

// Calibration is what a reading makes of an estimate.
type Calibration struct {
	// Value is the reading, which takes the estimate's place.
	Value basis.Value
	// Ratio of reading to estimate, to carry over to other dates and places
	// behind the same window; 0 when the estimate was 0.
	Ratio float64
	// Surprising says that the reading's range does not touch the estimate's:
	// worth a second look at the meter, the hour or the window.
	Surprising bool
}

// Calibrate replaces a prior estimate by a reading in the same unit. The
// reading must be measured or given; its range is the meter's.
func Calibrate(prior, reading basis.Value) (Calibration, error) {
	for _, v := range [...]basis.Value{prior, reading} {
		if err := v.Check(); err != nil {
			return Calibration{}, err
		}
	}
	if prior.Unit != reading.Unit {
		return Calibration{}, fmt.Errorf("light: a reading in %s cannot replace an estimate in %s", reading.Unit, prior.Unit)
	}
	if reading.Grade != basis.Measured && reading.Grade != basis.Given {
		return Calibration{}, fmt.Errorf("light: a figure with the basis %q is no reading", reading.Grade)
	}
	if reading.Low < 0 || prior.Low < 0 {
		return Calibration{}, errors.New("light: a level of light below 0 cannot be")
	}
	c := Calibration{Value: reading, Surprising: reading.High < prior.Low || reading.Low > prior.High}
	if prior.Value > 0 {
		c.Ratio = reading.Value / prior.Value
	}
	return c, nil
}
