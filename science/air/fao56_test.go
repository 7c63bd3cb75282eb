package air_test

import (
	"testing"

	"velamen/science/air"
)

// The worked examples of FAO-56 chapter 3. Tolerances are half a unit of the
// last printed digit, or of the last digit of a full-precision computation made
// independently.
func TestFAO56Examples(t *testing.T) {
	pressureKPa := must(t)(air.PressureKPa(1800))
	near(t, "Example 2: P", pressureKPa, 81.8, 0.05)
	near(t, "Example 2: γ", air.PsychrometricKPaPerK(pressureKPa), 0.054, 0.0005)
	near(t, "Example 2: P computed independently", pressureKPa, 81.756, 0.0005)
	near(t, "Example 2: γ computed independently", air.PsychrometricKPaPerK(pressureKPa), 0.054368, 0.0000005)

	near(t, "Example 3: es", air.MeanSaturationKPa(15, 24.5), 2.39, 0.005)
	near(t, "Example 3: es computed independently", air.MeanSaturationKPa(15, 24.5), 2.39000, 0.000005)

	pressureKPa = must(t)(air.PressureKPa(1200))
	rh := must(t)(air.RHFromWetBulb(25.6, 19.5, pressureKPa, air.Aspirated))
	near(t, "Example 4: P computed independently", pressureKPa, 87.897, 0.0005)
	near(t, "Example 4: ea", air.VapourKPa(25.6, rh), 1.91, 0.005)
	near(t, "Example 4: ea computed independently", air.VapourKPa(25.6, rh), 1.91194, 0.000005)
	near(t, "Example 4: RH computed independently", rh, 58.2, 0.05)

	fromBoth := air.VapourFromRHRangeKPa(18, 25, 54, 82)
	near(t, "Example 5: ea by equation 17", fromBoth, 1.70, 0.005)
	near(t, "Example 5: ea by equation 18", air.VapourFromHighestRHKPa(18, 82), 1.69, 0.005)
	near(t, "Example 5: ea by equation 19", air.VapourFromMeanRHKPa(18, 25, 68), 1.78, 0.005)
	near(t, "Example 5: equation 17 computed independently", fromBoth, 1.70154, 0.000005)
	near(t, "Example 5: equation 18 computed independently", air.VapourFromHighestRHKPa(18, 82), 1.69247, 0.000005)
	near(t, "Example 5: equation 19 computed independently", air.VapourFromMeanRHKPa(18, 25, 68), 1.77880, 0.000005)

	saturationKPa := air.MeanSaturationKPa(18, 25)
	near(t, "Example 6, from memory: es", saturationKPa, 2.62, 0.005)
	near(t, "Example 6, from memory: VPD", saturationKPa-fromBoth, 0.91, 0.005)
	near(t, "Example 6: es computed independently", saturationKPa, 2.61588, 0.000005)
	near(t, "Example 6: VPD computed independently", saturationKPa-fromBoth, 0.91435, 0.000005)
}
