package water

import (
	"fmt"
	"math"
)

// Label is the guaranteed analysis printed on a feed, each figure in percent by
// mass. Give phosphorus, potassium, calcium, magnesium and sulphur either as
// the oxide or as the element, as the label does, never both.
type Label struct {
	NPercent float64 // total nitrogen
	// The forms of the nitrogen, each as percent of the product, so that they
	// add up to NPercent. All zero means the label does not say.
	NitratePercent, AmmoniumPercent, UreaPercent float64

	P2O5Percent, PPercent float64
	K2OPercent, KPercent  float64
	CaOPercent, CaPercent float64
	MgOPercent, MgPercent float64
	SO3Percent, SPercent  float64

	// DensityKgPerL is for liquids that are dosed by volume; zero for powders.
	DensityKgPerL float64
}

// formsSlackPercent is how far the nitrogen forms may miss the total: labels
// round each of them to 0.1.
const formsSlackPercent = 0.25

// Check reports a label that cannot be right: a negative figure, more than
// 100 %, an oxide and its element together, or nitrogen forms that do not add
// up.
func (l Label) Check() error {
	var sum float64
	for _, f := range []struct {
		name    string
		percent float64
	}{
		{"N", l.NPercent}, {"P2O5", l.P2O5Percent}, {"P", l.PPercent}, {"K2O", l.K2OPercent}, {"K", l.KPercent},
		{"CaO", l.CaOPercent}, {"Ca", l.CaPercent}, {"MgO", l.MgOPercent}, {"Mg", l.MgPercent},
		{"SO3", l.SO3Percent}, {"S", l.SPercent},
	} {
		if err := within("label "+f.name, f.percent, 0, 100, "%"); err != nil {
			return err
		}
		sum += f.percent
	}
	if err := within("sum of the label", sum, 0, 100, "%"); err != nil {
		return err
	}
	for _, f := range []struct {
		name           string
		oxide, element float64
	}{
		{"P2O5 and P", l.P2O5Percent, l.PPercent}, {"K2O and K", l.K2OPercent, l.KPercent},
		{"CaO and Ca", l.CaOPercent, l.CaPercent}, {"MgO and Mg", l.MgOPercent, l.MgPercent},
		{"SO3 and S", l.SO3Percent, l.SPercent},
	} {
		if f.oxide > 0 && f.element > 0 {
			return fmt.Errorf("water: label gives both %s; give one of them", f.name)
		}
	}
	for _, f := range []struct {
		name    string
		percent float64
	}{{"nitrate N", l.NitratePercent}, {"ammonium N", l.AmmoniumPercent}, {"urea N", l.UreaPercent}} {
		if err := within("label "+f.name, f.percent, 0, 100, "%"); err != nil {
			return err
		}
	}
	if forms := l.formsPercent(); forms > 0 {
		if err := within("sum of the nitrogen forms", forms,
			l.NPercent-formsSlackPercent, l.NPercent+formsSlackPercent, "%"); err != nil {
			return err
		}
	}
	if l.DensityKgPerL != 0 {
		return within("density", l.DensityKgPerL, 0.8, 2, "kg/L")
	}
	return nil
}

func (l Label) formsPercent() float64 { return l.NitratePercent + l.AmmoniumPercent + l.UreaPercent }

// elementPercent returns the label as elements, percent by mass.
func (l Label) elementPercent() Elements {
	return Elements{
		N:  l.NPercent,
		P:  l.PPercent + l.P2O5Percent*PFromP2O5,
		K:  l.KPercent + l.K2OPercent*KFromK2O,
		Ca: l.CaPercent + l.CaOPercent*CaFromCaO,
		Mg: l.MgPercent + l.MgOPercent*MgFromMgO,
		S:  l.SPercent + l.SO3Percent*SFromSO3,
	}
}

// GramsPerLitreForN returns the strength that gives ppmN mg/L of nitrogen:
// ppm/(10·percent). Refused for a feed without nitrogen.
func (l Label) GramsPerLitreForN(ppmN float64) (float64, error) {
	if err := l.Check(); err != nil {
		return 0, err
	}
	if l.NPercent == 0 {
		return 0, fmt.Errorf("water: the label has no nitrogen, so no strength gives %g mg/L N", ppmN)
	}
	if err := within("nitrogen", ppmN, 0, 10000*l.NPercent, "mg/L"); err != nil {
		return 0, err
	}
	return ppmN / (10 * l.NPercent), nil
}

// MillilitresPerLitre returns the dose of a liquid feed by volume for a
// strength in g/L. Refused for a powder.
func (l Label) MillilitresPerLitre(gramsPerLitre float64) (float64, error) {
	if err := l.Check(); err != nil {
		return 0, err
	}
	if l.DensityKgPerL == 0 {
		return 0, fmt.Errorf("water: the label gives no density, so the feed is dosed by mass")
	}
	if err := within("strength", gramsPerLitre, 0, maxFeedGramsPerLitre, "g/L"); err != nil {
		return 0, err
	}
	return gramsPerLitre / l.DensityKgPerL, nil
}

// maxFeedGramsPerLitre bounds a strength; no concentrate is stronger.
const maxFeedGramsPerLitre = 1000

// Assumptions lists what had to be assumed to turn a label into ions. A charge
// that the label's rounding explains, 1 % of the ions, is closed without one.
type Assumptions uint8

const (
	// NitrogenFormsAssumed: the label does not split its nitrogen, so nitrate
	// and ammonium were chosen to balance the charge, without urea. The
	// computed EC is then an upper figure.
	NitrogenFormsAssumed Assumptions = 1 << iota
	// SulphateAssumed: anions were missing and the label has no sulphur, so
	// sulphate balances the charge.
	SulphateAssumed
	// ChlorideAssumed: anions were missing although sulphur is declared, so
	// chloride balances the charge.
	ChlorideAssumed
	// SodiumAssumed: cations were missing, so sodium balances the charge.
	SodiumAssumed
)

// Has reports whether the assumption was made.
func (a Assumptions) Has(one Assumptions) bool { return a&one != 0 }

// Feed is a label dissolved in pure water.
type Feed struct {
	// Elements is the label's arithmetic alone, mg/L; no assumption enters.
	Elements Elements
	// Ions is the same with the charge closed, for conductivity.
	Ions Ions
	// ClosureMeqL is the charge added to close the balance, meq/L: positive
	// for anions, negative for cations. Large against the ions' sum means
	// that the label leaves much unsaid and the EC is a guess.
	ClosureMeqL float64
	Assumptions Assumptions
}

// AtGramsPerLitre returns the feed at a strength of 0 to 1000 g/L.
//
// Phosphorus is taken as H2PO4, the form between pH 3 and 6.5; sulphur as
// sulphate. What charge is then missing is closed as the Assumptions say:
// sulphate if the label is silent on sulphur, else chloride, else sodium.
func (l Label) AtGramsPerLitre(gramsPerLitre float64) (Feed, error) {
	if err := l.Check(); err != nil {
		return Feed{}, err
	}
	if err := within("strength", gramsPerLitre, 0, maxFeedGramsPerLitre, "g/L"); err != nil {
		return Feed{}, err
	}
	return l.at(gramsPerLitre), nil
}

// at is AtGramsPerLitre for a label and a strength that have been checked.
func (l Label) at(gramsPerLitre float64) Feed {
	mgPerPercent := 10 * gramsPerLitre
	percent := l.elementPercent()
	f := Feed{Elements: Elements{
		N: percent.N * mgPerPercent, P: percent.P * mgPerPercent, K: percent.K * mgPerPercent,
		Ca: percent.Ca * mgPerPercent, Mg: percent.Mg * mgPerPercent, S: percent.S * mgPerPercent,
	}}
	c := Ions{
		K: f.Elements.K / weightK, Ca: f.Elements.Ca / weightCa, Mg: f.Elements.Mg / weightMg,
		H2PO4: f.Elements.P / weightP, SO4: f.Elements.S / weightS,
	}
	nitrogen := f.Elements.N / weightN
	switch forms := l.formsPercent(); {
	case forms > 0:
		// Shares of the total, so that rounding on the label loses no
		// nitrogen.
		c[NO3] = nitrogen * l.NitratePercent / forms
		c[NH4] = nitrogen * l.AmmoniumPercent / forms
		c[UreaN] = nitrogen * l.UreaPercent / forms
	case nitrogen > 0:
		// Cations + (N − x) = anions + x gives the nitrate x.
		b := c.ChargeBalance()
		c[NO3] = math.Min(nitrogen, math.Max(0, (nitrogen+b.CationsMeqL-b.AnionsMeqL)/2))
		c[NH4] = nitrogen - c[NO3]
		f.Assumptions |= NitrogenFormsAssumed
	}
	f.Ions, f.ClosureMeqL, f.Assumptions = closeCharge(c, percent.S > 0, f.Assumptions)
	return f
}

// closeCharge adds the ion that is most likely unsaid.
func closeCharge(c Ions, sulphurDeclared bool, made Assumptions) (Ions, float64, Assumptions) {
	b := c.ChargeBalance()
	missing := b.CationsMeqL - b.AnionsMeqL
	var closing Assumptions
	switch {
	case missing < 0:
		c[Na] -= missing
		closing = SodiumAssumed
	case sulphurDeclared:
		c[Cl] += missing
		closing = ChlorideAssumed
	default:
		c[SO4] += missing / 2
		closing = SulphateAssumed
	}
	// What the rounding of the label explains is closed all the same, but is
	// no assumption worth showing.
	if math.Abs(missing) > labelRounding.Value*(b.CationsMeqL+b.AnionsMeqL) {
		made |= closing
	}
	return c, missing, made
}
