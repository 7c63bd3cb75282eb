package water

import (
	"math"
	"sort"
)

// EC25Linear returns the conductivity at 25 °C of a reading taken without
// compensation at waterC, with a linear coefficient in percent per °C:
// κ25 = κT/(1 + α·(T − 25)). The unit of ec is kept. Range 0–50 °C,
// 1–3 %/°C (acids 1.3, natural water 1.9, sodium chloride 2.1).
func EC25Linear(ec, waterC, percentPerC float64) (float64, error) {
	if err := within("conductivity", ec, 0, math.MaxFloat64, "as read"); err != nil {
		return 0, err
	}
	if err := within("water temperature", waterC, 0, 50, "°C"); err != nil {
		return 0, err
	}
	if err := within("temperature coefficient", percentPerC, 1, 3, "%/°C"); err != nil {
		return 0, err
	}
	return ec / (1 + percentPerC/100*(waterC-25)), nil
}

// naturalWater is the factor f25 of ISO 7888:1985 (EN 27888), as printed in two
// manufacturers' manuals for whole degrees and a few halves.
var naturalWater = [...]struct{ waterC, factor float64 }{
	{0, 1.918}, {0.5, 1.887}, {5, 1.643}, {8, 1.508}, {10, 1.428}, {12, 1.354}, {15, 1.256}, {18, 1.168},
	{20, 1.116}, {21, 1.091}, {22, 1.067}, {23, 1.044}, {24, 1.021}, {25, 1.000}, {26, 0.979},
	{28, 0.940}, {30, 0.903}, {32, 0.869}, {35, 0.822},
}

// NaturalWaterFactor returns the factor by which an uncompensated reading of
// natural water at waterC (0–35 °C) is multiplied to give its conductivity at
// 25 °C (ISO 7888, non-linear). Straight lines join the tabulated points; by the
// curvature of the table they lie up to 0.5 % too high below 5 °C, and up to
// 0.2 % elsewhere.
func NaturalWaterFactor(waterC float64) (float64, error) {
	if err := within("water temperature", waterC, 0, 35, "°C"); err != nil {
		return 0, err
	}
	after := sort.Search(len(naturalWater), func(i int) bool { return naturalWater[i].waterC >= waterC })
	if naturalWater[after].waterC == waterC {
		return naturalWater[after].factor, nil
	}
	a, b := naturalWater[after-1], naturalWater[after]
	return a.factor + (b.factor-a.factor)*(waterC-a.waterC)/(b.waterC-a.waterC), nil
}

// EC25NaturalWater returns the conductivity at 25 °C of natural water read
// without compensation at waterC (0–35 °C), by ISO 7888. Use it for 60 to 1000
// µS/cm; a feed follows the linear rule better. The unit of ec is kept.
func EC25NaturalWater(ec, waterC float64) (float64, error) {
	if err := within("conductivity", ec, 0, math.MaxFloat64, "as read"); err != nil {
		return 0, err
	}
	factor, err := NaturalWaterFactor(waterC)
	return ec * factor, err
}
