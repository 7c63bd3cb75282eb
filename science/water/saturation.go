package water

import (
	"math"

	"velamen/science/basis"
)

// Solubility products at 25 °C, log10 of (mol/L)², and what else a precipitate
// depends on.
var (
	log10KGypsum   = basis.Value{Value: -4.58, Low: -4.62, High: -4.55, Unit: "log10", Grade: basis.FromMemory, Source: "gypsum, PHREEQC database phreeqc.dat"}
	log10KBrushite = basis.Value{Value: -6.59, Low: -6.63, High: -6.55, Unit: "log10", Grade: basis.FromMemory, Source: "CaHPO4·2H2O (brushite), handbook value"}
	log10KCalcite  = basis.Value{Value: -8.48, Low: -8.50, High: -8.45, Unit: "log10", Grade: basis.FromMemory, Source: "calcite, PHREEQC database phreeqc.dat"}
	pKPhosphoric2  = basis.Exactly(7.20, "pK", basis.FromMemory, "second dissociation of phosphoric acid, 25 °C")
	pKCarbonic2    = basis.Exactly(10.33, "pK", basis.FromMemory, "second dissociation of carbonic acid, 25 °C")
	// airPH is pH − log10[HCO3] of water that has stood in air: 0.0004 bar of
	// CO2, Henry's constant 10^−1.47 and first dissociation 10^−6.35.
	airPH = basis.Value{Value: 11.22, Low: 10.9, High: 11.3, Unit: "1", Grade: basis.FromMemory, Source: "carbonate equilibria at 25 °C and 0.0004 bar CO2; low end a closed room"}
	// FeedPH is the pH of a feed that has lost its alkalinity.
	FeedPH = basis.Value{Value: 6, Low: 5.5, High: 6.8, Unit: "pH", Grade: basis.CommonPractice}
)

// Saturation is how near a solution is to precipitating, as the log10 of its ion
// product over the solubility product: below 0 it holds, above 0 it may cloud or
// scale. −Inf where an ion is missing.
type Saturation struct {
	Gypsum           float64 // CaSO4·2H2O
	CalciumPhosphate float64 // CaHPO4·2H2O at FeedPH, or at the pH that its bicarbonate gives in air if that is higher
	Carbonate        float64 // CaCO3 after standing in air
	PH               float64 // at which the phosphate was judged
}

// Saturation returns the saturation of the solution at 25 °C. Calcium and
// magnesium pair with sulphate; activities are by the Davies equation, which is
// good to an ionic strength of about 0.5 mol/L and is held there beyond, so a
// concentrate's figures are rough. The pH is not computed but taken as above.
func (c Ions) Saturation() (Saturation, error) {
	if err := c.Check(); err != nil {
		return Saturation{}, err
	}
	free := c.unpaired()
	strength := math.Min(0.5, free.IonicStrength())
	root := math.Sqrt(strength)
	gamma := math.Pow(10, -daviesSlope.Value*(root/(1+root)-0.3*strength)) // of one charge
	gamma2 := math.Pow(gamma, 4)
	s := Saturation{PH: FeedPH.Value}
	if c[HCO3] > 0 {
		s.PH = math.Max(s.PH, airPH.Value+math.Log10(c[HCO3]/1000))
	}
	log := func(mmol float64) float64 { return math.Log10(mmol / 1000) }
	s.Gypsum = log(free[Ca]*gamma2) + log(free[SO4]*gamma2) - log10KGypsum.Value
	// [HPO4] = [H2PO4]·10^(pH−pK)·γ1/γ2
	r := math.Pow(10, s.PH-pKPhosphoric2.Value) * gamma / gamma2
	hpo4 := (c[H2PO4] + c[HPO4]) * r / (1 + r)
	s.CalciumPhosphate = log(free[Ca]*gamma2) + log(hpo4*gamma2) - log10KBrushite.Value
	carbonate := c[CO3] + c[HCO3]*math.Pow(10, s.PH-pKCarbonic2.Value)*gamma/gamma2
	s.Carbonate = log(free[Ca]*gamma2) + log(carbonate*gamma2) - log10KCalcite.Value
	return s, nil
}

// StrongestClear returns how many times as strong as c, at most 1000 times, a
// concentrate of the same salts may be before gypsum or calcium phosphate
// saturates: the reason why calcium is kept apart from sulphate and phosphate in
// concentrates. 0 if c itself is not clear.
func (c Ions) StrongestClear() (float64, error) {
	clear := func(factor float64) bool {
		var strong Ions
		for i := range c {
			strong[i] = factor * c[i]
		}
		s, err := strong.Saturation()
		return err == nil && s.Gypsum <= 0 && s.CalciumPhosphate <= 0
	}
	if err := c.Check(); err != nil {
		return 0, err
	}
	if !clear(1) {
		return 0, nil
	}
	low, high := 1.0, 1000.0
	if clear(high) {
		return high, nil
	}
	for range 50 {
		if middle := math.Sqrt(low * high); clear(middle) {
			low = middle
		} else {
			high = middle
		}
	}
	return low, nil
}
