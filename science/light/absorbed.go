package light

import "velamen/science/basis"

// AbsorbedWM2 returns the shortwave radiation, W per m² of leaf (one side,
// lit from above), that a leaf absorbs at a PPFD (0 to 4000 µmol m⁻² s⁻¹) on
// its surface: the PAR energy, and the near infra-red that comes with it from
// this source, each times the leaf's absorptance. Sunlight heats a leaf almost
// half as much again as LED light of the same PPFD.
func AbsorbedWM2(ppfd float64, source Source) (float64, error) {
	if err := checkPPFD(ppfd); err != nil {
		return 0, err
	}
	if err := source.check(); err != nil {
		return 0, err
	}
	return ppfd * absorbedPerPPFD(quantaPerJoule[source].Value, nearInfraredPerPAR[source].Value,
		leafAbsorptancePAR.Value, leafAbsorptanceNIR.Value), nil
}

// AbsorbedPerPPFD returns the absorbed shortwave radiation per PPFD, W m⁻² per
// µmol m⁻² s⁻¹ (that is J/µmol), with its range. Its grade is assumption for
// every source, because the absorptances of the leaf are.
func AbsorbedPerPPFD(source Source) (basis.Value, error) {
	if err := source.check(); err != nil {
		return basis.Value{}, err
	}
	quanta, infrared := quantaPerJoule[source], nearInfraredPerPAR[source]
	low, high := basis.Spread(func(in []float64) float64 {
		return absorbedPerPPFD(in[0], in[1], in[2], in[3])
	}, quanta, infrared, leafAbsorptancePAR, leafAbsorptanceNIR)
	return basis.Value{
		Value: absorbedPerPPFD(quanta.Value, infrared.Value, leafAbsorptancePAR.Value, leafAbsorptanceNIR.Value),
		Low:   low, High: high, Unit: "J/µmol",
		Grade:  basis.Weakest(quanta.Grade, infrared.Grade, leafAbsorptancePAR.Grade, leafAbsorptanceNIR.Grade),
		Source: "energy per quantum: " + quanta.Source + "; leaf absorptance 0.85 of PAR and 0.30 of near infra-red assumed",
	}, nil
}

func absorbedPerPPFD(quantaPerJoule, infraredPerPAR, absorptancePAR, absorptanceNIR float64) float64 {
	return (absorptancePAR + infraredPerPAR*absorptanceNIR) / quantaPerJoule
}
