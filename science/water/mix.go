package water

import (
	"fmt"
	"math"
)

// Part is one water of a mixture.
type Part struct {
	Water  Ions
	Litres float64
}

// Blend returns the mixture of the parts. Every ion mixes linearly, and with
// them hardness and alkalinity; conductivity does so only nearly, and pH not at
// all.
func Blend(parts ...Part) (Ions, error) {
	var c Ions
	var litres float64
	for i, p := range parts {
		if err := within(fmt.Sprintf("volume of part %d", i+1), p.Litres, 0, math.MaxFloat64, "L"); err != nil {
			return Ions{}, err
		}
		if err := p.Water.Check(); err != nil {
			return Ions{}, fmt.Errorf("part %d: %w", i+1, err)
		}
		litres += p.Litres
	}
	if litres == 0 || math.IsInf(litres, 0) {
		return Ions{}, fmt.Errorf("water: the parts of a blend add up to %g L", litres)
	}
	for _, p := range parts {
		share := p.Litres / litres
		for i := range c {
			c[i] += share * p.Water[i]
		}
	}
	return c, nil
}

// ShareForAlkalinity returns the share of water a (0 to 1) in a mixture of a
// and b that has the wanted alkalinity, mg/L as CaCO3. A target outside the two
// waters is refused, not clamped.
func ShareForAlkalinity(a, b Ions, targetMgCaCO3 float64) (float64, error) {
	return linearShare("alkalinity of the blend", "mg/L CaCO3", a.AlkalinityMgCaCO3(), b.AlkalinityMgCaCO3(), targetMgCaCO3)
}

// ShareForHardness returns the share of water a (0 to 1) in a mixture of a and
// b that has the wanted hardness, mg/L as CaCO3.
func ShareForHardness(a, b Ions, targetMgCaCO3 float64) (float64, error) {
	return linearShare("hardness of the blend", "mg/L CaCO3", a.HardnessMgCaCO3(), b.HardnessMgCaCO3(), targetMgCaCO3)
}

func linearShare(quantity, unit string, a, b, target float64) (float64, error) {
	if err := within(quantity, target, math.Min(a, b), math.Max(a, b), unit); err != nil {
		return 0, err
	}
	if a == b {
		return 0, fmt.Errorf("water: both waters have the %s %.4g %s, so any share does", quantity, a, unit)
	}
	return (target - b) / (a - b), nil
}

// ShareForEC returns the share of water a (0 to 1) in a mixture of a and b that
// has the wanted conductivity, mS/cm. A mixture conducts a little more than the
// straight line between its parts, since dilution frees the ions, so the share
// is found by bisection on the computed conductivity.
func ShareForEC(a, b Ions, targetMS float64) (float64, error) {
	ecA, err := a.ECmS()
	if err != nil {
		return 0, err
	}
	ecB, err := b.ECmS()
	if err != nil {
		return 0, err
	}
	if _, err := linearShare("conductivity of the blend", "mS/cm", ecA, ecB, targetMS); err != nil {
		return 0, err
	}
	return bisect(0, 1, targetMS, func(share float64) (float64, error) {
		mixture, err := Blend(Part{a, share}, Part{b, 1 - share})
		if err != nil {
			return 0, err
		}
		return mixture.ECmS()
	})
}
