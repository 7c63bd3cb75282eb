package air_test

import (
	"testing"

	"velamen/science/air"
)

// Equation 33 gives the humidity ratio directly when the wet bulb is known; the
// rows are figures for W at a measured wet bulb.
func TestWetBulbEquation(t *testing.T) {
	for _, row := range []struct {
		airC, wetC, pressureKPa float64
		ratio, tolerance        float64
		source                  string
	}{
		{30, 25, 95.461, 0.0192281274, 3e-4 * 0.0192, "PsychroLib test file, spreadsheet figure and its tolerance of 3e-4"},
		{40, 20, 101.325, 0.0065, 0.0001, "ASHRAE 2017 ch. 1, Example 1, read from the chart: last digit"},
		{40, 20, 101.325, 0.0064008, 0.00000005, "PsychroLib 2.5.0, half the last digit"},
		{25, 18, 101.325, 0.0100177, 0.00000005, "PsychroLib 2.5.0, half the last digit"},
		// The wet bulb was found by bisection to 0.001 K, which is worth
		// 0.0000008 in the ratio at this slope.
		{25, 18.5037, 101.325, 0.0106475, 0.0000008, "PsychroLib 2.5.0, from dew point 15 °C"},
		{20, 13.3453, 84.556, 0.008722, 0.0000012, "PsychroLib 2.5.0, 50 % at 1500 m, ratio to half its last digit and 0.001 K"},
		{7, 3.92667, 100, air.HumidityRatio(0.61*air.SaturationASHRAEKPa(7), 100), 0.0000005, "PsychroLib 2.5.0, 61 %, 0.001 K"},
		{25.6, 19.5, 87.9, air.HumidityRatio(1.92214, 87.9), 0.00000005, "PsychroLib 2.5.0, air of FAO-56 Example 4"},
	} {
		saturated := air.HumidityRatio(air.SaturationASHRAEKPa(row.wetC), row.pressureKPa)
		imbalanceOfDryAir, _ := air.WetBulbImbalance(row.airC, row.wetC, 0, saturated, 0)
		imbalance, _ := air.WetBulbImbalance(row.airC, row.wetC, row.ratio, saturated, 0)
		// The imbalance is linear in the ratio.
		ratio := row.ratio * imbalanceOfDryAir / (imbalanceOfDryAir - imbalance)
		near(t, "humidity ratio ("+row.source+")", ratio, row.ratio, row.tolerance)
	}
}
