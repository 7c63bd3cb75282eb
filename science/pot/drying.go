package pot

// EvaporationShare returns the share of the potential rate at which a surface
// loses water once it has lost depletion of it: all of it until the readily
// available part is gone, then falling in a straight line to nothing.
//
//	Kr = 1 for De ≤ REW, else (TEW − De)/(TEW − REW)   FAO-56 ch. 7, equation 74
//
// All three in the same unit, 0 ≤ readily ≤ total; the inputs are not checked.
func EvaporationShare(depletion, readily, total float64) float64 {
	switch {
	case depletion <= readily && depletion < total:
		return 1
	case depletion >= total:
		return 0
	}
	return (total - depletion) / (total - readily)
}

// TwoStageLoss returns how much is lost while the given potential (rate times
// time) acts on a store that has already lost depletion: the exact integral of
// the potential rate times EvaporationShare, so that two half steps give the
// same as one whole.
//
//	De = Ep·t while De ≤ REW; afterwards De = TEW − (TEW − REW)·e^(−Ep·(t − t₁)/(TEW − REW)), t₁ = REW/Ep
//
// All four in the same unit, 0 ≤ readily ≤ total; the inputs are not checked.
func TwoStageLoss(depletion, readily, total, potential float64) float64 {
	var loss float64
	if depletion < readily {
		loss = readily - depletion
		if potential <= loss {
			return potential
		}
		potential -= loss
		depletion = readily
	}
	if depletion >= total {
		return loss
	}
	return loss + (total-depletion)*lost(potential/(total-readily))
}
